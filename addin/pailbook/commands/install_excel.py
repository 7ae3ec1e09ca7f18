"""`pailbook install excel`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import command
from pailbook.commands.help import COMMANDS
from pailbook.commands.install import install
from pailbook.commands.options import Overwrite
from pailbook.outcomes import BadInput


@command(COMMANDS, "pailbook install excel", "pailbook install excel --build for-excel", of=install)
def excel(
    build: Annotated[Path | None, typer.Option(
        "--build", metavar="FOLDER", help="Only make the files, for another computer.")] = None,
    python: Annotated[str, typer.Option(
        metavar="FILE", help="With --build: Python on that computer, such as C:\\Python\\pythonw.exe.")] = "pythonw",
    remove: Annotated[bool, typer.Option("--remove", help="Uninstall the functions.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Install the functions in Excel, for your account only.

    On Windows they are an add-in; close Excel first. For macOS and a browser this makes files for xlwings Lite, a free
    add-in.
    """
    from pailbook.hosts.excel import installation
    from pailbook.hosts.excel.computer import MAC, WINDOWS, Computer
    from pailbook.hosts.excel.package import CannotBuild

    computer = Computer()
    if build is not None and remove:
        raise BadInput("--build and --remove cannot be used together; give one of them")
    if remove:
        lines = installation.remove(computer)
    elif build is not None:
        lines = installation.build_all(build, python, overwrite=overwrite)
    elif computer.platform == WINDOWS:
        lines = installation.install(computer)
    elif computer.platform == MAC:
        lines = installation.build_lite(Path("pailbook-excel"), overwrite=overwrite)
    else:
        raise CannotBuild(
            "Excel does not run on this system, so the functions cannot be installed in it here. To make the files for "
            "a computer with Excel, run: pailbook install excel --build FOLDER")
    for line in lines:
        typer.echo(line)
