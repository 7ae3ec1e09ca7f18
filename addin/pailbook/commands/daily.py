"""`pailbook daily`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite, app


@app.command()
def daily(
    record: Annotated[Path, typer.Argument(help="A sensor's record, however long: a .csv file.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The .csv file to write, for `pailbook import`.")],
    mapping: Annotated[
        list[str] | None, typer.Option("--map", help='What a column is: "HEADING=field"; may be repeated.')
    ] = None,
    system: Annotated[str | None, typer.Option(help="The system of rows that name none.")] = None,
    figure: Annotated[
        list[str] | None,
        typer.Option(help='What stands for the day: "FIELD=mean", "FIELD=lowest" or "FIELD=highest"; may be repeated. '
                          "Unless told otherwise oxygen is the lowest, pH the highest (it has no mean), all else "
                          "the mean."),
    ] = None,
    day_first: Annotated[
        bool | None, typer.Option("--day-first/--month-first", help="Order of dates such as 03/04/2026.")
    ] = None,
    timezone: Annotated[
        str | None, typer.Option(help="The site's time zone, where times carry one: Area/City.")
    ] = None,
    decimal: Annotated[str, typer.Option(help='Decimal sign in the record: "point" or "comma".')] = "point",
    workers: Annotated[
        int, typer.Option(help="Processes of Dask that share the work; 0 reads piece by piece in this one.")
    ] = 0,
    overwrite: Overwrite = False,
) -> None:
    """Reduce a sensor's record to one row a day and system; says what was set aside."""
    from pailbook.terminal import progress
    from pailbook.workbook.readings.daily import daily as reduce
    from pailbook.workbook.readings.sensor import figures_of

    def values(done: int) -> None:
        advance(done, None)

    options = {"mapping": mapping or [], "system": system, "figures": figures_of(figure or []), "day_first": day_first,
               "timezone": timezone, "decimal": decimal, "overwrite": overwrite}
    with progress(f"reading {record.name}") as advance:
        if workers:
            from pailbook.workbook.readings.spread import on_cluster

            with on_cluster(workers) as pieces:
                report = reduce(record, output, pieces=pieces, progress=values, **options)  # type: ignore[arg-type]
        else:
            report = reduce(record, output, progress=values, **options)  # type: ignore[arg-type]
    typer.echo(str(report))
