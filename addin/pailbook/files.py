"""Files written in full or not at all.

A file is written beside its place under a name of its own and takes that place at the end. What a run leaves behind
that was killed in the middle, the next run that writes there clears away.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from pailbook.outcomes import BadInput

_LEFT_BEHIND = re.compile(r"\.pailbook-(\d+)-\w+\.tmp")


@contextlib.contextmanager
def replacing(
    target: str | os.PathLike[str], *, overwrite: bool = False, like: Path | None = None,
    error: type[BadInput] = BadInput,
) -> Iterator[IO[bytes]]:
    """A file to write into, which becomes the target when the block ends without an exception.

    Parameters
    ----------
    target : the file to be.
    overwrite : whether a file that is there may be replaced.
    like : a file whose permissions the new one gets.
    error : what is raised when the target is there and must not be replaced, or cannot be written.
    """
    check_free(target, overwrite=overwrite, error=error)
    path = Path(target).resolve()
    temporary = None
    try:
        _clear(path.parent)
        with tempfile.NamedTemporaryFile(
            dir=path.parent, prefix=f".pailbook-{os.getpid()}-", suffix=".tmp", delete=False
        ) as file:
            temporary = Path(file.name)
            yield file
            file.flush()
            os.fsync(file.fileno())
        if like is not None:
            shutil.copymode(like, temporary)
        else:
            temporary.chmod(0o666 & ~_umask())
        check_free(target, overwrite=overwrite, error=error)  # another run may have come first
        temporary.replace(path)
    except OSError as reason:
        raise error(f"{target} cannot be written: {reason.strerror or reason}") from None
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def check_free(target: str | os.PathLike[str], *, overwrite: bool, error: type[BadInput] = BadInput) -> None:
    """Raises the error where a file is there that must not be replaced, or its folder is not there."""
    path = Path(target)
    if not overwrite and path.exists():
        raise error(f"{target} is there already; nothing was written, since it is not to be overwritten")
    if not path.parent.is_dir():
        raise error(f"{target} cannot be written: there is no folder {path.parent}")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _clear(folder: Path) -> None:
    """Removes what runs left behind that are no longer running."""
    for path in folder.glob(".pailbook-*.tmp"):
        match = _LEFT_BEHIND.fullmatch(path.name)
        if match and not _runs(int(match[1])):
            with contextlib.suppress(OSError):
                path.unlink()


def _runs(process: int) -> bool:
    if process == os.getpid():
        return True
    if os.name == "nt":  # where asking about a process would end it
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True  # somebody else's
    return True
