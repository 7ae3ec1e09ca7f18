"""`pailbook import` and `pailbook daily`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import command
from pailbook.commands.help import FILL
from pailbook.commands.options import (
    DayFirst,
    Decimal,
    Map,
    Overwrite,
    Record,
    ReplaceableLog,
    System,
    Timezone,
    check_output,
    output,
)
from pailbook.outcomes import BadInput


@command(
    FILL, "pailbook import readings.csv log.xlsx -o new.xlsx",
    'pailbook import kit.csv log.xlsx -o new.xlsx --map "PO4=phosphate:PO4"', name="import",
)
def import_(
    record: Record,
    log: ReplaceableLog,
    output: Annotated[Path, output("The new log, an .xlsx file.")],
    mapping: Map = None,
    system: System = None,
    day_first: DayFirst = None,
    timezone: Timezone = None,
    decimal: Decimal = None,
    overwrite: Overwrite = False,
) -> None:
    """Add a file of water readings to a farm log.

    The file has one row per test, or one row per reading. Its columns are recognised by the usual words of the trade,
    and units and bases are converted. If the file leaves something open, the command asks, with the options that answer
    it. At the end it reports what was entered, what was not entered, and why.
    """
    from pailbook.terminal import progress
    from pailbook.workbook.readings import import_readings

    check_output(output, ".xlsx", record)
    with progress(f"importing {record.name}"):
        report = import_readings(
            record, log, output, mapping=mapping or [], day_first=day_first, timezone=timezone, system=system,
            decimal=decimal, overwrite=overwrite)
    typer.echo(str(report))
    typer.echo(f"wrote {output}")
    name = f'"{output}"' if " " in str(output) else output
    typer.echo(f"next: pailbook recalc {name} -o {name} --overwrite")


@command(
    FILL, "pailbook daily sensor.csv -o daily.csv",
    'pailbook daily raw.csv -o daily.csv --system "North raft" --figure oxygen=mean',
)
def daily(
    record: Record,
    output: Annotated[Path, output("The daily readings, a .csv file for `pailbook import`.")],
    mapping: Map = None,
    system: System = None,
    day_first: DayFirst = None,
    timezone: Timezone = None,
    decimal: Decimal = None,
    figure: Annotated[list[str] | None, typer.Option(
        metavar="FIELD=FIGURE", autocompletion=completion.figures,
        help="Which figure stands for the day: mean, lowest or highest, as in oxygen=mean. Default: the lowest of "
             "oxygen, the highest of pH (which has no mean), the mean of the others. May be given more than once."),
    ] = None,
    workers: Annotated[str, typer.Option(
        metavar="COUNT",
        help="Processes that share the work; they need: pip install distributed. Default: this one alone.")] = "0",
    overwrite: Overwrite = False,
) -> None:
    """Condense a sensor file to one row per day and system.

    The file may be of any length; it is read in pieces. At the end the command reports what was not used, and why.
    """
    from pailbook.terminal import progress
    from pailbook.workbook.readings.daily import daily as reduce
    from pailbook.workbook.readings.sensor import figures_of

    check_output(output, ".csv", record)

    def values(done: int) -> None:
        advance(done, None)

    if not workers.isdecimal():
        raise BadInput(f"--workers is {workers!r}; expected the number of processes, such as 4")
    options = {"mapping": mapping or [], "system": system, "figures": figures_of(figure or []), "day_first": day_first,
               "timezone": timezone, "decimal": decimal or "point", "overwrite": overwrite}
    with progress(f"reading {record.name}") as advance:
        if int(workers):
            from pailbook.workbook.readings.spread import on_cluster

            with on_cluster(int(workers)) as pieces:
                report = reduce(record, output, pieces=pieces, progress=values, **options)  # type: ignore[arg-type]
        else:
            report = reduce(record, output, progress=values, **options)  # type: ignore[arg-type]
    typer.echo(str(report))
