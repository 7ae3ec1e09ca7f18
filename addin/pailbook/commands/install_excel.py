"""`pailbook install excel`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite
from pailbook.commands.install import install


@install.command()
def excel(
    build: Annotated[
        Path | None, typer.Option("--build", help="Write all files into this folder, for another computer.")
    ] = None,
    python: Annotated[
        str, typer.Option(help="With --build: the Python on that computer, such as C:\\Python\\pythonw.exe.")
    ] = "pythonw",
    remove: Annotated[bool, typer.Option("--remove", help="Take the add-in out again.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Put the functions into Excel, on Windows as an add-in, on macOS and in a browser as files for xlwings Lite."""
    from pailbook.hosts.excel import installation
    from pailbook.hosts.excel.computer import MAC, WINDOWS, Computer
    from pailbook.hosts.excel.package import CannotBuild

    computer = Computer()
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
            "Excel does not run on this system, so nothing can be put into it here. To build the files for a computer "
            "with Excel: pailbook install excel --build FOLDER")
    for line in lines:
        typer.echo(line)
