"""Where LibreOffice is on this computer, and which version it is."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pailbook.outcomes import BadInput

VARIABLE = "PAILBOOK_LIBREOFFICE"  # names the program if it is in none of the usual places
LEAST_VERSION = (25, 2)  # older ones cannot read our functions from a file under their names
LEAST_VERSION_TEXT = ".".join(map(str, LEAST_VERSION))
WINDOWS, MACOS = sys.platform == "win32", sys.platform == "darwin"


class OfficeError(BadInput):
    """LibreOffice is missing, is too old, or failed."""


@dataclass(frozen=True)
class Office:
    """An installed LibreOffice."""

    program: Path
    version: tuple[int, ...]  # (25, 2, 3, 2); empty if not known

    @property
    def version_text(self) -> str:
        """The version, such as 25.2.3.2."""
        return ".".join(map(str, self.version)) or "(version not known)"

    @property
    def is_new_enough(self) -> bool:
        """Whether it reads our functions from files under their names."""
        return self.version[:2] >= LEAST_VERSION

    @property
    def extension_manager(self) -> Path:
        """The program that installs extensions; it is beside LibreOffice itself."""
        names = ("unopkg.com", "unopkg.exe") if WINDOWS else ("unopkg", "unopkg.bin")
        places = [self.program.parent / name for name in names]
        places += [self.program.resolve().parent / name for name in names]
        return next((place for place in places if place.exists()), places[0])


def find() -> Office | None:
    """The LibreOffice that the environment variable names, or the first that serves in PATH and usual places.

    If none is new enough, the first; None if there is none at all.

    Raises
    ------
    OfficeError
        When the variable names something that does not exist.
    """
    named = os.environ.get(VARIABLE)
    if named:
        program = _program_of(Path(named))
        if program is None:
            raise OfficeError(f"{VARIABLE} names {named}, where there is no LibreOffice; "
                              "expected the program soffice or its folder")
        return Office(program, _version(program))
    first = None
    for program in _installed():
        office = Office(program, _version(program))
        if office.is_new_enough:
            return office
        first = first or office
    return first


def needed() -> Office:
    """The LibreOffice of this computer.

    Raises
    ------
    OfficeError
        When it is not installed or too old; the message says what to do.
    """
    office = find()
    if office is None:
        raise OfficeError(
            f"LibreOffice was not found; install LibreOffice {LEAST_VERSION_TEXT} or newer, or set the environment "
            f"variable {VARIABLE} to its program soffice. Plain workbooks need no add-in: pailbook new --plain")
    if not office.is_new_enough:
        raise OfficeError(
            f"LibreOffice {office.version_text} at {office.program} is too old for the functions; install "
            f"{LEAST_VERSION_TEXT} or newer (or set {VARIABLE} to it), or use plain workbooks, which need no add-in: "
            "pailbook new --plain")
    return office


def _installed() -> Iterator[Path]:
    for name in _names():
        if inside_path := shutil.which(name):
            yield Path(inside_path)
    for folder in _usual_folders():
        if program := _program_of(folder):
            yield program


def _names() -> tuple[str, ...]:
    return ("soffice.com", "soffice.exe") if WINDOWS else ("soffice", "libreoffice")


def _usual_folders() -> Iterator[Path]:
    if WINDOWS:
        for variable in ("ProgramW6432", "ProgramFiles", "ProgramFiles(x86)"):
            if programs := os.environ.get(variable):
                yield from sorted(Path(programs).glob("LibreOffice*/program"), reverse=True)
    elif MACOS:
        for folder in (Path("/Applications"), Path.home() / "Applications"):
            yield from sorted(folder.glob("LibreOffice*.app/Contents/MacOS"), reverse=True)
    else:
        yield from (Path("/usr/bin"), Path("/usr/local/bin"), Path("/usr/lib/libreoffice/program"))
        yield from sorted(Path("/opt").glob("libreoffice*/program"), reverse=True)
        yield Path("/snap/bin")


def _program_of(place: Path) -> Path | None:
    """The program itself, from its path or a folder that it is in."""
    if place.is_file():
        return place
    inner = ("", "program", "Contents/MacOS")
    return next((p for part in inner for name in _names() if (p := place / part / name).is_file()), None)


@cache
def _version(program: Path) -> tuple[int, ...]:
    try:
        answer = subprocess.run([program, "--version"], capture_output=True, text=True, errors="replace",
                                env=environment(), stdin=subprocess.DEVNULL, timeout=60, check=False).stdout
    except (OSError, subprocess.TimeoutExpired):
        return ()
    found = re.search(r"LibreOffice\D* (\d+(?:\.\d+)+)", answer)
    return tuple(map(int, found[1].split("."))) if found else ()


def environment() -> dict[str, str]:
    """The environment to start LibreOffice in: the user's, without what points at another Python than its own."""
    found = {name: value for name, value in os.environ.items()
             if not name.startswith(("PYTHON", "VIRTUAL_ENV", "CONDA"))}
    if not (WINDOWS or MACOS):
        found["PATH"] = "/usr/bin:/bin"  # its Python is the first python3 there; a virtual environment's lacks `uno`
        if not any(found.get(name) for name in ("LC_ALL", "LC_CTYPE", "LANG")):
            found["LANG"] = "C.UTF-8"  # otherwise file names with other letters than A to Z are not found
    return found
