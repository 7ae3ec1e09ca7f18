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
        "--build", metavar="FOLDER", help="Only make all files, for another computer.")] = None,
    python: Annotated[str, typer.Option(
        metavar="FILE", help="With --build: the Python there, such as C:\\Python\\pythonw.exe.")] = "pythonw",
    remove: Annotated[bool, typer.Option("--remove", help="Take the functions out again.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Put the functions into Excel, for you alone.

    On Windows as an add-in: close Excel first. On macOS and in a browser as files for xlwings Lite, a free add-in.
    """
    from pailbook.hosts.excel import installation
    from pailbook.hosts.excel.computer import MAC, WINDOWS, Computer
    from pailbook.hosts.excel.package import CannotBuild

    computer = Computer()
    if build is not None and remove:
        raise BadInput("--build and --remove do not go together; give one of them")
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
            "Excel does not run on this system, so nothing can be put into it here. To make the files for a computer "
            "with Excel: pailbook install excel --build FOLDER")
    for line in lines:
        typer.echo(line)
