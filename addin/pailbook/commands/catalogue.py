"""`pailbook functions`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite, app
from pailbook.outcomes import WrongKind


@app.command()
def functions(
    name: Annotated[
        str | None, typer.Argument(help="One function, for its arguments, limits, source and example.")
    ] = None,
    as_markdown: Annotated[bool, typer.Option("--markdown", help="All functions as a Markdown page.")] = False,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="The file for the Markdown page; else it is shown.")
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """List the worksheet functions, describe one, or give them all as a Markdown page."""
    if as_markdown and name is None:
        _page(output, overwrite)
        return
    if as_markdown or output is not None:
        raise WrongKind("--markdown gives all functions, so it goes without a function's name; -o goes with --markdown")
    from pailbook.terminal import show_catalogue, show_function

    if name is None:
        show_catalogue()
    else:
        show_function(name)


def _page(output: Path | None, overwrite: bool) -> None:
    from pailbook.files import replacing
    from pailbook.workbook.function_guide.markdown import markdown

    if output is None:
        typer.echo(markdown(), nl=False)
        return
    with replacing(output, overwrite=overwrite) as file:
        file.write(markdown().encode())
    typer.echo(f"wrote {output}")
