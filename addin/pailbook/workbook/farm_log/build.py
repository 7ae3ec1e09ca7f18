"""The farm log as a whole: which sheets, in which order."""

from __future__ import annotations

from collections.abc import Callable

from pailbook.quantities import METRIC
from pailbook.workbook.builder import Book
from pailbook.workbook.farm_log import (
    fish,
    kits,
    limits,
    overview,
    registers,
    settings,
    start,
    stock,
    systems,
    trends,
    upkeep,
    water_moves,
    water_rules,
    water_tests,
)
from pailbook.workbook.farm_log.log import Log

_SHEETS: tuple[Callable[[Log], None], ...] = (
    start.write, overview.write, stock.write, trends.write,
    # What is typed in, the most often filled in first.
    water_tests.write, lambda log: registers.write(log, registers.FEED), fish.write, water_moves.write_changes,
    water_moves.write_doses, lambda log: registers.write(log, registers.HARVEST), upkeep.write,
    lambda log: registers.write(log, registers.INCIDENTS), systems.write,
    lambda log: kits.write(log, water_tests.late),
    lambda log: limits.write(log, water_rules.REASONS, water_rules.FAULTS), settings.write, trends.write_data,
)


def farm_log(units: str = METRIC, plain: bool = False, rows: int = water_tests.ROWS) -> Log:
    """An empty farm log, in memory: its workbook and where its tables are.

    Parameters
    ----------
    units : "metric" or "us"; fixed for the life of the workbook.
    plain : plain formulas in place of calls of our functions.
    rows : prepared rows of water tests; the other registers have their own number, but never more than this.
    """
    known = systems.table()
    names = known.range("system")
    tables = [
        known, kits.table(), water_tests.table(rows, names), fish.table(min(rows, fish.ROWS), names),
        *(registers.table(name, min(rows, most), names) for name, most in registers.ROWS.items()),
        *(water_moves.table(name, min(rows, water_moves.ROWS), names) for name in water_moves.COLUMNS),
        upkeep.table(min(rows, upkeep.ROWS), names), overview.table(known.rows), stock.table(known.rows),
    ]
    log = Log(Book("Farm log", units, plain), {table.sheet: table for table in tables})
    for write in _SHEETS:
        write(log)
    log.book.speak()
    return log
