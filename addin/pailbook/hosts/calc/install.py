"""Installs the extension in this user's LibreOffice, uninstalls it, and checks that it works."""

from __future__ import annotations

import os
from pathlib import Path

import openpyxl

import pailbook.functions  # noqa: F401 - fills the catalogue
from pailbook.files import scratch
from pailbook.function import CATALOGUE
from pailbook.hosts.calc import driver, extension
from pailbook.hosts.calc.extension import IDENTIFIER
from pailbook.hosts.calc.program import MACOS, WINDOWS, Office, OfficeError
from pailbook.hosts.call import call

_SECONDS = 120
_CHECKED = "AMMONIA_FRACTION"


def install() -> Office:
    """Install the extension for this user, in place of an older one, and call a function through it.

    Raises
    ------
    OfficeError
        When LibreOffice is missing, too old, running, or refuses, or when the function does not work.
    """
    office = driver.needed()
    _check_idle()
    with scratch() as folder:
        file = extension.build(folder / "pailbook.oxt")
        _manage(office, "add", "--force", "--suppress-license", str(file))
    if problem := trouble(office):
        raise OfficeError(f"the extension was installed in LibreOffice {office.version_text}, but {problem}")
    return office


def remove() -> bool:
    """Uninstall the extension; False if it was not installed.

    Raises
    ------
    OfficeError
        When LibreOffice is missing, running, or refuses.
    """
    office = driver.needed()
    _check_idle()
    if installed_version(office) is None:
        return False
    _manage(office, "remove", IDENTIFIER)
    return True


def installed_version(office: Office) -> str | None:
    """The version of the extension that is installed for this user, or None.

    Raises
    ------
    OfficeError
        When LibreOffice gives no list.
    """
    words = _manage(office, "list").split()  # "Identifier:" and "Version:" are words of the user's language
    return words[words.index(IDENTIFIER) + 2] if IDENTIFIER in words else None


def trouble(office: Office) -> str:
    """What is wrong when LibreOffice calls a function in this user's profile; empty if nothing is."""
    function = CATALOGUE[_CHECKED]
    expected = call(function, function.example)
    with scratch() as folder:
        book = openpyxl.Workbook()
        assert book.active is not None
        book.active["A1"] = f"={_CHECKED}({','.join(map(repr, function.example))})"
        file = folder / "check.xlsx"
        book.save(file)
        made = openpyxl.load_workbook(driver.made_of(office, file, ".xlsx", driver.UNSEEN, _SECONDS), data_only=True)
        assert made.active is not None
        found = made.active["A1"].value
    if isinstance(found, float) and abs(found - expected) < 1e-9:
        return ""
    return f"{_CHECKED} gives {found} there, not {expected:.6g}; start LibreOffice once, close it, and try again"


def running_file() -> Path | None:
    """The file by which LibreOffice shows that it is running for this user; None if it is not."""
    lock = user_profile() / ".lock"
    return lock if lock.exists() else None


def user_profile() -> Path:
    """Where LibreOffice keeps this user's settings."""
    if WINDOWS:
        return Path(os.environ.get("APPDATA", Path.home())) / "LibreOffice" / "4"
    if MACOS:
        return Path.home() / "Library" / "Application Support" / "LibreOffice" / "4"
    named = Path(os.environ.get("XDG_CONFIG_HOME") or "nowhere")
    return (named if named.is_dir() else Path.home() / ".config") / "libreoffice" / "4"  # as LibreOffice chooses


def is_administrator() -> bool:
    """Whether this user is one for whom LibreOffice refuses to install anything."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _check_idle() -> None:
    if lock := running_file():
        raise OfficeError("LibreOffice is running; close all its windows and the quick starter, then try again "
                          f"(if it is not running, delete the file {lock})")


def _manage(office: Office, *arguments: str) -> str:
    if is_administrator():
        raise OfficeError("LibreOffice does not install extensions for the administrator (root); run this command "
                          "as the user who wants the functions")
    status, output = driver.run(office.extension_manager, arguments, _SECONDS, "managing its extensions")
    if status:
        raise OfficeError(f"LibreOffice refused: {' '.join(output.split()) or f'status {status}'}")
    return output
