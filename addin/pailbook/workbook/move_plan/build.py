"""The move plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book, check_target
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import (
    after,
    arrival,
    calendar,
    card,
    change,
    checklist,
    checks,
    destination,
    limits,
    match,
    ph_days,
    road,
    road_table,
    start,
    trip,
    vessels,
)

_SHEETS: tuple[Callable[[Plan], None], ...] = (
    start.write, card.write, trip.write, match.write, calendar.write, ph_days.write, vessels.write, road.write,
    road_table.write, change.write, destination.write, arrival.write, checklist.write, after.write, checks.write,
    limits.write,
)
FORMS = (start, trip, calendar, vessels, road, change, destination, arrival, limits)


def move_plan(units: str = METRIC, plain: bool = False) -> Plan:
    """An empty move plan, in memory: its workbook, its forms and its tables.

    Parameters
    ----------
    units : "metric" or "us"; fixed for the life of the workbook.
    plain : plain formulas in place of calls of our functions.
    """
    tables = (road_table.table(), ph_days.table(), after.table())
    plan = Plan(Book("Move plan", units, plain), {module.FORM.sheet: module.FORM for module in FORMS},
                {table.sheet: table for table in tables})
    for write in _SHEETS:
        write(plan)
    return plan


def build_move_plan(path: Path, units: str = METRIC, plain: bool = False, overwrite: bool = False) -> Path:
    """An empty move plan, written to a file; see `move_plan`.

    Raises
    ------
    WorkbookError
        When the file exists and `overwrite` is not set, or cannot be written.
    """
    check_target(Path(path), overwrite)
    return move_plan(units, plain).book.save(path, overwrite)
