"""Workbooks' files computed without a spreadsheet program, against openpyxl as reader and LibreOffice as computer."""

from __future__ import annotations

import math
import re
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula, DataTableFormula

import calc
import pailbook
from files import BASIN, TANK, names_in, parts, rich_workbook, stored, with_rows
from pailbook.hosts.cells import ErrorValue, as_cell_value
from pailbook.workbook.package import Workbook, WorkbookError, set_cells
from pailbook.workbook.recalc import key_cells, load_model, recalc

# Sheet formulas on which the engine must agree with a spreadsheet program; inputs stand in the columns A to C.
PLAIN = re.split(r"\s{2,}", r'''
    A1+B1*C1   -A1^2   A1^-B1   2^3^2   A1/B1%   A2-A3-A4   1/A9   A9&"x"   A9=0   A9=""   "a"="A"   A1<>B1
    1E+3*A1   1.5E-10*A1   --(A1>1)   SUM(A1:C5)   SUM(A1:A3,7)   AVERAGE(A1:C5)   COUNT(A1:C9)   COUNTA(A1:C9)
    MIN(A1:C5)   MAX(A1:C5)   MEDIAN(A1:A5)   STDEV(A1:A5)   LARGE(A1:A5,2)   PERCENTILE(A1:A5,0.3)
    IF(A1>2,"big","small")   IF(B1="",,5)   IFERROR(1/0,-1)   IFERROR(A1,-1)   AND(A1>0,B1>0)   OR(A1>99,B1>99)
    NOT(A1>2)   ROUND(A5,1)   ROUNDUP(A5,0)   INT(-A5)   CEILING(A5,0.5)   MOD(-7,3)   ABS(-A1)   SQRT(A1)
    EXP(A1)   LN(B1)   LOG10(B1)   INDEX(A1:C5,2,3)   INDEX(A1:C5,MATCH(4,A1:A5,0),2)   SUM(INDEX(A1:C5,0,2))
    VLOOKUP(3,A1:C5,2,FALSE)   MATCH(3.5,A1:A5,1)   SUMIFS(B1:B5,A1:A5,">2",C1:C5,"<=50")   COUNTIFS(A1:A5,">=2")
    AVERAGEIFS(B1:B5,A1:A5,"<4")   SUMPRODUCT((A1:A5>2)*(B1:B5<50)*C1:C5)   SUMPRODUCT(--(A1:A5>2))
    SLOPE(B1:B5,A1:A5)   INTERCEPT(B1:B5,A1:A5)   RSQ(B1:B5,A1:A5)   FORECAST(9,B1:B5,A1:A5)   DATE(2026,3,2)+1
    EDATE(DATE(2026,1,31),1)   WEEKDAY(DATE(2026,3,2))   YEAR(DATE(2026,3,2))   TEXT(A5,"0.00")
    CHOOSE(2,A1,B1,C1)   LEFT("perch",2)&MID("catfish",2,3)   VALUE("2.5")*2   FIND("r","perch")   LEN("jade perch")
    ROW(B7)   COLUMNS(A1:C1)   NA()   1/0   SQRT(-1)   VALUE("x")   ISNA(NA())   ISNUMBER(A1)   ISTEXT("a")
    SUM(IF(A1>9,A1:A3,5))   SUM(IF(A1<9,A1:A3,5))   COUNT(IF(TRUE,A9))   A1&A9   A9>-1   A9=FALSE   "b">"A"   1<"a"
    SUMPRODUCT(A1:A5-1,B1:B5/2)   SUMPRODUCT((A1:A5=3)*(B1:C5>9)*1)   10^400   0^-1   (-8)^0.5   -TRUE
    SUMPRODUCT((A1:A9="")*1)   IF(A9,1,2)   "2"*"3"   ""*1   INDEX(A1:A5,"x")   COUNTIF(A1:A5,A2)
    NORMSINV(0.975)   level*2   SUM(column)   'Becken №2'!A1+1   SUM(A:A)   SUM(1:1)   TRUE+1   "say ""x"""
'''.strip())


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    """A workbook of plain formulas, two to a line of PLAIN: the one itself, and one that depends on it."""
    book = openpyxl.Workbook()
    sheet, other = book.worksheets[0], book.create_sheet(BASIN)
    sheet.title = TANK
    for row, values in enumerate([(1, 20, 7.5), (2, 12.5, 88), (3, 60, 14), (4, 41, 50), (5.45, 33, 0.25)], start=1):
        for column, value in enumerate(values, start=1):
            sheet.cell(row, column, value)
    other["A1"] = "='Reuben''s tank'!B2*2"
    other["B1"] = ArrayFormula("B1:B5", "='Reuben''s tank'!A1:A5*2")
    for row, text in enumerate(PLAIN, start=1):
        other.cell(row, 5, f"='Reuben''s tank'!E{row}")
        sheet.cell(row, 5, f"={text}")
    book.defined_names["level"] = DefinedName("level", attr_text="'Reuben''s tank'!$C$1")
    book.defined_names["column"] = DefinedName("column", attr_text="'Reuben''s tank'!$B$1:$B$5")
    path = tmp_path / "plain.xlsx"
    book.save(path)
    return path


