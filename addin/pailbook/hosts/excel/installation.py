"""The functions installed where Excel finds them: the add-in on Windows, files for xlwings Lite everywhere else."""

from __future__ import annotations

from pathlib import Path

from pailbook import __version__
from pailbook.files import check_free, replacing
from pailbook.hosts.excel.computer import Computer
from pailbook.hosts.excel.package import ADDIN, WORKBOOK, CannotBuild, build, make_folder

MAIN, REQUIREMENTS, STEPS = "main.py", "requirements.txt", "steps.txt"
_LITE = "lite"  # the folder for the browser's form within a folder with everything
_MAIN_TEXT = '"""Pailbook\'s worksheet functions."""\n\nfrom pailbook.hosts.excel import *\n'
_LITE_STEPS = (
    "In Excel (2021 or newer, Microsoft 365, or in a browser) add xlwings Lite: Home, Add-ins, search for xlwings.",
    f"Open it from the Home tab, choose the tab {REQUIREMENTS}, and paste the lines of the file {REQUIREMENTS} there.",
    f"Choose the tab {MAIN}, and paste the lines of the file {MAIN} there; wait until it says that it is done.",
    "Type =AMMONIA_FRACTION(7.6,20) into a cell: it must show about 0.0155.",
    "The code is stored in the workbook: do the same in each workbook, or start new ones from a copy of this one.",
)
_LITE_NOTES = (
    "Microsoft 365 and Excel in a browser show true errors. Excel 2021 and 2024 show them as text, which SUM and",
    "AVERAGE skip; with those, use the add-in on Windows (pailbook install excel).",
    "The values are recalculated when the code is loaded; until then the cells show the last ones.",
)


def install(computer: Computer, *, overwrite: bool = True) -> list[str]:
    """Install the add-in where Excel opens it when it starts.

    Returns
    -------
    list of str
        What was done and what to do next, one line each.

    Raises
    ------
    CannotBuild
        When this Python cannot serve Excel, or the file cannot be written; the message says what to do.
    """
    addin = computer.addin
    if addin is None:
        raise CannotBuild("the folder from which Excel starts add-ins is not known: the environment variable APPDATA "
                          "is not set")
    if computer.python_is_from_store:
        raise CannotBuild(f"{computer.executable} comes from the app store, and Excel cannot start a Python from "
                          "there; install Python from python.org, install Pailbook in it, and run this again")
    if missing := computer.missing_libraries:
        raise CannotBuild(f"{' and '.join(missing)} of xlwings {computer.xlwings} were found neither beside "
                          f"{computer.executable} nor one folder above, where Excel looks for them; install Pailbook "
                          "in an environment of its own (python -m venv) and run this from there")
    try:
        build(addin, settings(computer.interpreter), overwrite=overwrite)
    except CannotBuild as problem:
        if isinstance(problem.__cause__, PermissionError):
            raise CannotBuild(f"{addin} cannot be written; close Excel and run this again") from None
        raise
    return [
        f"wrote {addin}",
        f"It starts {computer.interpreter} with xlwings {computer.xlwings}.",
        "If Excel is open, close it, then start it: it opens every file in that folder and trusts the macros in it.",
        "Type =AMMONIA_FRACTION(7.6,20) into a cell: it must show about 0.0155.",
        "The setting \"Trust access to the VBA project object model\" (File, Options, Trust Center, Macro Settings) is "
        "not needed, since the macros are in the file. Only importing functions by hand with xlwings needs it.",
        "After you update Pailbook or xlwings, or move Python, run: pailbook install excel",
        "To uninstall it, run: pailbook install excel --remove",
    ]


def remove(computer: Computer) -> list[str]:
    """Uninstall the add-in; what was done, in lines.

    Raises
    ------
    CannotBuild
        When the file cannot be deleted.
    """
    addin = computer.addin
    if addin is None or not addin.exists():
        return [f"the add-in was not installed: there is no {addin or ADDIN}"]
    try:
        addin.unlink()
    except PermissionError:
        raise CannotBuild(f"{addin} cannot be deleted; close Excel and run this again") from None
    return [f"removed {addin}"]


def settings(interpreter: Path | str) -> dict[str, str]:
    """What the add-in needs to know of Python; it leaves out a workbook's folder, so that no file there is run."""
    return {"Interpreter_Win": str(interpreter), "Add_Workbook_To_Pythonpath": "false"}


def build_lite(folder: Path, *, overwrite: bool = False) -> list[str]:
    """Write the files for xlwings Lite into a folder; what was done and the steps, in lines.

    Raises
    ------
    CannotBuild
        When one of them exists and may not be replaced.
    """
    texts = {
        MAIN: _MAIN_TEXT,
        REQUIREMENTS: f"xlwings\npailbook=={__version__}\n",
        STEPS: "\n".join((*_numbered(_LITE_STEPS), "", *_LITE_NOTES, "")),
    }
    there = [folder / name for name in texts if (folder / name).exists()]
    if there and not overwrite:
        raise CannotBuild(f"{there[0]} already exists; nothing was written; give another folder, or --overwrite to "
                          "replace it")
    make_folder(folder)
    for name in texts:
        check_free(folder / name, overwrite=overwrite, error=CannotBuild)
    for name, text in texts.items():
        with replacing(folder / name, overwrite=overwrite, error=CannotBuild) as file:
            file.write(text.encode())
    return [f"wrote {folder / MAIN}, {REQUIREMENTS} and {STEPS}",
            *_numbered(_LITE_STEPS)]


def _numbered(steps: tuple[str, ...]) -> list[str]:
    return [f"{i}. {step}" for i, step in enumerate(steps, start=1)]


def build_all(folder: Path, python: str, *, overwrite: bool = False) -> list[str]:
    """Write the add-in, the workbook with macros and the files for xlwings Lite, for use on another computer.

    Raises
    ------
    CannotBuild
        When xlwings is missing, or a file exists and may not be replaced.
    """
    targets = [folder / ADDIN, folder / WORKBOOK]
    there = [path for path in (*targets, *(folder / _LITE / name for name in (MAIN, REQUIREMENTS, STEPS)))
             if path.exists()]
    if there and not overwrite:
        raise CannotBuild(f"{there[0]} already exists; nothing was written; give another folder, or --overwrite to "
                          "replace it")
    lines = []
    for path in targets:
        build(path, settings(python), overwrite=overwrite)
        lines.append(f"wrote {path}")
    return [
        *lines,
        f"They start {python} on the computer with Excel for Windows, where Pailbook and the same version of xlwings "
        "must be installed. It is simpler to run pailbook install excel there.",
        *build_lite(folder / _LITE, overwrite=overwrite),
    ]
