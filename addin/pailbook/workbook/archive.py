"""The zip that a workbook's file is, read with care and written so that nothing else in it changes.

Libraries that load and save a workbook lose what they do not know: cached values, form controls, sparklines. Here a
part that does not change is copied byte for byte, still compressed.
"""

from __future__ import annotations

import copy
import os
from collections import Counter
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import IO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from pailbook.files import check_readable, replacing
from pailbook.outcomes import BadInput

MAX_SIZE = 1 << 30  # bytes that a workbook may unpack to
MODEST_SIZE = 64 << 20  # what any file may unpack to
MAX_RATIO = 300  # beyond that, how many times the size of its file

OLD_FORMAT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # the container of .xls files and of encrypted workbooks


class WorkbookError(BadInput):
    """A workbook's file that cannot be read, or must not be changed in the way asked for."""


class Archive:
    """The parts of a file, by name."""

    def __init__(self, path: str | os.PathLike[str]) -> None:
        """Read the file.

        Raises
        ------
        WorkbookError
            When the file does not exist or is not a sound, unprotected zip of a sensible size.
        """
        self.path = Path(path)
        check_readable(self.path, WorkbookError)
        try:
            self._data = self.path.read_bytes()
        except OSError as reason:
            raise self.error(f"cannot be read: {reason.strerror or reason}") from None
        if self._data.startswith(OLD_FORMAT):
            locked = "EncryptedPackage".encode("utf-16-le") in self._data
            raise self.error("is protected by a password; remove the password first" if locked
                             else "is an old .xls file; save it as .xlsx first")
        try:
            self._zip = ZipFile(BytesIO(self._data))
        except Exception:  # the library raises many kinds for an odd file
            raise self.error("is cut off or damaged" if self._data.startswith(b"PK") else "is not an .xlsx workbook"
                             ) from None
        self._check()

    def error(self, what: str) -> WorkbookError:
        """An error about this file."""
        return WorkbookError(f"{self.path} {what}")

    def _check(self) -> None:
        entries = self._zip.infolist()
        for name, count in Counter(entry.filename.casefold() for entry in entries).items():
            if count > 1:
                raise self.error(f"is damaged: it holds the part {name} {count} times")
        for entry in entries:
            name = entry.filename.replace("\\", "/")
            if name.startswith("/") or ":" in name or ".." in PurePosixPath(name).parts:
                raise self.error(f"holds a part with the unsafe name {entry.filename!r}")
            if entry.flag_bits & 1:
                raise self.error("is protected by a password; remove the password first")
        size = sum(entry.file_size for entry in entries)
        if size > MAX_SIZE or size > max(MODEST_SIZE, MAX_RATIO * len(self._data)):
            raise self.error(f"would unpack to {size / 2**20:.0f} MB, which is far too much for its size")

    def __contains__(self, part: str) -> bool:
        return part in self._zip.NameToInfo

    @property
    def part_names(self) -> tuple[str, ...]:
        """The names of all parts, in the file's order."""
        return tuple(self._zip.namelist())

    def read(self, part: str) -> bytes:
        """A part's content. WorkbookError when it is missing or damaged."""
        try:
            with self._zip.open(part) as content:
                return content.read(self._zip.getinfo(part).file_size + 1)  # not more, even if more is packed in it
        except KeyError:
            raise self.error(f"is damaged: it lacks the part {part}") from None
        except Exception:  # the library raises many kinds for an odd file
            raise self.error(f"is cut off or damaged in the part {part}") from None

    def save(
        self, target: str | os.PathLike[str], changed: Mapping[str, bytes | None], *, overwrite: bool = False
    ) -> None:
        """Write a copy in which some parts are changed, added or gone; all others stay byte for byte what they are.

        Parameters
        ----------
        target : the file to write, in full or not at all; it may be the file itself.
        changed : the new content of parts, some of which may be new; None removes a part.
        overwrite : whether a file that is there may be replaced.

        Raises
        ------
        WorkbookError
            When the target is there and must not be replaced, or cannot be written.
        """
        with replacing(target, overwrite=overwrite, like=self.path, error=WorkbookError) as file:
            self._write(file, changed)

    def _write(self, file: IO[bytes], changed: Mapping[str, bytes | None]) -> None:
        starts = sorted(entry.header_offset for entry in self._zip.infolist())
        end_of = dict(zip(starts, [*starts[1:], self._zip.start_dir]))
        with ZipFile(file, "w") as out:
            out.comment = self._zip.comment
            for entry in self._zip.infolist():
                if entry.filename in changed:
                    content = changed[entry.filename]
                    if content is not None:
                        new = ZipInfo(entry.filename, entry.date_time)
                        new.compress_type, new.external_attr = entry.compress_type, entry.external_attr
                        new.create_system, new.comment = entry.create_system, entry.comment
                        out.writestr(new, content)
                    continue
                same = copy.copy(entry)
                same.header_offset = file.tell()
                file.write(self._data[entry.header_offset:end_of[entry.header_offset]])
                out.filelist.append(same)
                out.NameToInfo[same.filename] = same
                out.start_dir = file.tell()  # where the next part goes, and the directory at the end
            for name, content in changed.items():
                if name not in self and content is not None:
                    new = ZipInfo(name, self._zip.infolist()[0].date_time)
                    new.compress_type, new.external_attr = ZIP_DEFLATED, 0o644 << 16
                    out.writestr(new, content)
