"""`pailbook functions`."""

from __future__ import annotations

from typing import Annotated

import typer

from pailbook.commands.app import app


@app.command()
def functions(
    name: Annotated[
        str | None, typer.Argument(help="One function, for its arguments, limits, source and example.")
    ] = None,
) -> None:
    """List the worksheet functions, or describe one."""
    from pailbook.terminal import show_catalogue, show_function

    if name is None:
        show_catalogue()
    else:
        show_function(name)