def same(one: Any, other: Any) -> bool:
    """Whether two programs mean the same by a cell's value; the kind of an error and an empty text do not matter."""
    one, other = (
        value.code if isinstance(value, ErrorValue) else as_cell_value(value) or 0 for value in (one, other)
    )
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return str(one) == str(other) or (str(one)[:1] == str(other)[:1] == "#")


def test_functions_and_formulas_are_computed_into_the_file(tmp_path: Path) -> None:
    rich = rich_workbook(tmp_path / "rich.xlsx")
    result = recalc(rich, tmp_path / "computed.xlsx")
    assert not result.problems
    assert len(result.values) == 6 + 1 + 3
    for row in range(2, 8):
        assert result.values[TANK, f"C{row}"] == pailbook.ammonia_fraction(7 + row / 10, 20.0 + row)
    assert result.values[BASIN, "A1"] == 2 * result.values[TANK, "C2"]
    assert [result.values[BASIN, f"B{row}"] for row in (1, 2, 3)] == [7.2, 7.3, 7.4]
    shown = openpyxl.load_workbook(tmp_path / "computed.xlsx", data_only=True)
    assert {place: shown[place[0]][place[1]].value for place in result.values} == result.values
    before, after = stored(rich), stored(tmp_path / "computed.xlsx")
    assert len([name for name in before if before[name] != after[name]]) == 3
    assert recalc(tmp_path / "computed.xlsx").values == result.values


