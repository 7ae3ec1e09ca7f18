"""`pailbook demo`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import command
from pailbook.commands.help import BEGIN
from pailbook.commands.options import Overwrite
from pailbook.outcomes import BadInput


@command(BEGIN, "pailbook demo")
def demo(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder for the files; it is created.")] = Path(
        "pailbook-demo"),
    overwrite: Overwrite = False,
) -> None:
    """Make the workbooks of an invented farm, and show what they find.

    It makes a farm log with a season of readings, a move plan, a dosing plan, a stocking plan, a visit report and a
    client's copy, which takes about a minute.
    """
    from pailbook.demo.story import tell
    from pailbook.terminal import progress

    if folder.exists() and not folder.is_dir():
        raise BadInput(f"{folder} is a file; expected the name of a folder")
    for line in tell(folder, progress, overwrite=overwrite):
        typer.echo(line)
