"""Which tests run (the long ones in CI and where they are asked for), and the command line in process."""

from __future__ import annotations

import os
import sys

import pytest

from command_line import Run, Told
from pailbook import cli


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the long tests too, as CI does")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--long") or os.environ.get("CI") == "true":
        return
    long = [item for item in items if item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if item not in set(long)]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `pailbook ARGUMENTS`."""

    def command(*arguments: object) -> Told:
        monkeypatch.setattr(sys, "argv", ["pailbook", *map(str, arguments)])
        code = 0
        try:
            cli.main()
        except SystemExit as end:
            code = int(end.code or 0)
        captured = capsys.readouterr()
        return Told(code, captured.out, captured.err)

    return command
