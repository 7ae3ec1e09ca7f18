"""An import into logs as their users keep them: sheets renamed, columns moved, rows sorted, saved by other programs."""

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
            cell: Any = sheet.cell(number, place)
            cell.value = row[key]
            if number > table.heading_row:
                cell._style = styles.get(key, cell._style)
    own = made.book.workbook.create_sheet("Visitors", 0)
    for visit in (["Date", "System", "Note", "Tester"], ["2026-04-02", NORTH, "the school came", "Ines"]):
        own.append(visit)


def rows_of(path: Path, name: str) -> Counter[tuple[str, ...]]:
    """What is typed in the rows of the water tests, found here by the headings, formulas left out."""
    sheet = openpyxl.load_workbook(path)[name]
    letters = {column.key: _letter(sheet, column.heading) for column in water_tests.INPUTS}
    found = ([sheet[f"{letter}{row}"].value for letter in letters.values()]
             for row in range(water_tests.table().first_row, sheet.max_row + 1))
    return Counter(tuple(map(_shown, row)) for row in found if any(value is not None for value in row))


def _letter(sheet: Worksheet, heading: str) -> str:
    return next(cell.coordinate.rstrip("0123456789") for cell in sheet[water_tests.table().heading_row]
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
    name = "-".join(change.__name__ for change in changes) or "as-made"
    return made.book.save(folder / f"{name}.xlsx", overwrite=True)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_same_readings_go_into_a_log_that_its_user_changed(units: str, record: Path, tmp_path: Path) -> None:
    plain, first = entered(record, saved(units, tmp_path), water_tests.SHEET)
    assert (first.entered, first.already_there, first.not_registered) == (2, [2], {"Barrel": 1})
    assert len(first.beside_others) == 1
    for changes, sheet in (([rearranged], water_tests.SHEET), ([renamed, rearranged], TESTS)):
        rows, report = entered(record, saved(units, tmp_path, *changes), sheet)
        assert rows == plain
        assert is_same(report, first)
        assert f"of the sheet {sheet}\n" in str(report)
        assert f'add them on the sheet "{SYSTEMS if renamed in changes else systems.SHEET}"' in str(report)
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


# A small log, changed by hand ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def as_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return saved(METRIC, tmp_path_factory.mktemp("as-made"))


@pytest.fixture
def book(as_made: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(as_made)


TABLE = water_tests.table()
FIRST, FREE = TABLE.first_row, TABLE.first_row + 27  # the first test, and the first row after the last


def refusal(record: Path, book: openpyxl.Workbook, folder: Path) -> str:
    """Why an import into that log is refused; nothing is written."""
    book.save(folder / "log.xlsx")
    with pytest.raises(ReadingsError) as refused:
        import_readings(record, folder / "log.xlsx", folder / "new.xlsx")
    assert not (folder / "new.xlsx").exists()
    return str(refused.value).removeprefix(str(folder / "log.xlsx")).removeprefix(":").strip()


def test_a_formula_typed_for_a_reading_counts_by_its_value(
    record: Path, book: openpyxl.Workbook, tmp_path: Path
) -> None:
    sheet = book[water_tests.SHEET]
    for key, text in {"date": "=DATE(2026,3,2)", "time": "=TIME(8,15,0)", "ph": "=7.7+0.1", "system": "=Systems!A5",
                      "tan": "=0.1*2"}.items():
        sheet[f"{TABLE.letter(key)}{FIRST}"].value = text
    sheet[f"{TABLE.letter('note')}{FREE}"].value = '=""'  # a formula that shows nothing: its row is not free
    book.save(tmp_path / "log.xlsx")
    report = import_readings(record, tmp_path / "log.xlsx", tmp_path / "new.xlsx")
    assert (report.already_there, report.rows) == ([2], [FREE + 1, FREE + 2])


def test_a_system_whose_name_a_formula_gives_is_registered(
    record: Path, book: openpyxl.Workbook, tmp_path: Path
) -> None:
    book[systems.SHEET]["A5"].value = '="Bar"&"rel"'
    book.save(tmp_path / "log.xlsx")
    report = import_readings(record, tmp_path / "log.xlsx", tmp_path / "new.xlsx")
    assert dict(report.not_registered) == {NORTH: 1}


def test_a_log_that_counts_days_from_1904(record: Path, book: openpyxl.Workbook, tmp_path: Path) -> None:
    book.epoch = CALENDAR_MAC_1904
    for row in range(FIRST, FREE):  # so that they are written anew
        for key in ("date", "time"):
            cell = book[water_tests.SHEET][f"{TABLE.letter(key)}{row}"]
            cell.value = cell.value
    book.save(tmp_path / "log.xlsx")
    report = import_readings(record, tmp_path / "log.xlsx", tmp_path / "new.xlsx")
    assert report.already_there == [2]
    assert import_readings(record, tmp_path / "new.xlsx", tmp_path / "again.xlsx").already_there == [2, 3, 4]
    new = openpyxl.load_workbook(tmp_path / "new.xlsx")[water_tests.SHEET]
    assert str(new[f"{TABLE.letter('date')}{FREE}"].value).startswith("2026-03-03")


def test_what_is_no_farm_log_is_told_by_its_headings(record: Path, book: openpyxl.Workbook, tmp_path: Path) -> None:
    assert refusal(record, openpyxl.Workbook(), tmp_path).startswith(
        'no sheet has the headings of the sheet "Water tests" ("Date", "Time", "System", ')
    del book[systems.SHEET]
    assert refusal(record, book, tmp_path).startswith('no sheet has the headings of the sheet "Systems" ("System", ')


@pytest.mark.parametrize(("key", "told"), [
    ("date", 'the sheet "Water tests" has no column "Date" in row 4, so it is not clear what its rows belong to'),
    ("ph", 'the sheet "Water tests" has no column "pH" in row 4, but there are readings for it; nothing was written'),
    ("hardness", None),  # of which the record has none
])
def test_a_column_whose_heading_is_gone(
    key: str, told: str | None, record: Path, book: openpyxl.Workbook, tmp_path: Path
) -> None:
    book[water_tests.SHEET][f"{TABLE.letter(key)}{TABLE.heading_row}"].value = "My own"
    if told:
        assert refusal(record, book, tmp_path) == told
    else:
        book.save(tmp_path / "log.xlsx")
        assert import_readings(record, tmp_path / "log.xlsx", tmp_path / "new.xlsx").entered == 2


def test_a_setting_that_readings_depend_on_is_needed(record: Path, book: openpyxl.Workbook, tmp_path: Path) -> None:
    sheet, address = next(iter(book.defined_names["log_basis_nitrate"].destinations))
    book[sheet][address].value = None
    assert refusal(record, book, tmp_path) == 'its setting "basis_nitrate" is None; expected one of NO3, N'


def test_a_second_heading_of_the_users_own(record: Path, book: openpyxl.Workbook, tmp_path: Path) -> None:
    sheet, beside = book[water_tests.SHEET], len(TABLE.columns) + 2
    sheet.cell(TABLE.heading_row, beside).value = "pH"
    book.save(tmp_path / "log.xlsx")
    rows, _ = entered(record, tmp_path / "log.xlsx", water_tests.SHEET)
    assert any(row[4] == "7.1" for row in rows), "into the log's column, where it always was"
    (tmp_path / "new.xlsx").unlink()
    moved = sheet[f"{TABLE.letter('ph')}{TABLE.heading_row}"]
    moved.value, sheet.cell(TABLE.heading_row, beside + 1).value = "My own", "pH"
    letters = [sheet.cell(TABLE.heading_row, beside + step).coordinate for step in (0, 1)]
    assert refusal(record, book, tmp_path) == (
        f'the sheet "Water tests" has the heading "pH" twice, in {" and ".join(letters)}; change the one above your '
        "own column")


def test_two_sheets_of_water_tests(record: Path, book: openpyxl.Workbook, tmp_path: Path) -> None:
    copied = book.copy_worksheet(book[water_tests.SHEET])
    copied.title = "Tests 2025"
    book.save(tmp_path / "log.xlsx")
    assert import_readings(record, tmp_path / "log.xlsx", tmp_path / "new.xlsx").sheet == water_tests.SHEET
    (tmp_path / "new.xlsx").unlink()
    book[water_tests.SHEET].title = "Tests 2026"
    assert refusal(record, book, tmp_path) == (
        "has several sheets with the headings of water tests: Tests 2025, Tests 2026; give the one for the readings "
        'the name "Water tests"')
