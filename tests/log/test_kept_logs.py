"""An import into logs as their users keep them: sheets renamed, columns moved and added, rows sorted, saved elsewhere."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from copy import copy
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.worksheet import Worksheet

import calc
import logs
from filled import NORTH, SOUTH, filled
from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.readings import ImportReport, ReadingsError, import_readings

TESTS, SYSTEMS = "My tests 2026", "Tanks & ponds"  # as the user renames the sheets
# The first test is in the log already, the second has other values of its moment, the third a system of no list.
RECORD = ("Date,Time,System,Temp (°C),pH,TAN (mg/L N),NO2 (mg/L NO2),NO3 (mg/L NO3),EC (µS/cm),By,Note\n"
          f"2026-03-02,08:15,{NORTH},19,7.8,0.2,0.2,60,570,Ines,\n"
          f"2026-03-03,17:30,{SOUTH},22,7.1,,,,,,\n"
          "2026-05-11,,Barrel,21.5,7.3,0.3,0.1,40,600,Ines,rain\n")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    path = tmp_path / "record.csv"
    path.write_text(RECORD, encoding="utf-8")
    return path


def renamed(made: Log) -> None:
    """Rename two sheets, in all formulas and names too."""
    book = made.book.workbook
    for old, new in ((water_tests.SHEET, TESTS), (systems.SHEET, SYSTEMS)):
        book[old].title = new
        said = re.compile(rf"(?<![\w'])(?:'{old}'|{old})!")
        for sheet in book.worksheets:
            for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
                if isinstance(cell.value, str):
                    cell.value = said.sub(f"'{new}'!", cell.value)
        for name in book.defined_names.values():
            name.attr_text = said.sub(f"'{new}'!", name.attr_text)


def rearranged(made: Log) -> None:
    """Move columns of the water tests, add one, turn the rows round, leave a blank row, and add a sheet."""
    table = made[water_tests.SHEET]
    sheet = next(sheet for sheet in made.book.workbook.worksheets if sheet.title in (water_tests.SHEET, TESTS))
    keys = [column.key for column in table.columns]
    rows = [{key: sheet[f"{table.letter(key)}{row}"].value for key in keys}
            for row in range(table.heading_row, table.last_row + 1)]
    styles = {key: copy(sheet[f"{table.letter(key)}{table.first_row}"]._style) for key in keys}
    headings, below = rows[0], rows[1:]
    inputs = [column.key for column in table.inputs]
    typed = [dict(row) for row in below if any(row[key] is not None for key in inputs)][::-1]
    typed.insert(4, dict.fromkeys(inputs))
    for number, row in enumerate(below):
        row.update({key: typed[number][key] if number < len(typed) else None for key in inputs})
    order = ["note", "verdict", "ph", "weather", "date", *[
        key for key in reversed(keys) if key not in ("note", "verdict", "ph", "date")]]
    for number, row in enumerate([headings | {"weather": "Weather"}, *[row | {"weather": "dull"} for row in below]],
                                 table.heading_row):
        for place, key in enumerate(order, 1):
            cell = sheet.cell(number, place)
            cell.value = row[key]
            if number > table.heading_row:
                cell._style = styles.get(key, cell._style)
    own = made.book.workbook.create_sheet("Visitors", 0)
    for row in (["Date", "System", "Note", "Tester"], ["2026-04-02", NORTH, "the school came", "Ines"]):
        own.append(row)


def rows_of(path: Path, name: str) -> Counter[tuple[str, ...]]:
    """What is typed in the rows of the water tests, found here by the headings, formulas left out."""
    sheet = openpyxl.load_workbook(path)[name]
    letters = {column.key: _letter(sheet, column.heading) for column in water_tests.INPUTS}
    found = ([sheet[f"{letter}{row}"].value for letter in letters.values()]
             for row in range(water_tests.table().first_row, sheet.max_row + 1))
    return Counter(tuple(map(_shown, row)) for row in found if any(value is not None for value in row))


def _letter(sheet: Worksheet, heading: str) -> str:
    return next(cell.column_letter for cell in sheet[water_tests.table().heading_row]
                if re.fullmatch(rf'(="?)?{re.escape(heading)}((\n|").*)?', str(cell.value), re.DOTALL))


def _shown(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float | int) else str(value).removesuffix(" 00:00:00")


def entered(record: Path, log: Path, sheet: str) -> tuple[Counter[tuple[str, ...]], ImportReport]:
    """The rows that an import adds, and its report; no other row changes."""
    before, data = rows_of(log, sheet), log.read_bytes()
    report = import_readings(record, log, log.parent / "new.xlsx", overwrite=True)
    after = rows_of(log.parent / "new.xlsx", sheet)
    assert log.read_bytes() == data
    assert before <= after
    return after - before, report


def is_same(one: ImportReport, other: ImportReport) -> bool:
    return all(getattr(one, name) == getattr(other, name) for name in (
        "entered", "already_there", "beside_others", "not_registered", "log_units"))


def saved(units: str, folder: Path, *changes: Callable[[Log], None]) -> Path:
    made = filled(units, False, logs.ROWS)
    for change in changes:
        change(made)
    return made.book.save(folder / f"{'-'.join(change.__name__ for change in changes) or 'as-made'}.xlsx", overwrite=True)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_same_readings_go_into_a_log_that_its_user_changed(units: str, record: Path, tmp_path: Path) -> None:
    plain, first = entered(record, saved(units, tmp_path), water_tests.SHEET)
    assert (first.entered, first.already_there, first.not_registered) == (2, [2], {"Barrel": 1})
    assert len(first.beside_others) == 1
    for changes, sheet in (([renamed], TESTS), ([rearranged], water_tests.SHEET), ([renamed, rearranged], TESTS)):
        rows, report = entered(record, saved(units, tmp_path, *changes), sheet)
        assert rows == plain
        assert is_same(report, first)
        assert f"of the sheet {sheet}\n" in str(report)
        assert f'add them on the sheet "{SYSTEMS if renamed in changes else systems.SHEET}"' in str(report)
        if rearranged in changes:
            assert report.rows[0] == water_tests.table().first_row + 4, "the blank row between the others"


@pytest.mark.libreoffice
def test_the_same_readings_go_into_a_log_that_libreoffice_saved(record: Path, tmp_path: Path) -> None:
    calc.needed()
    plain, first = entered(record, saved(METRIC, tmp_path), water_tests.SHEET)
    for changes, sheet in (([], water_tests.SHEET), ([renamed, rearranged], TESTS)):
        log = calc.convert(saved(METRIC, tmp_path, *changes), "xlsx", tmp_path / "office")
        rows, report = entered(record, log, sheet)
        assert rows == plain
        assert is_same(report, first)
