"""The client's rows are all there, with the same values, close together; nobody else's are."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.chart import BarChart
from openpyxl.chart.series_factory import SeriesFactory as Series

from client_logs import (
    BEDS,
    COURT,
    KEPT,
    OTHERS,
    RAFT,
    ROWS,
    SYSTEMS,
    TANK,
    WALL,
    left_over,
    parts,
    season,
    several_clients,
)
from pailbook.workbook.farm_log import overview, stock
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.package import set_cells
from pailbook.workbook.privacy import keep_client
from pailbook.workbook.recalc import recalc
from thorough import first

REGISTERS = (
    "Water tests", "Fish", "Feed", "Doses", "Water added and changed", "Plants harvested", "Upkeep", "Incidents",
)


@pytest.fixture(scope="module")
def log() -> Log:
    return several_clients()


@pytest.fixture(scope="module")
def source(log: Log, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("log")
    recalc(log.book.save(folder / "blank.xlsx"), folder / "log.xlsx")
    return folder / "log.xlsx"


@cache
def loaded(path: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(path)


def inputs(path: Path, log: Log, sheet: str, title: str = "") -> list[tuple[Any, ...]]:
    """What is typed in a register's rows, row by row; blank rows as such."""
    table, cells = log[sheet], loaded(path)[title or sheet]
    return [tuple(cells[f"{table.letter(column.key)}{row}"].value for column in table.inputs)
            for row in range(table.first_row, cells.max_row + 1)]


def of_client(rows: list[tuple[Any, ...]], log: Log, sheet: str) -> list[tuple[Any, ...]]:
    column = [column.key for column in log[sheet].inputs].index("system")
    return [row for row in rows if row[column] in (BEDS, TANK)]


def test_only_the_clients_rows_are_left_and_they_close_up(source: Path, log: Log, tmp_path: Path) -> None:
    removed = keep_client(source, tmp_path / "copy.xlsx", KEPT)
    for sheet in ("Systems", *REGISTERS):
        wanted = of_client(inputs(source, log, sheet), log, sheet)
        found = inputs(tmp_path / "copy.xlsx", log, sheet)
        assert len(wanted) == len(season()[sheet]) // 3
        wanted = [tuple(None if isinstance(value, str) and WALL in value else value for value in row) for row in wanted]
        assert found[: len(wanted)] == wanted
        assert all(value is None for row in found[len(wanted):] for value in row)
        assert removed.rows[sheet] == len(season()[sheet]) * 2 // 3
    assert left_over(source)
    assert not left_over(tmp_path / "copy.xlsx")
    assert removed.systems == (BEDS, TANK)


def test_formulas_stay_where_they_are(source: Path, tmp_path: Path) -> None:
    keep_client(source, tmp_path / "copy.xlsx", KEPT)
    before, after = openpyxl.load_workbook(source), openpyxl.load_workbook(tmp_path / "copy.xlsx")
    assert before.sheetnames == after.sheetnames
    for sheet in before.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    assert after[sheet.title][cell.coordinate].value == cell.value


def test_rules_and_looks_stay(source: Path, tmp_path: Path) -> None:
    keep_client(source, tmp_path / "copy.xlsx", KEPT)
    before, after = loaded(source), openpyxl.load_workbook(tmp_path / "copy.xlsx")
    for sheet in before.worksheets:
        other = after[sheet.title]
        rules, others = ([(str(rule.sqref), rule.type, rule.formula1, rule.prompt) for rule in one.data_validations.
                          dataValidation] for one in (sheet, other))
        assert others == rules
        assert [str(area.sqref) for area in other.conditional_formatting] == [
            str(area.sqref) for area in sheet.conditional_formatting]
        assert other.protection.sheet == sheet.protection.sheet
        assert (other.freeze_panes, other.auto_filter.ref) == (sheet.freeze_panes, sheet.auto_filter.ref)
        assert other.print_title_rows == sheet.print_title_rows
        for row in sheet.iter_rows():
            for cell in row:
                copied = other[cell.coordinate]
                assert (copied.number_format, copied.protection.locked) == (cell.number_format, cell.protection.locked)
    charts = [sorted(name for name in parts(path) if "chart" in name) for path in (source, tmp_path / "copy.xlsx")]
    assert charts[0] == charts[1] != []