def test_key_results_are_the_names_of_single_cells(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = TANK
    sheet["A1"], sheet["A2"], sheet["A3"], sheet["A4"] = "=1+1", "go", "=1/0", "=A9"
    for name, text in {
        "total": "'Reuben''s tank'!$A$1", "verdict": "'Reuben''s tank'!$A$2", "wrong": "'reuben''s TANK'!A3",
        "blank": "'Reuben''s tank'!$A$4:$A$4", "_helper": "'Reuben''s tank'!$A$1",
        "several": "'Reuben''s tank'!$A$1:$A$2",
        "number": "1.5", "gone": "#REF!", "elsewhere": "[1]Log!$A$1", "lost": "Nowhere!$A$1",
    }.items():
        book.defined_names[name] = DefinedName(name, attr_text=text)
    book.defined_names["hidden"] = DefinedName("hidden", attr_text="'Reuben''s tank'!$A$1", hidden=True)
    sheet.defined_names["own"] = DefinedName("own", attr_text="'Reuben''s tank'!$A$1")
    sheet.print_title_rows = "1:1"
    book.save(tmp_path / "names.xlsx")
    assert recalc(tmp_path / "names.xlsx").results == {
        "total": 2, "wrong": ErrorValue("#DIV/0!"), "blank": 0}  # a typed value is no result
    assert key_cells(Workbook(tmp_path / "names.xlsx"))["wrong"] == (TANK, "A3")


def test_what_cannot_be_computed_is_named_and_the_rest_is_done(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = TANK
    for address, content in {
        "A1": "=1+1", "A2": "=PAIL(1)", "A3": "=SUM(Tests[pH])", "A4": "=A5", "A5": "=A4", "A6": "=[1]Old!A1",
        "A7": "=AMMONIA_FRACTION(99,20)", "A8": "=AMMONIA_FRACTION(A99,20)", "A9": "=IFERROR(A7,A1)", "A10": "=1E3+A1",
        "A11": "=)",
    }.items():
        sheet[address] = content
    sheet["D1"] = DataTableFormula(ref="D1:D2", dt2D=False, r1="A1")
    book.save(tmp_path / "odd.xlsx")
    result = recalc(tmp_path / "odd.xlsx", tmp_path / "out.xlsx")
    assert set(result.values) == {(TANK, f"A{row}") for row in range(1, 12)}
    assert {problem.cell: problem.computed for problem in result.problems} == {
        "A2": False, "A3": False, "A4": False, "A5": False, "A6": False, "A11": False, "D1": False,
        "A7": True, "A8": True}
    assert (result.values[TANK, "A9"], result.values[TANK, "A10"]) == (2, 1002)
    shown = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True)[TANK]
    assert [shown[f"A{row}"].value for row in (1, 2, 4, 7, 8, 11)] == [2, "#NAME?", "#N/A", "#NUM!", "#N/A", "#NAME?"]
    assert all(str(problem).startswith(f"{TANK}!{problem.cell}: ") for problem in result.problems)


def test_shared_formulas_are_computed_and_stay_shared(tmp_path: Path) -> None:
    source = with_rows(rich_workbook(tmp_path / "rich.xlsx"), tmp_path / "shared.xlsx", "".join(
        f'<row r="{row}"><c r="A{row}"><v>{row}</v></c><c r="B{row}"><f t="shared" '
        + ('ref="B1:B9" si="0">A1*10+SUM(A$1:A1)' if row == 1 else 'si="0">') + "</f></c></row>"
        for row in range(1, 10)
    ))
    result = recalc(source, tmp_path / "out.xlsx")
    assert [result.values[TANK, f"B{row}"] for row in range(1, 10)] == [
        row * 10 + row * (row + 1) / 2 for row in range(1, 10)]
    sheet = parts(tmp_path / "out.xlsx")["xl/worksheets/sheet1.xml"].decode()
    assert sheet.count('si="0"') == 9
    assert '<f t="shared" si="0"></f><v>23</v>' in sheet


def test_recalculation_follows_new_inputs(tmp_path: Path) -> None:
    rich = rich_workbook(tmp_path / "rich.xlsx")
    recalc(rich, tmp_path / "1.xlsx")
    set_cells(tmp_path / "1.xlsx", tmp_path / "2.xlsx", {TANK: {"A2": 8.5, "B3": None, "A9": date(2026, 3, 2)}})
    result = recalc(tmp_path / "2.xlsx", tmp_path / "2.xlsx", overwrite=True)
    assert result.values[TANK, "C2"] == pailbook.ammonia_fraction(8.5, 22.0)
    assert result.values[TANK, "C3"] == ErrorValue("#N/A")
    assert [problem.cell for problem in result.problems] == ["C3"]
    model = load_model(rich)
    assert len(model) == 8
    assert "AMMONIA_FRACTION" in model.functions
    assert model.calculate({(TANK, "A2"): 8.5, (TANK, "B3"): None}).values == result.values
    assert names_in(tmp_path) == ["1.xlsx", "2.xlsx", "rich.xlsx"]


def test_a_file_that_is_there_is_refused_before_any_work(tmp_path: Path) -> None:
    rich = rich_workbook(tmp_path / "rich.xlsx")
    steps: list[tuple[int, int]] = []
    with pytest.raises(WorkbookError, match="already exists"):
        recalc(rich, rich, progress=lambda *step: steps.append(step))
    assert not steps
    recalc(rich, progress=lambda *step: steps.append(step))
    assert steps == [(done, 8) for done in range(1, 9)]
    assert names_in(tmp_path) == ["rich.xlsx"]


# With LibreOffice ---------------------------------------------------------------------------------------------


@pytest.mark.libreoffice
def test_plain_formulas_agree_with_libreoffice(plain: Path) -> None:
    calc.needed()
    ours, theirs = recalc(plain), calc.recalculated(plain)
    assert not [problem for problem in ours.problems if not problem.computed]
    wrong = [f"{place}: {value} here, {theirs.get(place)} there ({PLAIN[int(place[1][1:]) - 1]})"
             for place, value in ours.values.items() if not same(value, theirs.get(place))]
    assert not wrong, "\n".join(wrong)


@pytest.mark.libreoffice
def test_a_file_that_libreoffice_saved_is_computed_and_patched_too(plain: Path, tmp_path: Path) -> None:
    calc.needed()
    saved = calc.convert(plain, "xlsx", tmp_path / "saved")
    expected = recalc(plain).values
    result = recalc(saved, tmp_path / "out.xlsx")
    assert set(result.values) == set(expected)
    assert all(same(value, expected[place]) for place, value in result.values.items())
    before, after = stored(saved), stored(tmp_path / "out.xlsx")
    assert {name for name in before if before[name] != after[name]} <= set(Workbook(saved).sheets.values())

    set_cells(tmp_path / "out.xlsx", tmp_path / "typed.xlsx", {TANK: {"A1": 1.25, "B9": "=no formula", "Z40": True}})
    theirs = calc.recalculated(tmp_path / "typed.xlsx")
    ours = recalc(tmp_path / "typed.xlsx").values
    both = {place: (value, theirs.get(place)) for place, value in ours.items()}
    assert not {place: values for place, values in both.items() if not same(*values)}
    assert theirs[TANK, "B9"] == "=no formula"
    assert theirs[TANK, "Z40"] is True


@pytest.mark.libreoffice
def test_libreoffice_opens_the_patched_file_with_its_values(tmp_path: Path) -> None:
    calc.needed()
    rich = rich_workbook(tmp_path / "rich.xlsx")
    set_cells(rich, tmp_path / "typed.xlsx", {TANK: {"A2": 6.5, "E30": "new"}})
    recalc(tmp_path / "typed.xlsx", tmp_path / "out.xlsx")
    opened = calc.convert(tmp_path / "out.xlsx", "xlsx", tmp_path / "opened")
    book = openpyxl.load_workbook(opened)
    assert book.sheetnames == [TANK, BASIN, "Workings"]
    assert book[TANK]["A2"].value == 6.5
    assert book[TANK]["E30"].value == "new"
    assert any(name.startswith("xl/charts/chart") for name in parts(opened))
    assert book["Workings"].sheet_state == "hidden"
    assert book[TANK].data_validations.count == 1


def test_the_key_results_are_those_of_the_first_sheet(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0].title = "Start"
    book.create_sheet("Detail")
    book["Start"]["A1"], book["Detail"]["A1"] = "=1+1", "=2+2"
    for name, sheet in (("front", "Start"), ("behind", "Detail")):
        book.defined_names[name] = DefinedName(name, attr_text=f"{sheet}!$A$1")
    book.save(tmp_path / "book.xlsx")
    result = recalc(tmp_path / "book.xlsx")
    assert (result.results, result.key_results) == ({"front": 2.0, "behind": 4.0}, {"front": 2.0})
    del book.defined_names["front"]
    book.save(tmp_path / "other.xlsx")
    assert recalc(tmp_path / "other.xlsx").key_results == {"behind": 4.0}


@pytest.mark.parametrize("from_1904", [False, True])
def test_results_in_cells_of_dates_and_times_are_dates_and_times(tmp_path: Path, from_1904: bool) -> None:
    """By hand: 6 June 2026 is the day 46179 since 30 December 1899 and 44717 since 1 January 1904; 0.25 is 06:00."""
    day = 44717 if from_1904 else 46179
    book = openpyxl.Workbook()
    if from_1904:
        book.epoch = CALENDAR_MAC_1904
    sheet = book.worksheets[0]
    cells = {
        "day": (f"={day - 1}+1", "yyyy-mm-dd", "2026-06-06"), "built_in": (f"={day - 1}+1", "mm-dd-yy", "2026-06-06"),
        "moment": (f"={day}+0.25", '[$-409]d mmm yyyy" at "hh:mm', "2026-06-06 06:00"),
        "hour": ("=0.125*2", "h:mm", "06:00"), "hour_of_a_day": (f"={day}+0.25", "h:mm:ss", "06:00:00"),
        "duration": ("=1+0.25", "[h]:mm", "30:00"), "month": (f"={day}+0", "mmmm", "2026-06-06"),
        "general": (f"={day}+0", "General", None), "price": (f"={day}+0", '0.00" dollars a day"', None),
        "text": ('="soon"', "yyyy-mm-dd", None), "error": ("=1/0", "yyyy-mm-dd", None),
        "none": ("=0*1", "yyyy-mm-dd", None), "negative": ("=0-5", "yyyy-mm-dd", None),
        "far": ("=1E+300*1", "yyyy-mm-dd", None),
    }
    for row, (name, (formula, number_format, _)) in enumerate(cells.items(), start=1):
        sheet.cell(row, 1, formula).number_format = number_format
        book.defined_names[name] = DefinedName(name, attr_text=f"{sheet.title}!$A${row}")
    book.save(tmp_path / "dates.xlsx")
    found = recalc(tmp_path / "dates.xlsx")
    assert found.moments == {name: text for name, (_, _, text) in cells.items() if text}
    assert found.results["day"] == day


def test_a_workbook_without_styles_has_no_dates(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0]["A1"] = "=46178+1"
    book.defined_names["day"] = DefinedName("day", attr_text="Sheet!$A$1")
    book.save(tmp_path / "book.xlsx")
    package = Workbook(tmp_path / "book.xlsx")
    relations = package.read("xl/_rels/workbook.xml.rels")
    unstyled = re.sub(rb"<Relationship [^>]*styles.xml[^>]*/>", b"", relations)
    assert unstyled != relations
    package.save(tmp_path / "bare.xlsx", {"xl/styles.xml": None, "xl/_rels/workbook.xml.rels": unstyled})
    assert recalc(tmp_path / "bare.xlsx").moments == {}
