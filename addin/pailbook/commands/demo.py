"""`pailbook demo`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite, app


@app.command()
def demo(
    folder: Annotated[Path, typer.Argument(help="Where the files go; it is made.")] = Path("pailbook-demo"),
    overwrite: Overwrite = False,
) -> None:
    """Build a farm log of an invented season, fill it, recalculate it, and tell what it says."""
    from pailbook.demo.story import tell
    from pailbook.terminal import progress

    for line in tell(folder, progress, overwrite=overwrite):
        typer.echo(line)
