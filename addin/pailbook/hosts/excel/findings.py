"""Whether the functions can work in Excel here: the usual troubles of Python in Excel, checked one by one."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

from pailbook.hosts.excel import compound, package, project
from pailbook.hosts.excel.computer import MAC, WINDOWS, Computer
from pailbook.hosts.look import Look, not_installed
from pailbook.terms import ACT, FINE, WATCH

_ADDIN, _PYTHON, _XLWINGS = "Functions in Excel", "Python for Excel", "xlwings"
_AGAIN = "pailbook install excel"
_BY_HAND = "xlwings_udfs"  # the module that xlwings writes when functions are imported by hand
_LIBRARY = re.compile(r"xlwings64-([\w.]+)\.dll")


def looks(computer: Computer) -> Iterator[Look]:
    """All that matters for the functions in Excel on that computer, in the order in which to put it right."""
    if computer.platform not in (WINDOWS, MAC):
        yield Look("Excel", FINE, "Excel does not run on this system, and nothing here needs it",
                   "pailbook install excel --build FOLDER makes the files for a computer with Excel", missing=True)
        return
    if computer.platform == MAC:
        yield Look("Excel", FINE, "on macOS and in a browser Excel runs the functions through xlwings Lite", _AGAIN)
        return
    if not computer.has_excel:
        yield not_installed("Excel", "install Excel, or use it in a browser: pailbook install excel --build FOLDER "
                            "makes the files for that")
        return
    yield from _python(computer)
    yield from _addin(computer)
    yield from _settings(computer)


def _python(computer: Computer) -> Iterator[Look]:
    if computer.python_is_from_store:
        yield Look(_PYTHON, ACT,
                   f"{computer.executable} comes from the app store, and Excel cannot start a Python from there",
                   f"install Python from python.org and Pailbook in it, then run {_AGAIN}")
    if not computer.xlwings:
        yield Look(_XLWINGS, ACT, "not installed in this Python", f"pip install xlwings, then run {_AGAIN}")
    elif missing := computer.missing_libraries:
        yield Look(_XLWINGS, ACT,
                   f"{' and '.join(missing)} of xlwings {computer.xlwings} were not found beside Python",
                   f"install Pailbook in an environment of its own (python -m venv), then run {_AGAIN} there")
    else:
        yield Look(_XLWINGS, FINE,
                   f"version {computer.xlwings} is installed, with its libraries beside {computer.executable}")
    if folder := computer.synced_folder:
        yield Look(_PYTHON, ACT, f"Pailbook or Python is in {folder}, which is synchronised with a server: its files "
                   "may not have been downloaded yet, and then Python does not find a module",
                   f"install Python and Pailbook outside that folder, then run {_AGAIN}")


def _addin(computer: Computer) -> Iterator[Look]:
    addin = computer.addin
    if addin is None or not addin.exists():
        yield not_installed(_ADDIN, _AGAIN)
        return
    try:
        macros, settings = package.macros(addin), package.settings_of(addin)
    except (OSError, KeyError, zipfile.BadZipFile, project.BadProject, compound.BadCompound) as reason:
        yield Look(_ADDIN, ACT, f"{addin} cannot be read: {reason}", f"delete it, then run {_AGAIN}")
        return
    problems = list(_wrong_with(computer, addin, macros, settings))
    yield from problems
    if not problems:
        yield Look(_ADDIN, FINE, f"{addin} is of this version and starts {settings.get('Interpreter_Win')}")
    if other := computer.other_addin:
        yield Look(_ADDIN, ACT, f"there is a second copy at {other}, and both have functions of the same names",
                   f"delete {other}")
    yield Look("Values in Excel", FINE, "until Excel recalculates a workbook, it shows the values saved in it",
               "press Ctrl+Alt+F9 to recalculate everything; if cells then show #NAME?, the add-in is not loaded")


def _wrong_with(computer: Computer, addin: Path, macros: dict[str, str], settings: dict[str, str]) -> Iterator[Look]:
    python = settings.get("Interpreter_Win", "")
    if not Path(python).is_absolute() or not Path(python).exists():
        yield Look(_ADDIN, ACT, f"it starts {python or 'a Python that is not named'}, which is not there", _AGAIN)
    elif Path(python).parent != computer.executable.parent:
        yield Look(_ADDIN, WATCH, f"it starts {python}, but this command runs in {computer.executable}",
                   f"if that is not what you want, run {_AGAIN}")
    made_for = {version for text in macros.values() for version in _LIBRARY.findall(text)}
    if computer.xlwings and made_for != {computer.xlwings}:
        yield Look(_ADDIN, ACT, f"it was made for xlwings {', '.join(sorted(made_for)) or 'of unknown version'}, but "
                   f"{computer.xlwings} is installed", f"close Excel, then run {_AGAIN}")
    if any(macros.get(name) != text for name, text in package.expected_macros().items()):
        yield Look(_ADDIN, ACT, f"{addin} has the functions of another version of Pailbook",
                   f"close Excel, then run {_AGAIN}")
    if _BY_HAND in macros:
        yield Look(_ADDIN, ACT, "functions were imported into it by hand; those show Python's messages as text in "
                   "cells instead of errors", f"close Excel, then run {_AGAIN}")


def _settings(computer: Computer) -> Iterator[Look]:
    if computer.macros_are_off:
        yield Look("Macros in Excel", ACT, "Excel runs no macros, not even in trusted folders",
                   "in File, Options, Trust Center, Trusted Locations untick the line that disables all of them")
    state = "on" if computer.may_import else "off"
    yield Look("Trust in macros", FINE, f"\"Trust access to the VBA project object model\" is {state}; the add-in "
               "works either way, since only importing functions by hand needs it")
