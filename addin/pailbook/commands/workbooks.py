"""`pailbook new` and `pailbook recalc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import FOUND_SOMETHING, Overwrite, Units, app


@app.command()
def new(
    workbook: Annotated[str, typer.Argument(
        help="Which workbook: farm-log, move-plan, dosing-plan, stocking-plan or function-guide.")],
    file: Annotated[Path, typer.Argument(help="The .xlsx file to make.")],
    units: Units = "metric",
    plain: Annotated[bool, typer.Option("--plain", help="Plain formulas, which need no add-in.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a blank workbook."""
    from pailbook.workbook.templates import build

    build(workbook, file, units=units, plain=plain, overwrite=overwrite)
    typer.echo(f"made {file}: {workbook}, {units} units, {'plain formulas' if plain else 'with function calls'}")


@app.command()
def recalc(
    file: Annotated[Path, typer.Argument(help="A workbook that calls our functions.")],
    output: Annotated[Path | None, typer.Option("-o", "--output", help="The copy with values to write.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="Print all named results, not the key ones alone.")] = False,
    engine: Annotated[str, typer.Option(help='What computes: "fast" or "formulas", which need no other program, or '
                                        '"calc": LibreOffice.')] = "fast",
    overwrite: Overwrite = False,
) -> None:
    """Recalculate a workbook, without a spreadsheet program unless one is asked for; print its key results by name."""
    from pailbook.terminal import progress, show_recalculation
    from pailbook.workbook.recalc import recalc as recalculate

    with progress(f"recalculating {file.name}") as advance:
        result = recalculate(file, output, overwrite=overwrite, progress=advance, engine=engine)
    show_recalculation(result, everything)
    if output:
        typer.echo(f"wrote {output}")
    if result.problems:
        raise typer.Exit(FOUND_SOMETHING)
