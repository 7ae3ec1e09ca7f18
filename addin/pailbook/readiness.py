"""What works on this computer, and what to do about the rest."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

import pailbook
from pailbook.hosts.calc import install as calc
from pailbook.hosts.calc.driver import find
from pailbook.hosts.calc.program import LEAST_VERSION_TEXT, Office
from pailbook.hosts.look import NOT_INSTALLED, Look, not_installed
from pailbook.outcomes import BadInput
from pailbook.terms import ACT, FINE, NOT_KNOWN

_EXTRA = "dask"
_ROOM = 200_000_000  # bytes for temporary files; a large log with its copy takes less


def looks(part: str, asked: bool) -> Iterator[Look]:
    """How a part stands; one that is not installed calls for action where it was asked for."""
    for look in CHECKS[part]():
        yield look._replace(state=ACT) if asked and look.missing else look


def _python() -> Iterator[Look]:
    yield Look("Pailbook", FINE, f"{pailbook.__version__} on Python {sys.version.split()[0]}")
    missing = [package for package in _needed_packages() if not _is_installed(package)]
    if missing:
        yield Look("Python packages", ACT, f"{NOT_INSTALLED}: {', '.join(missing)}", f"pip install {' '.join(missing)}")
    else:
        yield Look("Python packages", FINE, "all installed")


def _folders() -> Iterator[Look]:
    for what, folder in (("Current folder", Path.cwd()), ("Folder for temporary files", Path(tempfile.gettempdir()))):
        if not os.access(folder, os.W_OK | os.X_OK):
            yield Look(what, ACT, f"you may not write to {folder}", "change to a folder of your own")
        elif (room := shutil.disk_usage(folder).free) < _ROOM:
            yield Look(what, ACT, f"{folder} has only {room / 1e6:.0f} MB left", "free some space on that disk")
        else:
            yield Look(what, FINE, f"you can write to {folder}")


def _calc() -> Iterator[Look]:
    """LibreOffice, and the functions in it."""
    plain = "workbooks that you make with --plain work in any version"
    try:
        office = find()
    except BadInput as problem:
        yield Look("LibreOffice", ACT, str(problem))
        return
    if office is None:
        yield not_installed(
            "LibreOffice", f"install LibreOffice {LEAST_VERSION_TEXT} or newer for the functions there and for --pdf")
    elif not office.is_new_enough:
        yield not_installed("LibreOffice", f"install {LEAST_VERSION_TEXT} or newer; {plain}",
                            f"{office.version_text} at {office.program} is too old for the functions")
    else:
        yield Look("LibreOffice", FINE, f"{office.version_text} at {office.program}")
        try:
            yield _functions_in(office)
        except BadInput as problem:
            yield Look("Functions in LibreOffice", ACT, str(problem))


def _functions_in(office: Office) -> Look:
    what, step = "Functions in LibreOffice", "pailbook install calc"
    if calc.is_administrator():
        return not_installed(what, f"run {step} as an ordinary user",
                             f"{NOT_INSTALLED}: LibreOffice does not install them for the administrator (root)")
    installed = calc.installed_version(office)
    if installed is None:
        return not_installed(what, step)
    if installed != pailbook.__version__:
        return Look(what, ACT, f"they are of version {installed}, but Pailbook is {pailbook.__version__}", step)
    if calc.running_file():
        return Look(what, NOT_KNOWN, f"version {installed} is installed; it cannot be tried while LibreOffice runs",
                    "close LibreOffice, then run this again")
    wrong = calc.trouble(office)
    return (Look(what, ACT, f"version {installed} is installed, but {wrong}", step) if wrong
            else Look(what, FINE, f"version {installed} is installed and works"))


def _excel() -> Iterator[Look]:
    from pailbook.hosts.excel import computer, findings

    return findings.looks(computer.Computer())


def _workers() -> Iterator[Look]:
    missing = [package for package in _needed_packages(_EXTRA) if not _is_installed(package)]
    what = "Dask, which daily --workers needs"
    yield (not_installed(what, f"pip install {' '.join(missing)}") if missing
           else Look(what, FINE, "installed"))


def _completion() -> Iterator[Look]:
    """Whether the Tab key completes in this user's shell, as far as the file shows that Pailbook puts there."""
    what, shell = "Completion with the Tab key", Path(os.environ.get("SHELL", "")).stem
    step = "pailbook install completion"
    places = {"bash": ".bash_completions/pailbook.sh", "zsh": ".zfunc/_pailbook",
              "fish": ".config/fish/completions/pailbook.fish"}
    if shell not in places:
        yield Look(what, NOT_KNOWN, "this shell cannot be checked", f"{step} --help")
    elif (Path.home() / places[shell]).is_file():
        yield Look(what, FINE, f"installed for {shell}")
    else:
        yield not_installed(what, step, f"{NOT_INSTALLED} for {shell}")


def _needed_packages(extra: str = "") -> list[str]:
    """The names of the packages that Pailbook needs, or that it needs for an extra."""
    def belongs(line: str) -> bool:
        return f"extra == '{extra}'" in line.replace('"', "'") if extra else "extra ==" not in line

    lines = filter(belongs, requires("pailbook") or ())
    return ["".join(c if c.isalnum() or c in "-_." else " " for c in line).split()[0] for line in lines]


def _is_installed(package: str) -> bool:
    try:
        version(package)
    except PackageNotFoundError:
        return False
    return True


CHECKS: Mapping[str, Callable[[], Iterator[Look]]] = {
    "python": _python, "folders": _folders, "calc": _calc, "excel": _excel, "workers": _workers,
    "completion": _completion,
}
"""What can be checked, by the name that a user asks for."""
