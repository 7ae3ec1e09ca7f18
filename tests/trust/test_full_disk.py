"""A disk that is really full: a small one of its own, filled to the last byte or but for a little."""

from __future__ import annotations

import gc
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

import calc
from command_line import WRITE, Run, filled, snapshot
from more_commands import ALL_THAT_WRITE, BY_OFFICE, FOLDERS, each_that_writes, name_for

pytestmark = [  # the second: of a library that gives up in the middle of a file
    pytest.mark.long, pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
OLD = b"a season's work"


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 400 kB."""
    if sys.platform != "linux":
        pytest.skip("makes a disk as Linux does")
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(folder)]
    made = subprocess.run(mount, check=False, capture_output=True)
    if made.returncode:
        pytest.skip("this user may mount no disk; test_stopped_in_the_middle limits the size of files instead")
    yield folder
    gc.collect()  # a file that a library has left open keeps the disk busy
    subprocess.run(["umount", folder], check=True)


def fill(disk: Path, left: int) -> None:
    """Writes it full, but for so many bytes."""
    size = 400 * 1024
    with (disk / "other files").open("wb", buffering=0) as file:
        while size > 256:
            try:
                file.write(bytes(size))
            except OSError:
                size //= 2
        file.truncate(file.tell() - left)


@each_that_writes
def test_a_full_disk_is_reported_and_nothing_is_lost(command: str, disk: Path, here: Path, run: Run) -> None:
    if command in BY_OFFICE:
        calc.needed()
    fails(command, 0, disk, run)


@pytest.mark.parametrize("command", [*WRITE, *FOLDERS])
def test_a_disk_that_fills_up_in_the_middle(command: str, disk: Path, here: Path, run: Run) -> None:
    fails(command, 8192, disk, run)


def fails(command: str, left: int, disk: Path, run: Run) -> None:
    """The command on a disk that is full but for so many bytes: what it must say and leave."""
    target = disk / name_for(command)
    if command not in FOLDERS:
        target.write_bytes(OLD)
    fill(disk, left)
    before = snapshot(disk)
    ended = run(*filled(ALL_THAT_WRITE[command], new=target), "--overwrite")
    after = snapshot(disk)
    if command.startswith("daily") and left:
        assert ended.code in (0, 2)  # its file is small
    else:
        assert ended.code == 2, ended
    if ended.code == 2:
        assert "cannot be written: No space left on device" in ended.err
        assert ended.err.count("\n") == 1
        assert {name: found for name, found in after.items() if name in before} == before
        new = after.keys() - before.keys()
        assert command in FOLDERS or new == set()
        assert [name for name in new if Path(name).name.startswith(".")] == []
        if command == "demo":  # the files that were done before it was full
            assert all(after[name][1].endswith(b"\n") for name in new if Path(name).suffix == ".csv")
    assert list(Path(tempfile.gettempdir()).iterdir()) == []


@each_that_writes
def test_where_the_folder_for_temporary_files_is_full(
    command: str, disk: Path, here: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some commands do without; the others say so."""
    if command in BY_OFFICE:
        calc.needed()
    fill(disk, 0)
    full = snapshot(disk)
    monkeypatch.setattr(tempfile, "tempdir", str(disk))
    before = snapshot(here)
    ended = run(*filled(ALL_THAT_WRITE[command], new=name_for(command)))
    assert ended.code in (0, 1, 2), ended
    if ended.code == 2:
        assert "no temporary file can be made" in ended.err or "No space left on device" in ended.err, ended
        assert ended.err.count("\n") == 1
        assert command in FOLDERS or snapshot(here) == before
    assert [name for name in snapshot(here) if Path(name).name.startswith(".")] == []
    assert snapshot(disk) == full
