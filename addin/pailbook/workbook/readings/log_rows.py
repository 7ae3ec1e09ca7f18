"""What an import has to know about a farm log: its bases, its systems, its rows of water tests."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.log.cells import Cells
from pailbook.workbook.log.locate import Located, folded
from pailbook.workbook.log.season import LogError, Row, Season
from pailbook.workbook.package import WorkbookError
from pailbook.workbook.readings.answers import ReadingsError

Moment = tuple[str, int, int]  # folded name of a system, day and second as numbers, -1 where there is none


@dataclass(frozen=True)
class FarmLog:
    """A farm log as an import sees it.

    tests : where its water tests are; `systems_sheet` is the name of the sheet with its systems.
    bases : by the key of a reading.
    systems : a registered system as its cell shows it, by its folded name.
    filled : the tests that it has.
    free : the prepared rows in which nothing is typed; `prepared` counts all of them.
    """

    season: Season
    tests: Located
    systems_sheet: str
    bases: dict[str, str]
    systems: dict[str, str | float]
    filled: dict[Moment, list[Row]]
    free: list[int]
    prepared: int


def read_log(path: Path) -> FarmLog:
    """A farm log's file.

    Raises
    ------
    ReadingsError
        If the file cannot be read, is not a farm log, or does not say clearly where readings go.
    """
    try:
        season = Season(Cells(path))
        season.need(water_tests.SHEET, systems.SHEET)
        tests = season.tables[water_tests.SHEET]
        _check_clear(path, tests)
        filled: dict[Moment, list[Row]] = {}
        for row in season.rows(water_tests.SHEET):
            filled.setdefault(moment(row.of, row["date"], row["time"]), []).append(row)
        known = {of: system.row["system"] for of, system in season.systems.items()}
    except (WorkbookError, LogError) as reason:
        raise ReadingsError(str(reason)) from None
    bases = {column.key: str(season.bases[column.basis]) for column in tests.table.inputs if column.basis}
    rows = _prepared(season, tests)
    return FarmLog(
        season, tests, season.tables[systems.SHEET].sheet, bases,
        {of: name for of, name in known.items() if isinstance(name, (str, float))},
        filled, [row for row in rows if _is_free(season, tests, row)], len(rows))


def _check_clear(path: Path, tests: Located) -> None:
    """Refuse a log with more than one place for a reading, unless one of these is where a blank log has it."""
    table = tests.table
    if tests.copies and tests.sheet != table.sheet:
        raise ReadingsError(f"{path} has several sheets with the headings of water tests: "
                            f'{", ".join(sorted((tests.sheet, *tests.copies)))}; give the one for the readings the '
                            f'name "{table.sheet}"')
    for column in table.inputs:
        if column.key in tests.further and tests.letters[column.key] != table.letter(column.key):
            places = (f"{letters[column.key]}{tests.heading_row}" for letters in (tests.letters, tests.further))
            raise ReadingsError(f'{path}: the sheet "{tests.sheet}" has the heading "{column.heading}" twice, in '
                                f'{" and ".join(places)}; change the one above your own column')


def moment(system: object, day: Any, time: Any) -> Moment:
    """When and where a row was read; a text in place of a date or time counts as none."""
    return (folded(system), int(day) if isinstance(day, float) else -1,
            round(time * 86400) if isinstance(time, float) else -1)


def _prepared(season: Season, tests: Located) -> range:
    """The rows down to the last with a formula for what the log calculates."""
    letters = [letter for key, letter in tests.letters.items() if not tests.table.column(key).is_input]
    row = tests.last_row
    while row > tests.heading_row and all(
            season.cells.formula(tests.sheet, f"{letter}{row}") is None for letter in letters):
        row -= 1
    return range(tests.heading_row + 1, row + 1)


def _is_free(season: Season, tests: Located, row: int) -> bool:
    """Whether nothing is typed in a row, not even a formula that shows nothing."""
    contents = season.cells.contents[tests.sheet]
    return all(contents.get(tests.cell(column.key, row), "") == ""
               for column in tests.table.inputs if column.key in tests.letters)
