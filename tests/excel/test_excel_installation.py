"""`pailbook install excel` on each system, with stand-ins for the folders, Python and settings of Windows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from pailbook import __version__
from pailbook.commands.app import app
from pailbook.commands.install_excel import excel as _enters_the_command  # noqa: F401
from pailbook.hosts.excel import computer as computers
from pailbook.hosts.excel import installation, package
from pailbook.hosts.excel.computer import Computer
from pailbook.outcomes import BadInput

VERSION = computers.xlwings_version()  # whose templates are here
SECURITY = r"Software\Microsoft\Office\16.0\Excel\Security"
POLICY = r"Software\Policies\Microsoft\Office\16.0\Excel\Security"


def windows(folder: Path, python: str = "Python/python.exe", libraries: str = "Python", windowless: bool = True,
            settings: dict[tuple[str, str], Any] | None = None, **changes: Any) -> Computer:
    """A computer with Windows, Excel's folders and a Python, all in that folder."""
    executable = folder / python
    executable.parent.mkdir(parents=True, exist_ok=True)
    executable.touch()
    if windowless:
        executable.with_name("pythonw.exe").touch()
    (folder / libraries).mkdir(parents=True, exist_ok=True)
    for bits in (64, 32):
        (folder / libraries / f"xlwings{bits}-{VERSION}.dll").touch()
    found = settings or {}
    known: dict[str, Any] = {
        "platform": "win32", "executable": executable, "environment": {"APPDATA": str(folder / "Roaming")},
        "setting": lambda key, name: found.get((key, name)), "xlwings": VERSION, "package": folder / "site-packages",
    }
    return Computer(**known | changes)




def test_windows_gets_the_add_in_where_excel_opens_it(tmp_path: Path) -> None:
    computer = windows(tmp_path)
    lines = installation.install(computer)
    addin = tmp_path / "Roaming" / "Microsoft" / "Excel" / "XLSTART" / "Pailbook.xlam"
    assert lines[0] == f"wrote {addin}"
    assert package.macros(addin) == {**package.macros(addin), **package.expected_macros()}
    assert any("Trust access to the VBA project object model" in line and "not needed" in line for line in lines)
    assert any(str(tmp_path / "Python" / "pythonw.exe") in line for line in lines)
    installation.install(computer)  # an update replaces it
    assert installation.remove(computer) == [f"removed {addin}"]
    assert not addin.exists()
    assert "the add-in was not installed" in installation.remove(computer)[0]


def test_a_virtual_environments_python_finds_its_libraries_one_folder_up(tmp_path: Path) -> None:
    computer = windows(tmp_path, python="venv/Scripts/python.exe", libraries="venv")
    assert computer.missing_libraries == []
    assert computer.interpreter.name == "pythonw.exe"


def test_a_python_without_a_windowless_form_serves_as_it_is(tmp_path: Path) -> None:
    assert windows(tmp_path, windowless=False).interpreter.name == "python.exe"


def test_libraries_of_another_version_are_missing_ones(tmp_path: Path) -> None:
    computer = windows(tmp_path, xlwings="9.9.9")
    assert computer.missing_libraries == ["xlwings64-9.9.9.dll", "xlwings32-9.9.9.dll"]
    with pytest.raises(BadInput, match=r"xlwings64-9\.9\.9\.dll and .* of xlwings 9\.9\.9"):
        installation.install(computer)
    assert not (tmp_path / "Roaming").exists()


@pytest.mark.parametrize("python", [
    "WindowsApps/python.exe", "AppData/Local/Microsoft/WindowsApps/PythonSoftwareFoundation.Python.3.12/python.exe"])
def test_a_python_from_the_store_is_refused(python: str, tmp_path: Path) -> None:
    computer = windows(tmp_path, python=python, libraries=str(Path(python).parent))
    with pytest.raises(BadInput, match="comes from the app store"):
        installation.install(computer)


def test_an_unknown_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="APPDATA is not set"):
        installation.install(windows(tmp_path, environment={}))
    assert "the add-in was not installed" in installation.remove(windows(tmp_path, environment={}))[0]


def test_a_file_that_excel_holds_open_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    computer = windows(tmp_path)
    installation.install(computer)

    def held(*_: Any, **__: Any) -> None:
        raise PermissionError

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", held)
        with pytest.raises(BadInput, match="close Excel"):
            installation.install(computer)
    assert package.macros(tmp_path / "Roaming/Microsoft/Excel/XLSTART/Pailbook.xlam")  # the old one is still there
    monkeypatch.setattr(Path, "unlink", held)
    with pytest.raises(BadInput, match="close Excel"):
        installation.remove(computer)


