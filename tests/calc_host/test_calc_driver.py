"""LibreOffice that is missing, too old, crashes, hangs or is killed: a clear message, no file touched, no process left.

Programs of our own stand in for LibreOffice here.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import pytest

from pailbook.hosts.calc import driver, program
from pailbook.hosts.calc.program import VARIABLE, OfficeError
from pailbook.workbook.recalc import recalc
from pailbook.workbook.templates import build

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the stand-ins are shell scripts")
VERSION = 'if [ "$1" = --version ]; then echo "LibreOffice {} 520(Build:2)"; exit 0; fi'


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    path = tmp_path / "log.xlsx"
    path.write_bytes(b"a workbook")
    return path


def _stand_in(folder: Path, monkeypatch: pytest.MonkeyPatch, body: str, version: str = "25.2.3.2") -> Path:
    path = folder / "soffice"
    path.write_text(f"#!/bin/sh\n{VERSION.format(version)}\n{textwrap.dedent(body)}\n")
    path.chmod(0o755)
    monkeypatch.setenv(VARIABLE, str(path))
    program._version.cache_clear()
    return path


def _refused(workbook: Path, limit: float = 20) -> str:
    target = workbook.with_name("made.xlsx")
    target.write_text("what was there")
    with pytest.raises(OfficeError) as caught:
        driver.convert(workbook, target, limit=limit)
    assert target.read_text() == "what was there"
    assert workbook.read_bytes() == b"a workbook"
    assert sorted(path.name for path in workbook.parent.iterdir() if path.name.startswith(".")) == []
    return str(caught.value)


def test_the_variable_names_the_program_or_its_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _stand_in(tmp_path, monkeypatch, "exit 0", version="26.2.1.1")
    for named in (path, tmp_path):
        monkeypatch.setenv(VARIABLE, str(named))
        office = driver.find()
        assert office is not None
        assert (office.program, office.version_text, office.is_new_enough) == (path, "26.2.1.1", True)
    monkeypatch.setenv(VARIABLE, str(tmp_path / "nowhere"))
    with pytest.raises(OfficeError, match="nowhere, where there is no LibreOffice"):
        driver.find()


def test_it_is_found_where_it_usually_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The paths are those of the installers for Windows and macOS."""
    monkeypatch.delenv(VARIABLE, raising=False)
    for system, inner, name in (("WINDOWS", "LibreOffice/program", "soffice.com"),
                                ("MACOS", "Applications/LibreOffice.app/Contents/MacOS", "soffice")):
        place = tmp_path / system / inner / name
        place.parent.mkdir(parents=True)
        place.write_text("")
        with monkeypatch.context() as patch:
            patch.setattr(program, system, True)
            patch.setenv("ProgramW6432", str(tmp_path / system))
            patch.setattr(Path, "home", lambda system=system: tmp_path / system)
            assert place in list(program._installed())


def test_a_missing_and_an_old_one(workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(program, "find", lambda: None)
    assert "LibreOffice was not found; install LibreOffice 25.2 or newer" in _refused(workbook)
    monkeypatch.undo()
    _stand_in(tmp_path, monkeypatch, "exit 0", version="7.4.7.2")
    message = _refused(workbook)
    assert "LibreOffice 7.4.7.2" in message
    assert "too old" in message
    assert "pailbook new --plain" in message


def test_one_that_makes_no_file_though_its_status_is_fine(
    workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _stand_in(tmp_path, monkeypatch, "exit 0")
    assert "LibreOffice made no .xlsx file from log.xlsx (it ended with status 0)" in _refused(workbook)


def test_one_that_crashes_with_a_child_left(workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    child = tmp_path / "child"
    _stand_in(tmp_path, monkeypatch, f"sleep 60 & echo $! > {child}; kill -SEGV $$")
    assert "it ended with status" in _refused(workbook)
    _assert_gone(int(child.read_text()))


def test_one_that_hangs(workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    child = tmp_path / "child"
    _stand_in(tmp_path, monkeypatch, f"trap '' TERM; sleep 60 & echo $! > {child}; wait")
    began = time.monotonic()
    message = _refused(workbook, limit=1)
    assert time.monotonic() - began < 10
    assert ("LibreOffice did not finish converting log.xlsx within 1 seconds and was stopped; "
            "no file was changed") in message
    _assert_gone(int(child.read_text()))


def test_one_that_is_killed(workbook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = tmp_path / "own"
    _stand_in(tmp_path, monkeypatch, f"echo $$ > {own}.tmp; mv {own}.tmp {own}; sleep 60")

    def kill() -> None:
        while not own.exists():
            time.sleep(0.02)
        os.kill(int(own.read_text()), signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    assert "it ended with status -9" in _refused(workbook)
    killer.join()


def test_the_command_itself_ended_leaves_no_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    child = tmp_path / "child"
    _stand_in(tmp_path, monkeypatch, f"sleep 60 & echo $! > {child}.tmp; mv {child}.tmp {child}; wait")
    build("move-plan", tmp_path / "plan.xlsx")
    before = (tmp_path / "plan.xlsx").read_bytes()
    command = subprocess.Popen(
        [sys.executable, "-c", "from pailbook.cli import main; main()", "recalc", "--engine", "calc", "--overwrite",
         str(tmp_path / "plan.xlsx"), "-o", str(tmp_path / "plan.xlsx")],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    until = time.monotonic() + 60
    while not child.exists() and command.poll() is None and time.monotonic() < until:
        time.sleep(0.05)
    command.send_signal(signal.SIGTERM)
    assert command.wait(timeout=30) == 128 + signal.SIGTERM
    _assert_gone(int(child.read_text()))
    assert (tmp_path / "plan.xlsx").read_bytes() == before


def test_other_endings_and_missing_sources_are_refused(tmp_path: Path, workbook: Path) -> None:
    with pytest.raises(OfficeError, match=r"writes \.xlsx, \.ods, \.pdf here; give a name"):
        driver.convert(workbook, tmp_path / "made.doc")
    with pytest.raises(OfficeError, match="does not exist"):
        driver.convert(tmp_path / "none.xlsx", tmp_path / "made.pdf")


def test_recalculating_with_a_missing_libreoffice_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build("move-plan", tmp_path / "plan.xlsx")
    monkeypatch.setenv(VARIABLE, str(tmp_path / "nowhere"))
    with pytest.raises(OfficeError, match="nowhere"):
        recalc(tmp_path / "plan.xlsx", tmp_path / "out.xlsx", engine="calc")
    assert not (tmp_path / "out.xlsx").exists()


def _assert_gone(process: int) -> None:
    for _ in range(100):
        try:
            os.kill(process, 0)
            if Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] == "Z":
                return  # ended, and waiting for the system to take notice
        except (ProcessLookupError, FileNotFoundError):
            return
        time.sleep(0.02)
    pytest.fail(f"process {process} is still there")
