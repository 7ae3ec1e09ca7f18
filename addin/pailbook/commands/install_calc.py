"""`pailbook install calc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite
from pailbook.commands.install import install


@install.command()
def calc(
    build: Annotated[
        Path | None, typer.Option("--build", help="Only write the extension file (.oxt), to install by hand.")
    ] = None,
    remove: Annotated[bool, typer.Option("--remove", help="Take the functions out.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Put the functions into LibreOffice Calc for this user; close LibreOffice first."""
    from pailbook.hosts.calc import extension
    from pailbook.hosts.calc import install as installer

    if build is not None and remove:
        raise typer.BadParameter("--build and --remove cannot go together")
    if build is not None:
        extension.build(build, overwrite=overwrite)
        typer.echo(f"wrote {build}")
        typer.echo("next: open it in LibreOffice, or Tools > Extensions > Add; then restart LibreOffice")
    elif remove:
        typer.echo("the functions were taken out of LibreOffice" if installer.remove()
                   else "the functions were not installed in LibreOffice")
    else:
        office = installer.install()
        typer.echo(f"the functions are installed in LibreOffice {office.version_text}, and one was called")
        typer.echo("next: start LibreOffice Calc and type =AMMONIA_FRACTION(7.6, 26) into a cell; the function wizard "
                   "lists all under Add-in")
