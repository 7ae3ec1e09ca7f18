"""The stocking and feed plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book, check_target
from pailbook.workbook.form import Plan
from pailbook.workbook.stocking_plan import areas, balance, chart, cohorts, growth, harvest, setup, start
from pailbook.workbook.stocking_plan import weeks as by_week
from pailbook.workbook.stocking_plan.places import WEEKS

_SHEETS: tuple[Callable[[Plan], None], ...] = (
    start.write, setup.write, cohorts.write, areas.write, balance.write, by_week.write, harvest.write, chart.write,
    growth.write, chart.write_data,
)


def stocking_plan(units: str = METRIC, plain: bool = False, weeks: int = WEEKS) -> Plan:
    """An empty stocking and feed plan, in memory: its workbook and where its cells and tables are.

    Parameters
    ----------
    units : "metric" or "us"; fixed for the life of the workbook.
    plain : plain formulas in place of calls of our functions.
    weeks : weeks that it looks ahead.
    """
    tables = (cohorts.table(), areas.table(), by_week.table(weeks), growth.table(weeks), harvest.table(weeks))
    form = setup.form()
    plan = Plan(Book("Stocking and feed plan", units, plain), {form.sheet: form}, {t.sheet: t for t in tables})
    for write in _SHEETS:
        write(plan)
    return plan


def build_stocking_plan(
    path: Path, units: str = METRIC, plain: bool = False, overwrite: bool = False, weeks: int = WEEKS
) -> Path:
    """An empty stocking and feed plan, written to a file; see `stocking_plan`.

    Raises
    ------
    WorkbookError
        When the file exists and `overwrite` is not set, or cannot be written.
    """
    check_target(Path(path), overwrite)
    return stocking_plan(units, plain, weeks).book.save(path, overwrite)
