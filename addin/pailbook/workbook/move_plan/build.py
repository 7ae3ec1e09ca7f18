"""The move plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book
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
    entries,
    limits,
    match,
    ph_days,
    road,
    road_table,
    start,
    trip,
    vessels,
)
from pailbook.workbook.move_plan.rules import RULES

_SHEETS: tuple[Callable[[Plan], None], ...] = (
    start.write, card.write, trip.write, match.write, calendar.write, ph_days.write, vessels.write, road.write,
    road_table.write, change.write, destination.write, arrival.write, checklist.write, after.write, checks.write,
    limits.write, entries.write,
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
    forms = (replace(module.FORM, rules=RULES) for module in FORMS)
    return Plan.written(Book("Move plan", units, plain), forms, tables, _SHEETS)
