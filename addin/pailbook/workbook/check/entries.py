"""Rows that belong nowhere: without a date or system, dated after today, or entered twice."""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.terms import WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import upkeep, water_tests
from pailbook.workbook.log.locate import Located
from pailbook.workbook.log.season import Row
from pailbook.workbook.readings.fields import MEASURED

UNDATED, UNNAMED, FUTURE, TWICE = "no date", "no system", "date after today", "entered twice"


def entries(log: FarmLog) -> Iterator[Finding]:
    """Rows of the log's registers that are not counted, or counted in the wrong place."""
    for placed in log.places.tables.values():
        if {"date", "system"} <= placed.letters.keys() and placed.table.column("date").is_input:
            yield from _placed(log, placed)
    tests = log.table(water_tests.SHEET)
    if tests is not None:
        yield from _twice(log, tests)


def _placed(log: FarmLog, placed: Located) -> Iterator[Finding]:
    for row in log.season.rows(placed.table.sheet):
        if row["date"] is None:
            yield Finding(placed.sheet, placed.cell("date", row.number), WATCH, UNDATED,
                          "this row has no date, so it is not counted", "Type the date, or clear the row.")
        if row["system"] is None and placed.table.sheet != upkeep.SHEET:  # upkeep may serve all systems
            yield Finding(placed.sheet, placed.cell("system", row.number), WATCH, UNNAMED,
                          "this row names no system, so it is not counted", "Pick the system, or clear the row.")
        day = log.day(row["date"])
        if day is not None and log.as_of is not None and int(day) > int(log.as_of):
            yield Finding(placed.sheet, placed.cell("date", row.number), WATCH, FUTURE,
                          f"{on(day)} is later than today's date in this log, {on(log.as_of)}; perhaps day and month "
                          "were swapped, or the year is wrong",
                          "Correct the date. If it is right, type today's date on Start.")


def _twice(log: FarmLog, placed: Located) -> Iterator[Finding]:
    """Tests of one system and moment with the same readings: a trend would count them twice."""
    first: dict[tuple[object, ...], int] = {}
    for row in log.season.rows(water_tests.SHEET):
        if log.day(row["date"]) is None or all(row[key] is None for key in MEASURED):
            continue
        earlier = first.setdefault(_content(row), row.number)
        if earlier != row.number:
            yield Finding(placed.sheet, placed.cell("date", row.number), WATCH, TWICE,
                          f"this test repeats row {earlier}: system, date, time and readings are the same",
                          "Clear one of them. If the water was tested twice, type the time of each test.")


def _content(row: Row) -> tuple[object, ...]:
    return row.of, row["date"], row["time"], *(row[key] for key in MEASURED)
