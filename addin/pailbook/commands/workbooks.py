"""`pailbook new` and `pailbook recalc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import FOUND_SOMETHING, command
from pailbook.commands.help import CHECK, CHOICES, FILL
from pailbook.commands.options import Overwrite, Units, Workbook, check_output, output


@command(FILL, "pailbook new farm-log log.xlsx", "pailbook new move-plan plan.xlsx --units us --plain")
def new(
    kind: Annotated[str, typer.Argument(
        metavar="KIND", autocompletion=completion.workbooks, help=f"Which workbook: {CHOICES}.")],
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The workbook to make, an .xlsx file.")],
    units: Units = "metric",
    plain: Annotated[bool, typer.Option("--plain", help="Plain formulas, which need no add-in.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a blank workbook: a log, a plan or the guide to the functions."""
    from pailbook.workbook.templates import build

    check_output(file, ".xlsx")
    build(kind, file, units=units, plain=plain, overwrite=overwrite)
    typer.echo(f"wrote {file}: {kind}, {units} units, {'plain formulas' if plain else 'with function calls'}")


@command(CHECK, "pailbook recalc log.xlsx", "pailbook recalc log.xlsx -o computed.xlsx --all")
def recalc(
    workbook: Workbook,
    output: Annotated[Path | None, output("A copy that holds the values, an .xlsx file. Left out: none.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="Show all named results, not the key ones alone.")] = False,
    engine: Annotated[str, typer.Option(
        metavar="ENGINE", autocompletion=completion.engines,
        help=f"What computes: {CHOICES}. reference is what fast was proven on, and slower; calc is LibreOffice.",
    )] = "fast",
    overwrite: Overwrite = False,
) -> None:
    """Compute a workbook and show its key results.

    No spreadsheet program is needed. The exit code is 1 when a cell cannot be computed: it is named, with the reason.
    """
    from pailbook.terminal import progress, show_recalculation
    from pailbook.workbook.recalc import recalc as recalculate

    if output is not None:
        check_output(output, ".xlsx")
    with progress(f"computing {workbook.name}") as advance:
        result = recalculate(workbook, output, overwrite=overwrite, progress=advance, engine=engine)
    show_recalculation(result, everything)
    if output:
        typer.echo(f"wrote {output}")
    if result.problems:
        raise typer.Exit(FOUND_SOMETHING)
