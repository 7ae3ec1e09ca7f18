"""Progress bars: on a terminal alone, after a while alone, and gone without a trace; an interrupt ends in one line."""

from __future__ import annotations

import os
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest

from pailbook import terminal

pty = pytest.importorskip("pty", reason="needs a terminal of Unix")
SOON = "from pailbook import terminal; terminal.PATIENCE = 0.05; from pailbook.cli import main; main()"
BAR = "━"


def _sums(path: Path, rows: int) -> Path:
    """A workbook of that many rows with two formulas each."""
    made = openpyxl.Workbook(write_only=True)
    sheet = made.create_sheet("Sums")
    for row in range(1, rows + 1):
        sheet.append([6.5 + row % 20 / 10, 20 + row % 9, f"=AMMONIA_FRACTION(A{row},B{row})", f"=C{row}*2"])
    made.save(path)
    return path


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook that takes longer than the bar is waited for here."""
    return _sums(tmp_path_factory.mktemp("book") / "sums.xlsx", 300)


def _on_terminal(arguments: list[str], interrupt: bool = False, out: int | None = None) -> tuple[int, str]:
    """How the command ended on a terminal, and what stood there; `out` is where standard output goes instead."""
    own, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", SOON, *arguments], stdin=theirs, stdout=theirs if out is None else out, stderr=theirs,
        start_new_session=True, env={**os.environ, "TERM": "xterm", "COLUMNS": "100"})
    os.close(theirs)
    seen, sent = b"", False
    end = time.monotonic() + 120
    while time.monotonic() < end:
        if select.select([own], [], [], 0.05)[0]:
            try:
                seen += os.read(own, 65536)
            except OSError:  # the other end is closed
                break
        if interrupt and not sent and BAR.encode() in seen:
            process.send_signal(signal.SIGINT)
            sent = True
    os.close(own)
    return process.wait(10), seen.decode(errors="replace")


def test_a_bar_on_a_terminal(book: Path) -> None:
    code, seen = _on_terminal(["recalc", str(book), "--engine", "reference"])
    assert code == 0
    assert "calculating sums.xlsx" in seen
    assert BAR in seen
    assert re.search(r"\d %", seen)
    last = seen.rpartition("\x1b[2K")[2]  # what is left when the bar is wiped
    assert last == "600 formula cells calculated\r\n"


def test_the_output_stays_pure_while_a_bar_is_shown(book: Path, tmp_path: Path) -> None:
    with (tmp_path / "out.txt").open("w") as out:
        code, seen = _on_terminal(["recalc", str(book), "--engine", "reference"], out=out.fileno())
    assert code == 0
    assert BAR in seen
    assert (tmp_path / "out.txt").read_text() == "600 formula cells calculated\n"


def test_nothing_of_it_in_a_pipe(book: Path) -> None:
    done = subprocess.run([sys.executable, "-c", SOON, "recalc", str(book)], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("600 formula cells calculated\n", "")


def test_no_bar_for_quick_work(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")  # taken for a terminal
    assert terminal.PATIENCE == 2
    with terminal.progress("counting") as advance:
        advance(1, 2)
    assert capsys.readouterr() == ("", "")


def test_work_that_tells_nothing_has_a_bar_too(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(terminal, "PATIENCE", 0.01)
    monkeypatch.setenv("FORCE_COLOR", "1")
    with terminal.progress("waiting"):
        time.sleep(0.3)
    assert "waiting" in capsys.readouterr().err


def test_an_interrupt_under_a_bar(tmp_path: Path) -> None:
    book = _sums(tmp_path / "sums.xlsx", 4000)  # so long that the interrupt is never too late
    before = sorted(book.parent.iterdir())
    code, seen = _on_terminal(
        ["recalc", str(book), "-o", str(book.with_name("new.xlsx")), "--engine", "reference"], interrupt=True)
    assert code == 130
    assert seen.rpartition("\x1b[2K")[2] == "pailbook: interrupted; no half-written file was left behind\r\n"
    assert "Traceback" not in seen
    assert sorted(book.parent.iterdir()) == before


def test_a_reader_that_goes_away_is_no_trouble() -> None:
    """As of `pailbook functions | head -1`."""
    process = subprocess.Popen(
        [sys.executable, "-c", "from pailbook.cli import main; main()", "functions"], stdout=subprocess.PIPE,
        stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait(60) in (0, 1)