def test_settings_of_windows(tmp_path: Path) -> None:
    off = {(SECURITY, "VBAWarnings"): 4, (SECURITY + r"\Trusted Locations", "AllLocationsDisabled"): 1}
    assert windows(tmp_path, settings=off).macros_are_off
    assert not windows(tmp_path, settings={(SECURITY, "VBAWarnings"): 4}).macros_are_off  # the folder is trusted
    assert not windows(tmp_path).macros_are_off
    by_policy = {(POLICY, "VBAWarnings"): 2, **off}
    assert not windows(tmp_path, settings=by_policy).macros_are_off
    assert windows(tmp_path, settings={(SECURITY, "AccessVBOM"): 1}).may_import
    assert not windows(tmp_path).may_import


def test_a_synced_folder_is_seen(tmp_path: Path) -> None:
    assert windows(tmp_path).synced_folder is None
    synced = windows(tmp_path, environment={"OneDriveCommercial": str(tmp_path / "Cloud")},
                     package=tmp_path / "Cloud" / "Python" / "site-packages")
    assert synced.synced_folder == tmp_path / "Cloud"


def test_the_settings_of_this_computer_can_be_asked_anywhere() -> None:
    assert Computer().setting("Software\\Nothing of that name", "nothing") is None
    assert Computer().xlwings.count(".") >= 2


# The command ----------------------------------------------------------------------------------------------


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["install", "excel", *arguments])
    if isinstance(result.exception, BadInput):
        return 2, str(result.exception)
    return result.exit_code, result.output


def on(monkeypatch: pytest.MonkeyPatch, computer: Computer) -> None:
    monkeypatch.setattr(computers, "Computer", lambda: computer)


def test_elsewhere_it_says_what_cannot_be_done_and_offers_to_build(monkeypatch: pytest.MonkeyPatch) -> None:
    on(monkeypatch, Computer(platform="linux"))
    status, output = run()
    assert status == 2
    assert "Excel does not run on this system" in output
    assert "pailbook install excel --build FOLDER" in output


def test_all_files_are_built_anywhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    on(monkeypatch, Computer(platform="linux"))
    status, output = run("--build", str(tmp_path / "new"), "--python", r"C:\Python\pythonw.exe")
    assert status == 0
    assert r"C:\Python\pythonw.exe" in output
    found = sorted(str(path.relative_to(tmp_path / "new")) for path in (tmp_path / "new").rglob("*") if path.is_file())
    assert found == ["Pailbook.xlam", "Pailbook.xlsm", "lite/main.py", "lite/requirements.txt", "lite/steps.txt"]
    assert (tmp_path / "new/lite/requirements.txt").read_text() == f"xlwings\npailbook=={__version__}\n"
    (tmp_path / "new/Pailbook.xlam").unlink()
    (tmp_path / "new/Pailbook.xlsm").unlink()
    status, output = run("--build", str(tmp_path / "new"))
    assert status == 2
    assert "main.py already exists" in output
    assert not (tmp_path / "new/Pailbook.xlam").exists()
    assert run("--build", str(tmp_path / "new"), "--overwrite")[0] == 0


def test_what_the_browsers_python_runs_gives_the_functions(tmp_path: Path) -> None:
    installation.build_lite(tmp_path)
    names: dict[str, Any] = {}
    exec((tmp_path / "main.py").read_text(), names)
    assert names["AMMONIA_FRACTION"](8.0, 25.0)[0][0] == pytest.approx(0.054, abs=0.0005)
    steps = (tmp_path / "steps.txt").read_text().splitlines()
    assert "Microsoft 365 and Excel in a browser show true errors" in " ".join(steps)
    assert [line[:2] for line in steps[:5]] == ["1.", "2.", "3.", "4.", "5."]


def test_on_macos_the_files_for_the_browsers_form_are_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    on(monkeypatch, Computer(platform="darwin"))
    monkeypatch.chdir(tmp_path)
    status, output = run()
    assert status == 0
    assert "xlwings Lite" in output
    assert (tmp_path / "pailbook-excel" / "main.py").exists()


def test_on_windows_it_installs_and_removes(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    computer = windows(tmp_path)
    on(monkeypatch, computer)
    assert run()[0] == 0
    assert computer.addin is not None
    assert computer.addin.exists()
    assert run("--remove")[0] == 0
    assert not computer.addin.exists()
