"""The command that all others belong to, the options that several share, and the exit codes."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from pailbook import __version__

FOUND_SOMETHING, WRONG_USE = 1, 2  # 0 is fine

app = typer.Typer(
    name="pailbook",
    help="Worksheet functions and workbooks for people who grow fish and plants together.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich" if sys.stdout.isatty() else None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace the output file if it exists.")]
Units = Annotated[str, typer.Option(help='Unit system, fixed when the workbook is made: "metric" or "us".')]


def _version(show: bool) -> None:
    if show:
        typer.echo(f"pailbook {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass
