"""Which tests run (the long ones in CI and where they are asked for) and where; the command line in process."""

from __future__ import annotations

import os
import re
import sys
from typing import Any

import hypothesis
import pytest

from command_line import Outcome, Run
from pailbook import cli
from thorough import TOLD, thorough

hypothesis.settings.register_profile("unhurried", deadline=None)  # a busy machine is no failure
hypothesis.settings.load_profile("unhurried")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the long tests too, as CI does")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("--long"):
        os.environ[TOLD] = "1"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if thorough():
        return
    long = [item for item in items if item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if not item.get_closest_marker("long")]


# Files whose tests share what takes long to make: one LibreOffice, or a workbook in all its forms.
_TOGETHER = re.compile(r"tests/(calc_host|trust|workbook/test_(farm_log|move_plan|dosing_plan|stocking_plan))")


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """The tests of a file run in one process, so that what they share is made once; so do those of some files.

    The plugin's own groups are not relied on: with pytest 9.2 it silently leaves them out of account.
    """
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            together = _TOGETHER.match(nodeid)
            return together[0] if together else nodeid.partition("::")[0]

    return ByFile(config, log)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `pailbook ARGUMENTS`."""

    def command(*arguments: object) -> Outcome:
        monkeypatch.setattr(sys, "argv", ["pailbook", *map(str, arguments)])
        code = 0
        try:
            cli.main()
        except SystemExit as end:
            code = int(end.code or 0)
        captured = capsys.readouterr()
        return Outcome(code, captured.out, captured.err)

    return command
