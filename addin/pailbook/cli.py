"""The command line: `pailbook new`, `import`, `recalc`, `functions`, `demo`.

Exit codes: 0 fine, 1 the check found something, 2 wrong use or bad input.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from pailbook import __version__
from pailbook.outcomes import BadInput

FOUND_SOMETHING, WRONG_USE = 1, 2

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


@app.command()
def new(
    workbook: Annotated[str, typer.Argument(help="Which workbook: farm-log, move-plan or dosing-plan.")],
    file: Annotated[Path, typer.Argument(help="The .xlsx file to make.")],
    units: Units = "metric",
    plain: Annotated[bool, typer.Option("--plain", help="Plain formulas, which need no add-in.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a blank workbook."""
    from pailbook.workbook.templates import build

    build(workbook, file, units=units, plain=plain, overwrite=overwrite)
    typer.echo(f"made {file}: {workbook}, {units} units, {'plain formulas' if plain else 'with function calls'}")


@app.command(name="import")
def import_(
    readings: Annotated[Path, typer.Argument(help="Water readings: a .csv file, wide or one value a row.")],
    log: Annotated[Path, typer.Argument(help="The farm log they go into; it is not changed.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The new log that is written.")],
    mapping: Annotated[
        list[str] | None,
        typer.Option("--map", help='What a column is: "HEADING=field" or "HEADING=field:unit"; may be repeated.'),
    ] = None,
    day_first: Annotated[
        bool | None, typer.Option("--day-first/--month-first", help="Order of dates such as 03/04/2026.")
    ] = None,
    timezone: Annotated[
        str | None, typer.Option(help="The site's time zone, for records in several zones: Area/City.")
    ] = None,
    system: Annotated[str | None, typer.Option(help="The system that all readings are of.")] = None,
    decimal: Annotated[str | None, typer.Option(help='Decimal sign in the record: "point" or "comma".')] = None,
    overwrite: Overwrite = False,
) -> None:
    """Put a record of water readings into a farm log; says what went in, what was set aside, and why."""
    from pailbook.workbook.readings import import_readings

    report = import_readings(
        readings, log, output, mapping=mapping or [], day_first=day_first, timezone=timezone, system=system,
        decimal=decimal, overwrite=overwrite,
    )
    typer.echo(str(report))
    typer.echo(f"wrote {output}; recalculate it with: pailbook recalc {output} -o {output} --overwrite")


@app.command()
def recalc(
    file: Annotated[Path, typer.Argument(help="A workbook that calls our functions.")],
    output: Annotated[Path | None, typer.Option("-o", "--output", help="The copy with values to write.")] = None,
    overwrite: Overwrite = False,
) -> None:
    """Recalculate a workbook without a spreadsheet program, and print its key results by name."""
    from pailbook.terminal import progress, show_recalculation
    from pailbook.workbook.recalc import recalc as recalculate

    with progress(f"recalculating {file.name}") as advance:
        result = recalculate(file, output, overwrite=overwrite, progress=advance)
    show_recalculation(result)
    if output:
        typer.echo(f"wrote {output}")
    if result.problems:
        raise typer.Exit(FOUND_SOMETHING)


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


def main() -> None:
    """Run the command line; bad input becomes one message on standard error and exit code 2."""
    try:
        app()
    except (BadInput, OSError) as problem:
        typer.echo(f"pailbook: {_explain(problem)}", err=True)
        sys.exit(WRONG_USE)


def _explain(problem: Exception) -> str:
    if isinstance(problem, OSError) and problem.strerror and problem.filename:
        return f"{problem.filename}: {problem.strerror.lower()}"
    return str(problem)
