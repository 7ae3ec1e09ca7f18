"""`pailbook install calc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import command
from pailbook.commands.help import COMMANDS
from pailbook.commands.install import install
from pailbook.commands.options import Overwrite
from pailbook.outcomes import BadInput


@command(COMMANDS, "pailbook install calc", "pailbook install calc --build pailbook.oxt", of=install)
def calc(
    build: Annotated[Path | None, typer.Option(
        "--build", metavar="FILE", help="Only make the extension, an .oxt file, to install it by hand.")] = None,
    remove: Annotated[bool, typer.Option("--remove", help="Uninstall the functions.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Install the functions in LibreOffice Calc, for your account only.

    Close LibreOffice first. At the end one function is called to check that it works.
    """
    from pailbook.hosts.calc import extension
    from pailbook.hosts.calc import install as installer
    from pailbook.terminal import progress

    if build is not None and remove:
        raise BadInput("--build and --remove cannot be used together; give one of them")
    if build is not None:
        extension.build(build, overwrite=overwrite)
        typer.echo(f"wrote {build}")
        typer.echo("next: open it in LibreOffice, or choose Tools > Extensions > Add; then restart LibreOffice")
    elif remove:
        with progress("uninstalling the functions from LibreOffice"):
            removed = installer.remove()
        typer.echo("the functions were uninstalled from LibreOffice" if removed
                   else "the functions were not installed in LibreOffice")
    else:
        with progress("installing the functions in LibreOffice"):
            office = installer.install()
        typer.echo(f"the functions are installed in LibreOffice {office.version_text}, and one of them was "
                   "called to check that it works")
        typer.echo("next: start LibreOffice Calc and type =AMMONIA_FRACTION(7.6, 20) into a cell; the function wizard "
                   "lists all functions under Add-in")
