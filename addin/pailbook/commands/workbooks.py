"""`pailbook new` and `pailbook recalc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import FOUND_SOMETHING, command
from pailbook.commands.help import CHECK, CHOICES, FILL
from pailbook.commands.options import Overwrite, ReplaceableWorkbook, Units, check_output, output


@command(FILL, "pailbook new farm-log log.xlsx", "pailbook new move-plan plan.xlsx --units us --plain")
def new(
    kind: Annotated[str, typer.Argument(
        metavar="KIND", autocompletion=completion.workbooks, help=f"The kind of workbook: {CHOICES}.")],
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The workbook to make, an .xlsx file.")],
    units: Units = "metric",
    plain: Annotated[bool, typer.Option("--plain", help="Use plain formulas, which need no add-in.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a blank workbook: a log, a plan or the guide to the functions."""
    from pailbook.workbook.templates import build

    check_output(file, ".xlsx")
    build(kind, file, units=units, plain=plain, overwrite=overwrite)
    typer.echo(f"wrote {file}: {kind}, {units} units, with {'plain formulas' if plain else 'function calls'}")


@command(CHECK, "pailbook recalc log.xlsx", "pailbook recalc log.xlsx -o calculated.xlsx --all")
def recalc(
    workbook: ReplaceableWorkbook,
    output: Annotated[Path | None, output("A copy with the values, an .xlsx file. Default: no copy.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="Show all named results, not only the key ones.")] = False,
    engine: Annotated[str, typer.Option(
        metavar="ENGINE", autocompletion=completion.engines,
        help="Which engine calculates: fast, reference (slower, used to check fast) or calc (your LibreOffice).",
    )] = "fast",
    overwrite: Overwrite = False,
) -> None:
    """Recalculate a workbook and show its key results.

    No spreadsheet program is needed. The exit code is 1 if a cell cannot be calculated; the output names it and the
    reason.
    """
    from pailbook.terminal import progress, show_recalculation
    from pailbook.workbook.recalc import recalc as recalculate

    if output is not None:
        check_output(output, ".xlsx")
    with progress(f"calculating {workbook.name}") as advance:
        result = recalculate(workbook, output, overwrite=overwrite, progress=advance, engine=engine)
    show_recalculation(result, everything)
    if output:
        typer.echo(f"wrote {output}")
    if result.problems:
        raise typer.Exit(FOUND_SOMETHING)
