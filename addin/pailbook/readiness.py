"""What works on this computer, and what to do about the rest."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, requires, version

import pailbook
from pailbook.hosts.calc import install as calc
from pailbook.hosts.calc.driver import find
from pailbook.hosts.calc.program import LEAST_VERSION
from pailbook.outcomes import BadInput


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at."""

    what: str
    state: str
    next_step: str = ""  # what to do, where there is something to do
    fine: bool = True  # not fine: it does not work though it is installed or was asked for


def python(asked: bool) -> list[Finding]:
    """Python and the packages that ours needs."""
    found = [Finding("Pailbook", f"{pailbook.__version__} on Python {sys.version.split()[0]}")]
    for package in _needed_packages():
        try:
            version(package)
        except PackageNotFoundError:
            found.append(Finding(f"Python package {package}", "missing", f"pip install {package}", fine=False))
    if len(found) == 1:
        found.append(Finding("Python packages", "all that are needed"))
    return found


def _needed_packages() -> list[str]:
    lines = [line for line in requires("pailbook") or () if "extra ==" not in line]
    return ["".join(c if c.isalnum() or c in "-_." else " " for c in line).split()[0] for line in lines]


def libreoffice(asked: bool) -> list[Finding]:
    """LibreOffice, and the functions in it."""

    least = ".".join(map(str, LEAST_VERSION))
    plain = "plain workbooks need no functions: pailbook new --plain"
    try:
        office = find()
    except BadInput as problem:
        return [Finding("LibreOffice", str(problem), fine=False)]
    if office is None:
        return [Finding("LibreOffice", "not found", f"to use the functions there, install {least} or newer", not asked)]
    if not office.is_new_enough:
        return [Finding("LibreOffice", f"{office.version_text} at {office.program}, too old for the functions",
                        f"install {least} or newer; {plain}", not asked)]
    found = [Finding("LibreOffice", f"{office.version_text} at {office.program}")]
    what = "Functions in LibreOffice"
    if calc.is_administrator():
        return [*found, Finding(what, "not for the administrator (root)", "run this as an ordinary user", not asked)]
    try:
        installed = calc.installed_version(office)
        if installed is None:
            step = Finding(what, "not installed", "pailbook install calc", not asked)
        elif installed != pailbook.__version__:
            step = Finding(what, f"version {installed}, but Pailbook is {pailbook.__version__}",
                           "pailbook install calc", False)
        elif calc.running_file():
            step = Finding(what, f"version {installed}; not tried, since LibreOffice is running")
        else:
            wrong = calc.trouble(office)
            step = Finding(what, f"version {installed}, but {wrong}" if wrong else f"version {installed} works",
                           "pailbook install calc" if wrong else "", not wrong)
    except BadInput as problem:
        step = Finding(what, str(problem), fine=False)
    return [*found, step]


def excel(asked: bool) -> list[Finding]:
    """Excel, and the functions in it."""
    from pailbook.hosts.excel import computer, findings

    bad = {findings.PROBLEM, findings.ABSENT} if asked else {findings.PROBLEM}
    return [Finding(look.what, look.told, look.remedy, look.state not in bad)
            for look in findings.looks(computer.Computer())]


CHECKS: Mapping[str, Callable[[bool], list[Finding]]] = {"python": python, "calc": libreoffice, "excel": excel}
"""What can be looked at, by the name that a user asks for; each is told whether it was asked for by name."""
