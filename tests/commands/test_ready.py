"""`pailbook ready`: what it checks, in which words, with the next step and the exit code."""

from __future__ import annotations

import os
import re
import shutil
from importlib import metadata
from pathlib import Path

import pytest

import pailbook
from command_line import Run
from pailbook import readiness
from pailbook.hosts.excel import findings
from pailbook.hosts.look import STATES, Look, not_installed
from pailbook.outcomes import BadInput
from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """LibreOffice is another test's matter: tests/calc_host. What is needed is as a wheel's METADATA has it."""
    monkeypatch.setattr(readiness, "find", lambda: None)
    monkeypatch.setattr(readiness, "requires", lambda name: [
        "openpyxl>=3.1", "lxml>=5.0", "typer>=0.15",
        'distributed>=2024.1; extra == "dask"', "pytest>=8.2; extra == 'test'"])


def test_each_line_begins_with_a_verdict_that_the_help_explains(run: Run) -> None:
    _, out, err = run("ready")
    assert err == ""
    lines = out.splitlines()
    for line, following in zip(lines, [*lines[1:], ""]):
        if line.startswith(" "):
            assert re.match(r" {11}next: \S", line)
        else:
            state, rest = line[:9].rstrip(), line[11:]
            assert state in STATES
            assert re.match(r"[A-Z].*: \S", rest)
            assert following.startswith(f"{'':11}next: ") or state == FINE
    assert f"Pailbook: {pailbook.__version__} on Python" in out
    assert list(STATES) == [FINE, WATCH, NOT_KNOWN, ACT]


def test_what_is_not_installed_calls_for_action_only_where_it_was_asked_for(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks = [(Look("Pump", state, "stands still", "plug it in"), state == ACT) for state in STATES]
    for look, asked in [*looks, (not_installed("Pump", "plug it in", "stands still"), True)]:
        monkeypatch.setattr(readiness, "CHECKS", {"pump": lambda look=look: iter([look])})
        assert run("ready").code == (look.state == ACT)
        code, out, _ = run("ready", "pump")
        assert code == asked
        assert out == f"{ACT if asked else look.state:9}  Pump: stands still\n           next: plug it in\n"


def test_libreoffice_that_is_missing(run: Run) -> None:
    code, out, _ = run("ready", "calc")
    assert code == 1
    assert out.startswith("act        LibreOffice: not installed\n           next: install LibreOffice 25.2 or newer")


def test_libreoffice_that_is_not_where_the_variable_says(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def wrong() -> None:
        raise BadInput("PAILBOOK_LIBREOFFICE names /nowhere")

    monkeypatch.setattr(readiness, "find", wrong)
    assert run("ready", "calc") == (1, "act        LibreOffice: PAILBOOK_LIBREOFFICE names /nowhere\n", "")


def test_a_package_that_is_missing(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = metadata.version

    def version(name: str) -> str:
        if name in ("lxml", "distributed"):
            raise metadata.PackageNotFoundError(name)
        return real(name)

    monkeypatch.setattr(readiness, "version", version)
    code, out, _ = run("ready", "python")
    assert code == 1
    assert "act        Python packages: not installed: lxml\n           next: pip install lxml\n" in out
    assert run("ready", "workers") == (
        1, "act        Dask, which daily --workers needs: not installed\n"
           "           next: pip install distributed\n", "")


def test_packages_of_the_tests_are_not_asked_for(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Core metadata 2.1, Requires-Dist: what an extra needs carries its name behind a semicolon."""
    asked: list[str] = []

    def version(name: str) -> str:
        asked.append(name)
        return "1"

    monkeypatch.setattr(readiness, "version", version)
    assert run("ready", "python", "workers").code == 0
    assert asked == ["openpyxl", "lxml", "typer", "distributed"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the administrator may write everywhere")
def test_a_folder_that_cannot_be_written(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    tmp_path.chmod(0o555)
    code, out, _ = run("ready", "folders")
    assert code == 1
    assert f"act        Current folder: you may not write to {tmp_path}" in out


def test_a_disk_that_is_full(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    usage = shutil.disk_usage(Path.cwd())._replace(free=3_000_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: usage)
    code, out, _ = run("ready", "folders")
    assert code == 1
    assert "has only 3 MB left\n           next: free some space on that disk" in out


def test_excel_has_the_same_verdicts(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(findings, "looks", lambda computer: iter([Look("Excel", WATCH, "is here")]))
    assert run("ready", "excel") == (0, "watch      Excel: is here\n", "")
