"""Files are written in full or not at all, whatever happens in the middle."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from pailbook.files import check_free, replacing
from pailbook.outcomes import BadInput


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


def test_a_file_that_another_program_holds_is_told_with_the_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows refuses to replace a file that is open: WinError 32, a PermissionError."""
    target = tmp_path / "a.txt"
    target.write_text("old")

    def held(*_: object) -> None:
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", held)
        message = r"a\.txt .* open in a spreadsheet program; close it there and run this again"
        with pytest.raises(BadInput, match=message), replacing(target, overwrite=True) as file:
            file.write(b"new")
    assert (target.read_text(), names(tmp_path)) == ("old", ["a.txt"])


def test_a_file_that_came_in_between_is_not_replaced(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"

    def slow_run() -> None:
        with replacing(target) as file:
            file.write(b"mine")
            target.write_text("another run's")

    with pytest.raises(BadInput, match="already exists"):
        slow_run()
    assert (target.read_text(), names(tmp_path)) == ("another run's", ["a.txt"])
    with pytest.raises(BadInput, match="already exists"):
        check_free(target, overwrite=False)
    with pytest.raises(BadInput, match=r"the folder .* does not exist"):
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
