"""What the Tab key offers for an option or an argument; the help texts take their lists from here too."""

from __future__ import annotations

import os
from pathlib import Path

import typer

from pailbook.commands.app import COMPLETE

Offered = list[str | tuple[str, str]]  # texts, or texts with what they mean
_LARGEST = 5_000_000  # bytes of a log that is read for names; a larger one would keep its user waiting


def workbooks() -> Offered:
    """The workbooks that can be made."""
    from pailbook.workbook.templates import WORKBOOKS

    return list(WORKBOOKS)


def units() -> Offered:
    """The unit systems."""
    from pailbook.quantity import UNIT_SYSTEMS

    return list(UNIT_SYSTEMS)


def functions(incomplete: str) -> Offered:
    """The worksheet functions with what they give; they may be typed in small letters."""
    import pailbook.functions  # noqa: F401  fills the catalogue
    from pailbook.function import CATALOGUE

    small = incomplete.islower()
    return [(name.lower() if small else name, function.result.label) for name, function in CATALOGUE.items()]


def engines() -> Offered:
    """What can calculate a workbook."""
    from pailbook.workbook.recalc import ALL_ENGINES

    return list(ALL_ENGINES)


def parts() -> Offered:
    """What `pailbook ready` can check."""
    from pailbook.readiness import CHECKS

    return list(CHECKS)


def decimal_signs() -> Offered:
    """The decimal signs of records."""
    from pailbook.workbook.readings.answers import DECIMAL_SIGNS

    return list(DECIMAL_SIGNS)


def zones() -> Offered:
    """The time zones that this computer knows."""
    import zoneinfo

    return sorted(zoneinfo.available_timezones())


def figures() -> Offered:
    """What can stand for a day's readings of a field."""
    from pailbook.workbook.readings.fields import MEASURED
    from pailbook.workbook.readings.sensor import FIGURES

    return [f"{field}={figure}" for field in MEASURED for figure in FIGURES]


def fields(incomplete: str) -> Offered:
    """The fields that a column can be, once its heading is typed."""
    from pailbook.workbook.readings.columns import LONG_ROLES, PLACE_ROLES
    from pailbook.workbook.readings.fields import MEASURED

    heading, equals, _ = incomplete.rpartition("=")
    return [f"{heading}={key}" for key in (*PLACE_ROLES, *MEASURED, *LONG_ROLES)] if equals else []


def clients(ctx: typer.Context) -> Offered:
    """The clients in the workbook that was named before."""
    return _names(ctx, "client")


def systems(ctx: typer.Context) -> Offered:
    """The systems in the log that was named before."""
    return _names(ctx, "system")


def _names(ctx: typer.Context, column: str) -> Offered:
    """The names in a column of the sheet Systems; none if no file was named or it cannot be read."""
    from pailbook.workbook.farm_log import systems as sheet
    from pailbook.workbook.log.cells import Cells
    from pailbook.workbook.log.locate import locate

    # Arguments are in `params`; behind an option that lacks its value, which is where Tab was pressed, in `args`.
    words = [ctx.params.get("log"), ctx.params.get("workbook"), *reversed(ctx.args)]
    path = next((Path(word) for word in words if word and Path(word).suffix == ".xlsx"), None)
    if path is None or not path.is_file() or path.stat().st_size > _LARGEST:
        return []
    try:
        cells = Cells(path)
        placed = locate(cells, [sheet.table()]).get(sheet.SHEET)
    except ValueError:
        return []
    if placed is None or column not in placed.letters:
        return []
    # A formula's name would have to be calculated first, for which nobody who presses Tab waits.
    found = (cells.contents[placed.sheet].get(placed.cell(column, row))
             for row in range(placed.heading_row + 1, placed.last_row + 1))
    return [in_shell(name) for name in dict.fromkeys(one for one in found if isinstance(one, str) and one)]


def in_shell(name: str) -> str:
    """A name as the asking shell needs it; shells other than bash put quotes around blanks on their own."""
    return name.replace(" ", "\\ ") if os.environ.get(COMPLETE) == "complete_bash" else name
