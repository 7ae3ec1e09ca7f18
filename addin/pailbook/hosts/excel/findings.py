"""Whether the functions can work in Excel here: what users of Python in Excel trip over most, looked at one by one."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

from pailbook.hosts.excel import compound, package, project
from pailbook.hosts.excel.computer import MAC, WINDOWS, Computer
from pailbook.hosts.look import ABSENT, ACT, FINE, NOTE, Look

_ADDIN, _PYTHON, _XLWINGS = "Functions in Excel", "Python for Excel", "xlwings"
_AGAIN = "pailbook install excel"
_BY_HAND = "xlwings_udfs"  # the module that xlwings writes when functions are imported by hand
_LIBRARY = re.compile(r"xlwings64-([\w.]+)\.dll")


def looks(computer: Computer) -> Iterator[Look]:
    """All that matters for the functions in Excel on that computer, in the order in which to mend it."""
    if computer.platform not in (WINDOWS, MAC):
        yield Look("Excel", ABSENT, "does not run on this system",
                   "pailbook install excel --build FOLDER makes the files for a computer with Excel")
        return
    if computer.platform == MAC:
        yield Look("Excel", NOTE, "runs the functions on macOS and in a browser through xlwings Lite", _AGAIN)
        return
    if not computer.has_excel:
        yield Look("Excel", ABSENT, "was not found on this computer", "install Excel, or use it in a browser: "
                   "pailbook install excel --build FOLDER writes the files for that")
        return
    yield from _python(computer)
    yield from _addin(computer)
    yield from _settings(computer)


def _python(computer: Computer) -> Iterator[Look]:
    if computer.python_is_from_store:
        yield Look(_PYTHON, ACT,
                   f"{computer.executable} comes from the app store, and Excel cannot start such a one",
                   "install Python from python.org and pailbook in it, then " + _AGAIN)
    if not computer.xlwings:
        yield Look(_XLWINGS, ACT, "not installed in this Python", f"pip install xlwings, then {_AGAIN}")
    elif missing := computer.missing_libraries:
        yield Look(_XLWINGS, ACT,
                   f"{' and '.join(missing)} of version {computer.xlwings} are missing beside Python",
                   f"install pailbook in an environment of its own (python -m venv), then there {_AGAIN}")
    else:
        yield Look(_XLWINGS, FINE, f"version {computer.xlwings} with its libraries beside {computer.executable}")
    if folder := computer.synced_folder:
        yield Look(_PYTHON, ACT, f"pailbook or Python lies in {folder}, which is kept in step with a server: its "
                   "files may be there by name alone, and then a module is not found",
                   f"install Python and pailbook outside that folder, then {_AGAIN}")


def _addin(computer: Computer) -> Iterator[Look]:
    addin = computer.addin
    if addin is None or not addin.exists():
        yield Look(_ADDIN, ABSENT, "not installed", "pailbook install excel")
        return
    try:
        macros, settings = package.macros(addin), package.settings_of(addin)
    except (OSError, KeyError, zipfile.BadZipFile, project.BadProject, compound.BadCompound) as reason:
        yield Look(_ADDIN, ACT, f"{addin} cannot be read: {reason}", f"delete it, then {_AGAIN}")
        return
    problems = list(_wrong_with(computer, addin, macros, settings))
    yield from problems
    if not problems:
        yield Look(_ADDIN, FINE, f"{addin} is that of this version and starts {settings.get('Interpreter_Win')}")
    if other := computer.other_addin:
        yield Look(_ADDIN, ACT, f"a second copy lies at {other}; two answer to the same names", f"delete {other}")
    yield Look("Values in Excel", NOTE, "a workbook shows the values that it was saved with until Excel computes it",
               "to compute all anew press Ctrl+Alt+F9; cells that show #NAME? then lack the add-in")


def _wrong_with(computer: Computer, addin: Path, macros: dict[str, str], settings: dict[str, str]) -> Iterator[Look]:
    python = settings.get("Interpreter_Win", "")
    if not Path(python).is_absolute() or not Path(python).exists():
        yield Look(_ADDIN, ACT, f"starts the Python {python or 'of no name'}, which is not there", _AGAIN)
    elif Path(python).parent != computer.executable.parent:
        yield Look(_ADDIN, NOTE, f"starts {python}, not the Python that this runs in, {computer.executable}",
                   f"if that is not meant, {_AGAIN}")
    made_for = {version for text in macros.values() for version in _LIBRARY.findall(text)}
    if computer.xlwings and made_for != {computer.xlwings}:
        yield Look(_ADDIN, ACT, f"is made for xlwings {', '.join(sorted(made_for)) or 'of unknown version'}, but "
                   f"{computer.xlwings} is installed", f"close Excel and {_AGAIN}")
    if any(macros.get(name) != text for name, text in package.expected_macros().items()):
        yield Look(_ADDIN, ACT, f"{addin} has the functions of another version of pailbook",
                   f"close Excel and {_AGAIN}")
    if _BY_HAND in macros:
        yield Look(_ADDIN, ACT, "functions were imported into it by hand, and those show Python's messages as "
                   "text in cells instead of errors", f"close Excel and {_AGAIN}")


def _settings(computer: Computer) -> Iterator[Look]:
    if computer.macros_are_off:
        yield Look("Macros in Excel", ACT, "are switched off in Excel, in trusted folders too",
                   "File, Options, Trust Center, Trusted Locations: take the tick from the line that switches all off")
    state = "on" if computer.may_import else "off"
    yield Look("Trust in macros", FINE, f"\"Trust access to the VBA project object model\" is {state}; the add-in "
               "works either way, only importing functions by hand needs it")
