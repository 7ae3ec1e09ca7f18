"""What keeps the functions from working in Excel, on made-up computers: each problem alone, and none on a good one."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest

from pailbook import readiness
from pailbook.hosts.excel import computer as computers
from pailbook.hosts.excel import installation, package, project
from pailbook.hosts.excel.computer import Computer
from pailbook.hosts.excel.findings import looks
from pailbook.hosts.look import Look
from pailbook.terms import ACT, FINE, WATCH
from test_excel_installation import SECURITY, VERSION, windows

PROGRAM = (r"Software\Microsoft\Windows\CurrentVersion\App Paths\excel.exe", "")


def computer(folder: Path, settings: dict[tuple[str, str], Any] | None = None, **changes: Any) -> Computer:
    return windows(folder, settings={PROGRAM: r"C:\Office\EXCEL.EXE", **(settings or {})}, **changes)


def problems(computer: Computer) -> list[Look]:
    return [look for look in looks(computer) if look.state == ACT]


@pytest.fixture
def installed(tmp_path: Path) -> Computer:
    made = computer(tmp_path)
    installation.install(made)
    return made


def test_nothing_is_wrong_after_an_installation(installed: Computer) -> None:
    found = list(looks(installed))
    assert [look.what for look in found if look.state == FINE] == [
        "xlwings", "Functions in Excel", "Values in Excel", "Trust in macros"]
    assert problems(installed) == []
    (values,) = [look for look in found if look.what == "Values in Excel"]
    assert "Ctrl+Alt+F9" in values.remedy


def test_every_problem_names_a_remedy_and_its_files(tmp_path: Path) -> None:
    bad = computer(tmp_path, python="WindowsApps/python.exe", xlwings="0.1",
                   settings={(SECURITY, "VBAWarnings"): 4,
                             (SECURITY + r"\Trusted Locations", "AllLocationsDisabled"): 1})
    found = problems(bad)
    assert [look.what for look in found] == ["Python for Excel", "xlwings", "Macros in Excel"]
    assert all(look.remedy and look.found for look in found)
    assert str(bad.executable) in found[0].found


def test_without_xlwings(tmp_path: Path) -> None:
    (found,) = problems(computer(tmp_path, xlwings=""))
    assert (found.what, found.found) == ("xlwings", "not installed in this Python")


def test_an_interpreter_that_is_gone(installed: Computer) -> None:
    installed.interpreter.unlink()
    (found,) = problems(installed)
    assert "pythonw.exe, which is not there" in found.found


def test_another_interpreter_is_only_a_watch(installed: Computer, tmp_path: Path) -> None:
    other = computer(tmp_path, python="Other/python.exe", libraries="Other")
    assert problems(other) == []
    assert any("but this command runs in" in look.found for look in looks(other) if look.state == WATCH)


def test_xlwings_was_updated_since(installed: Computer, tmp_path: Path) -> None:
    for bits in (64, 32):
        (tmp_path / "Python" / f"xlwings{bits}-9.9.9.dll").touch()
    (found,) = problems(computer(tmp_path, xlwings="9.9.9"))
    assert f"it was made for xlwings {VERSION}, but 9.9.9 is installed" in found.found


def change_macros(path: Path, **texts: str) -> None:
    with zipfile.ZipFile(path) as parts:
        contents = {name: parts.read(name) for name in parts.namelist()}
    contents["xl/vbaProject.bin"] = project.with_modules(contents["xl/vbaProject.bin"], texts, "Pailbook")
    with zipfile.ZipFile(path, "w") as made:
        for name, data in contents.items():
            made.writestr(name, data)


def test_functions_of_another_version(installed: Computer) -> None:
    assert installed.addin is not None
    text = package.macros(installed.addin)["PailbookFunctions"].replace("pailbook 0.", "pailbook 99.")
    change_macros(installed.addin, PailbookFunctions=text)
    (found,) = problems(installed)
    assert "another version of Pailbook" in found.found


def test_functions_imported_by_hand(installed: Computer) -> None:
    assert installed.addin is not None
    change_macros(installed.addin, xlwings_udfs='Attribute VB_Name = "xlwings_udfs"\r\n')
    (found,) = problems(installed)
    assert "Python's messages as text in cells" in found.found


def test_an_add_in_that_cannot_be_read(installed: Computer) -> None:
    assert installed.addin is not None
    installed.addin.write_bytes(b"nothing")
    (found,) = problems(installed)
    assert "cannot be read" in found.found


def test_a_second_copy(installed: Computer, tmp_path: Path) -> None:
    other = tmp_path / "Roaming" / "Microsoft" / "AddIns" / package.ADDIN
    other.parent.mkdir(parents=True)
    assert installed.addin is not None
    shutil.copy(installed.addin, other)
    (found,) = problems(installed)
    assert str(other) in found.found


def test_a_synced_folder(tmp_path: Path) -> None:
    cloud = {"APPDATA": str(tmp_path / "Roaming"), "OneDrive": str(tmp_path)}
    (found,) = problems(computer(tmp_path, environment=cloud))
    assert "does not find a module" in found.found


def test_macros_that_are_off(installed: Computer, tmp_path: Path) -> None:
    off = {(SECURITY, "VBAWarnings"): 4, (SECURITY + r"\Trusted Locations", "AllLocationsDisabled"): 1}
    (found,) = problems(computer(tmp_path, settings=off))
    assert found.what == "Macros in Excel"


@pytest.mark.parametrize("state", [True, False])
def test_the_trust_setting_is_shown_but_not_needed(installed: Computer, tmp_path: Path, state: bool) -> None:
    settings = {(SECURITY, "AccessVBOM"): 1} if state else {}
    (found,) = [look for look in looks(computer(tmp_path, settings=settings)) if look.what == "Trust in macros"]
    assert found.state == FINE
    assert f"is {'on' if state else 'off'};" in found.found


@pytest.mark.parametrize(("platform", "state", "remedy"), [
    ("linux", FINE, "--build FOLDER"), ("darwin", FINE, "pailbook install excel"), ("win32", WATCH, "install Excel")])
def test_without_excel(platform: str, state: str, remedy: str) -> None:
    (found,) = looks(Computer(platform=platform, setting=lambda key, name: None))
    assert found.state == state
    assert remedy in found.remedy


def test_ready_reports_on_excel(monkeypatch: pytest.MonkeyPatch, installed: Computer) -> None:
    """A part that is not installed calls for action only where it was asked for; a broken one always does."""
    def works(computer: Computer, asked: bool) -> list[bool]:
        monkeypatch.setattr(computers, "Computer", lambda: computer)
        return [look.state != ACT for look in readiness.looks("excel", asked)]

    elsewhere = Computer(platform="linux")
    assert works(elsewhere, False) == [True]
    assert works(elsewhere, True) == [False]
    assert all(works(installed, True))
    installed.interpreter.unlink()
    assert not all(works(installed, False))
