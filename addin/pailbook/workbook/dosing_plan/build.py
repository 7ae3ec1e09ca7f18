"""The dosing plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book, check_target
from pailbook.workbook.dosing_plan import (
    bands,
    calendar,
    chart,
    fit,
    others,
    ph,
    products,
    readings,
    setup,
    start,
)
from pailbook.workbook.form import Plan

_SHEETS: tuple[Callable[[Plan], None], ...] = (
    start.write, setup.write, bands.write, products.write, readings.write, calendar.write, chart.write, others.write,
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
    plan = Plan(
        Book("Dosing plan", units, plain), {form.sheet: form for form in (setup.form(), ph.form())},
        {table.sheet: table for table in tables},
    )
    for write in _SHEETS:
        write(plan)
    return plan


def build_dosing_plan(
    path: Path, units: str = METRIC, plain: bool = False, overwrite: bool = False, rows: int = readings.ROWS,
    days: int = calendar.DAYS,
) -> Path:
    """An empty dosing plan, written to a file; see `dosing_plan`.

    Raises
    ------
    WorkbookError
        When the file exists and `overwrite` is not set, or cannot be written.
    """
    check_target(Path(path), overwrite)
    return dosing_plan(units, plain, rows, days).book.save(path, overwrite)