def test_the_overview_says_the_same_of_the_clients_systems(source: Path, log: Log, tmp_path: Path) -> None:
    keep_client(source, tmp_path / "copy.xlsx", KEPT)
    full, copy = recalc(source), recalc(tmp_path / "copy.xlsx")
    assert set(copy.values) == set(full.values)
    assert copy.problems == full.problems
    for sheet in (overview.SHEET, stock.SHEET):
        table = log[sheet]
        for new, system in enumerate((BEDS, TANK), table.first_row):
            old = table.first_row + list(SYSTEMS).index(system)
            for column in table.columns:
                if column.key in ("position", "place", "stamp"):
                    continue  # the row of the latest test and the system's own have moved
                wanted = full.values[sheet, f"{table.letter(column.key)}{old}"]
                found = copy.values[sheet, f"{table.letter(column.key)}{new}"]
                assert found == (pytest.approx(wanted, rel=1e-9) if isinstance(wanted, float) else wanted), column.key
        assert copy.values[sheet, f"A{table.first_row + 2}"] == ""
    assert copy.by_key["fish_on_hand"] == 2 * 60 - 6
    assert copy.by_key["tests_entered"] == 8


def test_the_chart_shows_the_clients_system(source: Path, tmp_path: Path) -> None:
    removed = keep_client(source, tmp_path / "copy.xlsx", KEPT)
    assert openpyxl.load_workbook(tmp_path / "copy.xlsx")["Trends"]["C4"].value == BEDS
    assert removed.reset == ["Trends!C4"]


def test_a_log_without_stored_values_gives_the_same_copy(source: Path, log: Log, tmp_path: Path) -> None:
    log.book.save(tmp_path / "bare.xlsx")
    keep_client(tmp_path / "bare.xlsx", tmp_path / "copy of bare.xlsx", KEPT)
    keep_client(source, tmp_path / "copy.xlsx", KEPT)
    for sheet in ("Systems", *REGISTERS):
        assert inputs(tmp_path / "copy of bare.xlsx", log, sheet) == inputs(tmp_path / "copy.xlsx", log, sheet)


