"""Files are written in full or not at all, whatever happens in the middle."""

from __future__ import annotations

import os
import random
import shutil
import stat
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from pailbook.files import check_free, replacing
from pailbook.outcomes import BadInput
from pailbook.workbook.templates import build

# The long run: PAILBOOK_KILLS=100 pytest tests/test_files.py
KILLS = int(os.environ.get("PAILBOOK_KILLS", "1"))


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def stopped(target: Path, reason: BaseException) -> None:
    with replacing(target, overwrite=True) as file:
        file.write(b"half")
        raise reason


def test_the_new_file_takes_its_place_at_the_end(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    with replacing(target, overwrite=True) as file:
        file.write(b"new")
        assert target.read_text() == "old"
    assert (target.read_text(), names(tmp_path)) == ("new", ["a.txt"])
    target.chmod(0o640)
    with replacing(tmp_path / "b.txt", like=target) as file:
        file.write(b"b")
    assert stat.S_IMODE((tmp_path / "b.txt").stat().st_mode) == 0o640


def test_an_exception_or_an_interrupt_leaves_everything_as_it_was(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    for reason in (ValueError, KeyboardInterrupt, SystemExit):
        with pytest.raises(reason):
            stopped(target, reason())
        assert (target.read_text(), names(tmp_path)) == ("old", ["a.txt"])


def test_a_full_disk_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"a\.txt cannot be written: No space left"):
        stopped(tmp_path / "a.txt", OSError(28, "No space left on device"))
    assert names(tmp_path) == []


def test_a_file_that_came_in_between_is_not_replaced(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"

    def slow_run() -> None:
        with replacing(target) as file:
            file.write(b"mine")
            target.write_text("another run's")

    with pytest.raises(BadInput, match="is there already"):
        slow_run()
    assert (target.read_text(), names(tmp_path)) == ("another run's", ["a.txt"])
    with pytest.raises(BadInput, match="is there already"):
        check_free(target, overwrite=False)
    with pytest.raises(BadInput, match="there is no folder"):
        check_free(tmp_path / "none" / "a.txt", overwrite=True)


def test_what_a_killed_run_left_is_cleared_and_a_running_ones_is_not(tmp_path: Path) -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    (tmp_path / f".pailbook-{ended.pid}-abc.tmp").write_bytes(b"half")
    (tmp_path / f".pailbook-{os.getppid()}-abc.tmp").write_bytes(b"being written")
    (tmp_path / ".pailbook-notes.tmp").write_bytes(b"the user's own")
    with replacing(tmp_path / "a.txt") as file:
        file.write(b"new")
    assert names(tmp_path) == [f".pailbook-{os.getppid()}-abc.tmp", ".pailbook-notes.tmp", "a.txt"]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A log, a record of readings for it, and a sensor's record."""
    folder = tmp_path_factory.mktemp("made")
    build("farm-log", folder / "log.xlsx")
    rows = "".join(f"2026-03-{1 + i // 24:02d} {i % 24:02d}:00,Tank,{20 + i % 5},7.1\n" for i in range(600))
    (folder / "sensor.csv").write_text("Timestamp,Tank,Temp (C),pH\n" + rows, encoding="utf-8")
    (folder / "readings.csv").write_text("Date,Tank,Temp (C),pH\n2026-03-01,Tank,24,7.1\n", encoding="utf-8")
    return folder


COMMANDS: dict[str, tuple[list[str], str]] = {
    "new": (["new", "farm-log", "log.xlsx", "--overwrite"], "log.xlsx"),
    "import": (["import", "readings.csv", "log.xlsx", "-o", "log.xlsx", "--overwrite"], "log.xlsx"),
    "recalc": (["recalc", "log.xlsx", "-o", "log.xlsx", "--overwrite"], "log.xlsx"),
    "share": (["share", "log.xlsx", "copy.xlsx", "--overwrite"], "copy.xlsx"),
    "daily": (["daily", "sensor.csv", "-o", "readings.csv", "--overwrite"], "readings.csv"),
}


def is_whole(path: Path) -> bool:
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as book:
            return book.testzip() is None
    return path.read_text(encoding="utf-8").endswith("\n")


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="needs kill -9")
@pytest.mark.parametrize("command", COMMANDS)
def test_killed_at_any_moment_no_file_is_lost_or_damaged(command: str, made: Path, tmp_path: Path) -> None:
    arguments, target = COMMANDS[command]
    chance = random.Random(command)

    def fresh() -> dict[str, bytes]:
        for path in tmp_path.iterdir():
            path.unlink()
        for path in made.iterdir():
            shutil.copyfile(path, tmp_path / path.name)
        return {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def start() -> subprocess.Popen[bytes]:
        program = "from pailbook.cli import main; main()"
        return subprocess.Popen([sys.executable, "-c", program, *arguments], cwd=tmp_path,
                                stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)

    before = fresh()
    began = time.perf_counter()
    process = start()
    assert process.communicate()[1] == b""
    lasts = time.perf_counter() - began
    whole = (tmp_path / target).read_bytes()
    for _ in range(KILLS):
        before = fresh()
        process = start()
        time.sleep(chance.uniform(0.3, 1.05) * lasts)
        process.kill()
        process.communicate()
        for name, content in before.items():
            if name != target:
                assert (tmp_path / name).read_bytes() == content
        if target in before:
            assert (tmp_path / target).read_bytes() in (before[target], whole)
        elif (tmp_path / target).exists():
            assert is_whole(tmp_path / target)
    process = start()
    assert process.communicate()[1] == b""
    assert process.returncode in (0, 1)
    assert [name for name in names(tmp_path) if name.startswith(".")] == []
    assert is_whole(tmp_path / target)


@pytest.mark.parametrize("command", ["recalc", "daily"])
def test_two_runs_at_once_leave_one_whole_file(command: str, made: Path, tmp_path: Path) -> None:
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    arguments, target = COMMANDS[command]
    runs: list[Callable[[], object]] = []
    for _ in range(2):
        process = subprocess.Popen([sys.executable, "-c", "from pailbook.cli import main; main()", *arguments],
                                   cwd=tmp_path, stdout=subprocess.DEVNULL)
        runs.append(process.wait)
    assert [wait() for wait in runs] == [0, 0]
    assert is_whole(tmp_path / target)
    assert [name for name in names(tmp_path) if name.startswith(".")] == []
