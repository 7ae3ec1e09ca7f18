"""Files that are written in full or not at all, and a check that a file can be read.

A file is written under a temporary name beside its place and takes that place at the end. Temporary files of a run
that was killed are deleted by the next run: beside the file that it writes, and in the folder for temporary files.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import stat
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from pailbook.outcomes import BadInput

_LEFT_BEHIND = re.compile(r"\.pailbook-(\d+)-\w+\.tmp")
_SCRATCH = re.compile(r"pailbook-(\d+)-\w+")
_LOCKS = (".~lock.{}#", "~${}")  # how spreadsheet programs show that they have a file open


@contextlib.contextmanager
def replacing(
    target: str | os.PathLike[str], *, overwrite: bool = False, like: Path | None = None,
    error: type[BadInput] = BadInput,
) -> Iterator[IO[bytes]]:
    """A file to write into, which becomes the target when the block ends without an exception.

    Parameters
    ----------
    target : the file to be.
    overwrite : whether an existing file may be replaced.
    like : a file whose permissions the new one gets; its owner may write it in any case.
    error : what is raised if the target exists and must not be replaced, or cannot be written.
    """
    check_free(target, overwrite=overwrite, error=error)
    temporary = None
    try:
        path = Path(target).resolve()
        _clear(path.parent)
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".pailbook-{os.getpid()}-", suffix=".tmp", delete=False
        ) as file:
            temporary = Path(file.name)
            yield file
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(0o666 & ~_umask() if like is None else stat.S_IMODE(like.stat().st_mode) | stat.S_IWUSR)
        check_free(target, overwrite=overwrite, error=error)  # another run may have made it meanwhile
        try:
            temporary.replace(path)
        except PermissionError as reason:  # for example when another program has it open
            raise error(f"{target} cannot be written: it may be open in a spreadsheet program; close it there and run "
                        "this again") from reason
    except OSError as reason:
        raise error(f"{target} cannot be written: {reason.strerror or reason}") from None
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def check_free(target: str | os.PathLike[str], *, overwrite: bool, error: type[BadInput] = BadInput) -> None:
    """Raises the error if the file exists and must not be replaced, or its folder does not exist.

    Anything but an ordinary file, a write-protected file and a file open in a spreadsheet program are never replaced.
    """
    path = Path(target)
    try:
        mode = _mode(path)
        if not path.parent.is_dir():
            raise error(f"{target} cannot be written: the folder {path.parent} does not exist")
        if mode is None:
            return
        if stat.S_ISDIR(mode):
            raise error(f"{target} is a folder; expected the name of a file")
        if not stat.S_ISREG(mode):
            raise error(f"{target} is not an ordinary file; nothing was written")
        if not overwrite:
            raise error(f"{target} already exists; nothing was written; give another name, or "
                        "--overwrite to replace it")
        if not mode & 0o222 or not os.access(path, os.W_OK):
            raise error(f"{target} is write-protected; nothing was written")
        if (lock := _lock_of(path)) is not None:
            raise error(f"{target} is open in a spreadsheet program, which could overwrite it; nothing was written; "
                        f"close it there (if it is not open, delete {lock.name})")
    except OSError as reason:
        raise error(f"{target} cannot be written: {reason.strerror or reason}") from None


class OpenElsewhere(UserWarning):
    """A file that is read is open in a spreadsheet program, which may hold changes that are not saved yet."""


def check_readable(source: str | os.PathLike[str], error: type[BadInput] = BadInput) -> None:
    """Raises the error if it is not an ordinary file: a folder, a pipe and a device have no end or no content.

    Warns with `OpenElsewhere` of a file that is open in a spreadsheet program.
    """
    try:
        mode = Path(source).stat().st_mode
    except OSError as reason:
        raise error(f"{source} cannot be read: {reason.strerror or reason}") from None
    if not stat.S_ISREG(mode):
        raise error(f"{source} cannot be read: it is {'a folder' if stat.S_ISDIR(mode) else 'not an ordinary file'}")
    if _lock_of(Path(source)) is not None:
        warnings.warn(f"{source} is open in a spreadsheet program; changes that are not saved there cannot be read "
                      "here", OpenElsewhere, stacklevel=3)


@contextlib.contextmanager
def scratch(*, of_libraries: bool = False) -> Iterator[Path]:
    """A folder for temporary files while the block runs; those of runs that were killed are deleted.

    Parameters
    ----------
    of_libraries : whether libraries put their temporary files there too.
    """
    for path in Path(tempfile.gettempdir()).glob("pailbook-*"):
        match = _SCRATCH.fullmatch(path.name)
        if match and not _runs(int(match[1])) and _is_ours(path):
            shutil.rmtree(path, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix=f"pailbook-{os.getpid()}-", ignore_cleanup_errors=True) as folder:
        usual = tempfile.tempdir
        try:
            tempfile.tempdir = folder if of_libraries else usual
            yield Path(folder)
        finally:
            tempfile.tempdir = usual


def _mode(path: Path) -> int | None:
    """The kind of file and its permissions; None if there is none."""
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None


def _lock_of(path: Path) -> Path | None:
    """The file by which a spreadsheet program shows that it has this one open."""
    for lock in _LOCKS:
        with contextlib.suppress(OSError):  # the name may be too long
            if (file := path.with_name(lock.format(path.name))).exists():
                return file
    return None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _clear(folder: Path) -> None:
    """Removes temporary files of runs that are no longer running."""
    for path in folder.glob(".pailbook-*.tmp"):
        match = _LEFT_BEHIND.fullmatch(path.name)
        if match and not _runs(int(match[1])):
            with contextlib.suppress(OSError):
                path.unlink()


def _is_ours(path: Path) -> bool:
    try:
        return os.name == "nt" or path.lstat().st_uid == os.getuid()
    except OSError:
        return False


def _runs(process: int) -> bool:
    if process == os.getpid():
        return True
    if os.name == "nt":  # there, asking about a process would end it
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True  # somebody else's process
    return True