def test_sorted_renamed_and_longer_registers(source: Path, log: Log, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(source)
    tests, table = book["Water tests"], log["Water tests"]
    first = table.first_row
    rows = [[cell.value for cell in tests[row][: len(table.inputs)]] for row in range(first, first + 24)]
    rows.sort(key=lambda row: str(row[2]), reverse=True)
    gap = ROWS - 10  # some of the rows go below the prepared ones
    for number, row in enumerate(rows):
        for column, value in enumerate([None] * len(row), 1):
            tests.cell(table.first_row + number, column).value = value
    for number, row in enumerate(rows):
        for column, value in enumerate(row, 1):
            tests.cell(table.first_row + gap + number, column).value = value
    tests.title = "Tests of water"
    book.save(tmp_path / "log.xlsx")
    keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    found = inputs(tmp_path / "copy.xlsx", log, "Water tests", "Tests of water")
    wanted = [tuple(row) for row in rows if row[2] in (BEDS, TANK)]
    assert [row[:10] for row in found[:8]] == [row[:10] for row in wanted]
    assert all(value is None for row in found[8:] for value in row)
    assert not left_over(tmp_path / "copy.xlsx")


def test_a_typed_formula_becomes_its_value_where_the_rows_move(log: Log, source: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(source)
    table = log["Feed"]
    row = table.first_row + list(SYSTEMS).index(BEDS)
    book["Feed"][f"{table.letter('feed')}{row}"].value = f"={table.letter('feed')}{row - 1}*2"
    book.save(tmp_path / "log.xlsx")
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    cell = f"{table.letter('feed')}{table.first_row}"
    assert openpyxl.load_workbook(tmp_path / "copy.xlsx")["Feed"][cell].value == 2 * 51
    assert removed.turned == [f"Feed!{cell}"]


def test_a_number_typed_over_a_formula_goes_with_its_row(log: Log, source: Path, tmp_path: Path) -> None:
    book, table = openpyxl.load_workbook(source), log["Fish"]
    letter, at = table.letter("biomass"), table.first_row + list(SYSTEMS).index(BEDS)
    others = table.first_row
    book["Fish"][f"{letter}{at}"].value, book["Fish"][f"{letter}{others}"].value = 77, 55
    book.save(tmp_path / "log.xlsx")
    keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    before, after = (openpyxl.load_workbook(path)["Fish"] for path in (source, tmp_path / "copy.xlsx"))
    assert after[f"{letter}{table.first_row}"].value == 77
    for row in range(table.first_row + 1, table.last_row + 1):
        assert after[f"{letter}{row}"].value == before[f"{letter}{row}"].value


def test_rows_that_cannot_move_are_left_where_they_are(log: Log, source: Path, tmp_path: Path) -> None:
    book, table = openpyxl.load_workbook(source), log["Feed"]
    book["Feed"].merge_cells(f"F{table.first_row + 2}:G{table.first_row + 2}")
    book.save(tmp_path / "log.xlsx")
    keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    found = inputs(tmp_path / "copy.xlsx", log, "Feed")
    for number, (system, row) in enumerate(zip([*SYSTEMS] * 4, found)):
        assert (row[1] == system) == (system in (BEDS, TANK)), number
        assert system in (BEDS, TANK) or row == (None,) * len(row)


def test_rows_of_nobody_known_are_taken_out(log: Log, source: Path, tmp_path: Path) -> None:
    table = log["Water tests"]
    row, system, ph, note = table.first_row + 30, *(table.letter(key) for key in ("system", "ph", "note"))
    set_cells(source, tmp_path / "log.xlsx", {"Water tests": {
        f"{system}{row}": "Marrowfield pit", f"{note}{row}": "whose is it", f"{ph}{row + 1}": 7.25}})
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    assert "Water tests: 18 rows about others taken out, 1 of them without a system" in list(removed)
    assert not left_over(tmp_path / "copy.xlsx", ("Marrowfield", "whose is it", ">7.25<"))


def test_a_word_about_others_in_a_kept_row_is_blanked_and_reported(log: Log, source: Path, tmp_path: Path) -> None:
    table = log["Incidents"]
    at = table.first_row + list(SYSTEMS).index(BEDS)
    story, done, cause = (table.letter(key) for key in ("story", "done", "cause"))
    set_cells(source, tmp_path / "log.xlsx", {"Incidents": {
        f"{story}{at}": f"fish from {COURT.upper()}s best pond", f"{done}{at}": RAFT, f"{cause}{at}": "a worn seal"}})
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Incidents"]
    first = table.first_row
    assert [sheet[f"{letter}{first}"].value for letter in (story, done, cause)] == [None, None, "a worn seal"]
    assert {f"Incidents!{story}{first}", f"Incidents!{done}{first}"} <= set(removed.cells)
    assert any(f"Incidents!{story}{first}" in line for line in removed)
    assert not left_over(tmp_path / "copy.xlsx", OTHERS)


def test_the_other_clients_copy_of_the_same_log(source: Path, tmp_path: Path) -> None:
    keep_client(source, tmp_path / "copy.xlsx", "  quillon’s court & söhne ")
    others = [name for name in (*OTHERS, BEDS, TANK, "Varrowby") if name not in (COURT, WALL)]
    assert not left_over(tmp_path / "copy.xlsx", others)
    assert left_over(tmp_path / "copy.xlsx", (COURT, WALL))


def test_what_a_user_wrote_beside_a_row_goes_with_it(log: Log, source: Path, tmp_path: Path) -> None:
    table = log["Feed"]
    beside, at = "H", table.first_row + list(SYSTEMS).index(BEDS)
    set_cells(source, tmp_path / "log.xlsx", {"Feed": {
        f"{beside}{table.first_row}": "a secret beside", f"{beside}{at}": "the beds ate well", "AB3": "far away"}})
    keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Feed"]
    assert sheet[f"{beside}{table.first_row}"].value == "the beds ate well"
    assert sheet[f"{beside}{at}"].value is None
    assert sheet["AB3"].value == "far away"


@pytest.mark.parametrize("heading", [("Site", "Price"), pytest.param(None, marks=pytest.mark.long)])
def test_what_stands_beside_a_formula_that_showed_anothers_name_goes_with_it(
    log: Log, source: Path, tmp_path: Path, heading: tuple[str, str] | None
) -> None:
    """A price list of the user's own, whose names come from Systems by formula: a list with headings, or without."""
    book, table = openpyxl.load_workbook(source), log["Systems"]
    sheet = book.create_sheet("Prices")
    if heading:
        sheet.append(heading)
    for number, _ in enumerate(SYSTEMS):
        sheet.append([f"=Systems!{table.letter('system')}{table.first_row + number}", 1000.25 + number])
    sheet["D1"].value, sheet["E1"].value = f"=INDEX(Systems!A{table.first_row}:A{table.last_row},1)", 7.0
    book.save(tmp_path / "log.xlsx")
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    rows = list(openpyxl.load_workbook(tmp_path / "copy.xlsx")["Prices"].iter_rows(max_col=2, values_only=True))
    own = [1000.25 + number for number, system in enumerate(SYSTEMS) if system in (BEDS, TANK)]
    assert [price for name, price in rows if isinstance(price, float)] == own
    assert [str(name)[:9] for name, price in rows if isinstance(price, float)] == ["=Systems!"] * len(own)
    assert "check Prices!D1: it showed somebody else's name" in str(removed)


def test_charts_and_formulas_that_point_to_a_row_follow_it(log: Log, source: Path, tmp_path: Path) -> None:
    book, table = openpyxl.load_workbook(source), log["Feed"]
    letter, at = table.letter("feed"), table.first_row + list(SYSTEMS).index(BEDS)
    mine, others = f"Feed!${letter}${at}", f"Feed!${letter}${table.first_row}"
    own = book.create_sheet("Own")
    formulas = {"A1": f"={mine}*2", "A2": f"={others}+1", "A3": f"=SUM(Feed!{letter}5:{letter}9)", "A4": f'="{others}"',
                "A5": f"=SUM(Feed!${letter}{at}:${letter}{at})", "A6": f"=SUM(Feed!{letter}5:{letter}28)"}
    for place, formula in formulas.items():
        own[place].value = formula
    chart = BarChart()
    for cell in (others, mine):
        chart.series.append(Series(cell))
    own.add_chart(chart, "C3")
    book.save(tmp_path / "log.xlsx")
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    moved = f"${letter}${table.first_row}"
    sheet = openpyxl.load_workbook(tmp_path / "copy.xlsx")["Own"]
    assert {place: sheet[place].value for place in formulas} == {
        **formulas, "A1": f"=Feed!{moved}*2", "A2": None, "A5": f"=SUM(Feed!${letter}5:${letter}5)"}
    assert removed.cells == ["Own!A2"]
    assert [line for line in removed if "check " in line] == [
        "check Own!A3: it uses part of a table whose rows have moved up"]
    charts = [data.decode() for name, data in parts(tmp_path / "copy.xlsx").items() if "chart" in name]
    [shown] = [chart for chart in charts if "Feed" in chart]
    assert shown.count("Feed") == 1
    assert moved in shown


@pytest.mark.parametrize("protected", first([True, False]))
def test_rows_that_hold_the_words_of_headings_are_rows(
    log: Log, source: Path, tmp_path: Path, protected: bool
) -> None:
    book, table = openpyxl.load_workbook(source), log["Water tests"]
    sheet = book["Water tests"]
    sheet.protection.sheet = protected
    for row in range(table.first_row, table.first_row + 24):
        for key, word in (("tester", "System"), ("note", "Client")):
            sheet[f"{table.letter(key)}{row}"].value = word
    book.save(tmp_path / "log.xlsx")
    removed = keep_client(tmp_path / "log.xlsx", tmp_path / "copy.xlsx", KEPT)
    assert removed.rows["Water tests"] == 16
    found = inputs(tmp_path / "copy.xlsx", log, "Water tests")
    assert [row[2] for row in found[:9]] == [BEDS, TANK] * 4 + [None]
    assert not left_over(tmp_path / "copy.xlsx")
