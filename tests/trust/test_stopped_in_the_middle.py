"""A full disk, an interrupt while a command writes: a message, exit code 2 or 130, and all stays as it was."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from command_line import WRITE, Run, filled, new_name, snapshot

pytestmark = pytest.mark.long
@contextmanager
def room_for(size: int) -> Iterator[None]:
    """No file may grow beyond so many bytes, as if the disk were full then."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # of a library that gives up
@pytest.mark.parametrize("overwrite", [False, True])
@pytest.mark.parametrize("command", WRITE)
def test_a_full_disk(command: str, overwrite: bool, here: Path, run: Run) -> None:
    name = new_name(command)
    arguments = filled(WRITE[command], new=name)
    if overwrite:
        Path(name).write_bytes(b"a season's work")
        arguments.append("--overwrite")
    before = snapshot(here)
    with room_for(0 if overwrite else 100):
        ended = run(*arguments)
    assert ended.code == 2, ended
    assert ended.out == ""
    assert re.search(r"cannot be written: (File too large|no temporary file can be made)", ended.err)
    assert ended.err.count("\n") == 1
    assert snapshot(here) == before
    assert list(Path(tempfile.gettempdir()).iterdir()) == []
    assert run(*arguments).code in (0, 1)


@pytest.mark.parametrize("command", WRITE)
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_an_interrupt(command: str, step: str, here: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    name = new_name(command)
    Path(name).write_bytes(b"a season's work")
    before = snapshot(here)

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(os if step == "fsync" else Path, step, interrupted)
        ended = run(*filled(WRITE[command], new=name), "--overwrite")
    assert ended == (130, "", "pailbook: interrupted; no half-written file was left behind\n")
    assert snapshot(here) == before
    assert list(Path(tempfile.gettempdir()).iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="needs signals")
@pytest.mark.parametrize("after", [0.8, 1.2, 2.0])
def test_a_true_interrupt(after: float, here: Path) -> None:
    before = snapshot(here)
    process = subprocess.Popen(
        [sys.executable, "-c", "from pailbook.cli import main; print(flush=True); main()",
         "recalc", "log.xlsx", "-o", "log.xlsx", "--overwrite", "--engine", "reference"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    process.stdout.readline()  # from here on an interrupt is heard
    time.sleep(after)
    process.send_signal(signal.SIGINT)
    _, err = process.communicate()
    if process.returncode in (0, 1):  # it was quicker, or a library swallowed the interrupt
        assert set(snapshot(here)) == set(before)
    else:
        assert (process.returncode, err) == (130, "pailbook: interrupted; no half-written file was left behind\n")
        assert snapshot(here) == before


def test_what_a_killed_run_left_among_temporary_files_is_cleared(here: Path, run: Run) -> None:
    """A copy for a client is made in steps, and the steps hold what the client must not see."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    scratch = Path(tempfile.gettempdir())
    names = f"{ended.pid}-ab_c", f"{os.getppid()}-x", "notes"
    left, running, foreign = (scratch / f"pailbook-{name}" for name in names)
    for folder in (left, running, foreign):
        folder.mkdir()
        (folder / "log.xlsx").write_bytes(b"another client's rows")
    assert run("share", "log.xlsx", "-o", "copy.xlsx").code in (0, 1)
    assert sorted(scratch.iterdir()) == sorted([running, foreign])
