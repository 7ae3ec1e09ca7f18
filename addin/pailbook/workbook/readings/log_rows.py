"""What an import has to know about a farm log: its units and bases, its systems, its rows of water tests."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pailbook.hosts.cells import FormulaCell, as_cell_value
from pailbook.quantity import UNIT_SYSTEMS
from pailbook.terms import international
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.names import key_of
from pailbook.workbook.package import Workbook, WorkbookError
from pailbook.workbook.readings.answers import ReadingsError
from pailbook.workbook.readings.fields import MEASURED

Entry = dict[str, Any]  # a row's values, by the key of an input column
Moment = tuple[str, int, int]  # system in lower case, day and second as numbers, -1 where there is none


@dataclass(frozen=True)
class FarmLog:
    """A farm log as an import sees it."""

    book: Workbook
    table: Table
    units: str
    bases: dict[str, str]  # by the key of a field
    systems: dict[str, Any]  # a registered system as its cell has it, by its name in lower case
    filled: dict[Moment, list[Entry]]
    free: list[int]
    prepared: int

    def moment(self, entry: Entry) -> Moment:
        """When and where a row was read; a text in place of a date or time counts as none."""
        day, time = (as_cell_value(entry.get(key), self.book.from_1904) for key in ("date", "time"))  # as numbers
        return (folded(entry.get("system")), int(day) if isinstance(day, float) else -1,
                round(time * 86400) if isinstance(time, float) else -1)


def read_log(path: Path) -> FarmLog:
    """A farm log's file.

    Raises
    ------
    ReadingsError
        If the file cannot be read or is not a farm log.
    """
    try:
        book = Workbook(path)
        contents = book.contents()
    except WorkbookError as reason:
        raise ReadingsError(str(reason)) from None
    for sheet in (water_tests.SHEET, systems.SHEET):
        if sheet not in contents:
            raise ReadingsError(f'{path} has no sheet "{sheet}", so it is not a farm log')
    table, known = water_tests.table(), systems.table()
    tests = contents[water_tests.SHEET]
    _check_headings(path, table, tests)
    units = _named(book, contents, "units")
    if units not in UNIT_SYSTEMS:
        raise ReadingsError(f'{path}: its setting "units" is {units!r}; expected one of {", ".join(UNIT_SYSTEMS)}')
    names = (contents[systems.SHEET].get(f"{known.letter('system')}{row}")
             for row in range(known.first_row, _last_row(contents[systems.SHEET]) + 1))
    log = FarmLog(
        book, table, str(units),
        {column.key: _basis(path, book, contents, column.key, column.basis) for column in table.inputs if column.basis},
        {folded(name): name for name in names if isinstance(name, (str, float)) and folded(name)},
        {}, [], _last_prepared(table, tests) - table.heading_row,
    )
    stored = book.stored_values()  # of cells in which a user has typed a formula
    for row in range(table.first_row, table.heading_row + log.prepared + 1):
        places = {column.key: f"{table.letter(column.key)}{row}" for column in table.inputs}
        if all(tests.get(address, "") == "" for address in places.values()):
            log.free.append(row)
            continue
        found = {key: stored.get((water_tests.SHEET, address)) for key, address in places.items()}
        log.filled.setdefault(log.moment(found), []).append(found)
    return log


def _check_headings(path: Path, table: Table, tests: Mapping[str, Any]) -> None:
    for column in table.inputs:
        address = f"{table.letter(column.key)}{table.heading_row}"
        found = tests.get(address)
        # The headings of columns with a basis are formulas.
        if not column.basis and not international(str(found)).startswith(column.heading):
            raise ReadingsError(f'{path}: {address} on the sheet "{water_tests.SHEET}" is {found!r}; expected the '
                                f'farm log\'s heading "{column.heading}"')


def _last_row(sheet: Mapping[str, Any]) -> int:
    return max((int(address.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) for address in sheet), default=0)


def _last_prepared(table: Table, tests: Mapping[str, Any]) -> int:
    """The last row with formulas for what the log calculates."""
    letters = [table.letter(column.key) for column in table.columns if not column.is_input]
    row = _last_row(tests)
    while row > table.heading_row and not any(isinstance(tests.get(f"{s}{row}"), FormulaCell) for s in letters):
        row -= 1
    return row


def _named(book: Workbook, contents: Mapping[str, Mapping[str, Any]], name: str) -> Any:
    """What the cell holds that a name of the workbook stands for, or None."""
    text = next((defined.text for defined in book.names if key_of(defined.name) == name and defined.sheet is None), "")
    sheet, _, address = text.rpartition("!")
    return contents.get(sheet.strip("'"), {}).get(address.replace("$", ""))


def _basis(path: Path, book: Workbook, contents: Mapping[str, Mapping[str, Any]], key: str, name: str) -> str:
    value, field = _named(book, contents, name), MEASURED[key]
    if value not in field.bases:
        raise ReadingsError(f'{path}: its setting "{name}" is {value!r}; expected one of {", ".join(field.bases)}')
    return str(value)


def folded(name: object) -> str:
    """A name for comparing: in lower case, with single spaces."""
    text = f"{name:.15g}" if isinstance(name, float) else str(name or "")
    return " ".join(text.split()).casefold()
