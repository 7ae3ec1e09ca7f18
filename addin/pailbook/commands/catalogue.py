"""`pailbook functions`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import command
from pailbook.commands.help import FUNCTIONS
from pailbook.commands.options import Overwrite, output
from pailbook.outcomes import BadInput


@command(FUNCTIONS, "pailbook functions", "pailbook functions AMMONIA_FRACTION",
         "pailbook functions --markdown -o functions.md")
def functions(
    name: Annotated[str | None, typer.Argument(
        metavar="FUNCTION", autocompletion=completion.functions,
        help="The function to describe: arguments, units, limits, source, example. Default: list them all.")] = None,
    as_markdown: Annotated[bool, typer.Option("--markdown", help="Describe all on one page, in Markdown.")] = False,
    output: Annotated[Path | None, output("The file for that page, an .md file. Default: show it.")] = None,
    overwrite: Overwrite = False,
) -> None:
    """List the worksheet functions, or describe one."""
    if as_markdown and name is None:
        _page(output, overwrite)
        return
    if as_markdown or output is not None:
        raise BadInput("--markdown describes all functions, so give no FUNCTION with it; give -o only with --markdown")
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
