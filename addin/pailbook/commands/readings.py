"""`pailbook import`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite, app


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
