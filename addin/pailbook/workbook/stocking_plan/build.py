"""The stocking and feed plan as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book
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
    return Plan.written(Book("Stocking and feed plan", units, plain), (setup.form(),), tables, _SHEETS)
