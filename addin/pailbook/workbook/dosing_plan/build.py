"""The dosing plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book
from pailbook.workbook.dosing_plan import (
    calendar,
    chart,
    fit,
    others,
    ph,
    products,
    readings,
    setup,
    start,
    targets,
)
from pailbook.workbook.form import Plan

_SHEETS: tuple[Callable[[Plan], None], ...] = (
    start.write, setup.write, targets.write, products.write, readings.write, calendar.write, chart.write, others.write,
    ph.write, fit.write, chart.write_data,
)


def dosing_plan(
    units: str = METRIC, plain: bool = False, rows: int = readings.ROWS, days: int = calendar.DAYS
) -> Plan:
    """An empty dosing plan, in memory: its workbook and where its cells and tables are.

    Parameters
    ----------
    units : "metric" or "us"; fixed for the life of the workbook.
    plain : plain formulas in place of calls of our functions.
    rows : prepared rows of readings.
    days : days that the calendar looks ahead.
    """
    tables = (products.table(), readings.table(rows), calendar.table(days), others.table(days))
    return Plan.written(Book("Dosing plan", units, plain), (setup.form(), ph.form()), tables, _SHEETS)
