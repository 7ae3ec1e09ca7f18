"""Formulas of users that call our functions, rewritten: whatever stands around the calls, the values stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Font
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

import calc
import pailbook
from copies import calls_in, formulas_in, in_office, off, stored
from files import parts, rebuilt
from pailbook.workbook.recalc import load_model
from pailbook.workbook.share.share import Shared, share

TESTS, ODD = "Tests", "AMMONIA_FRACTION(1) of Marek's"  # a sheet whose name looks like a call
QUOTED = "'" + ODD.replace("'", "''") + "'"
READINGS = [(46000, 18), (46003, 17), (46006, 15), (46009, None), (46012, 13), (46015, 11.5)]  # day and mg/L
INPUTS: dict[str, list[Any]] = {
    "A": [7.1, 7.3, 7.5, 7.7, 7.9, None], "B": [24.0, 18.5, 30.0, 12.0, 26.0, 22.0],
    "C": [1.5, 0.25, 3.0, 0.5, 2.0, 1.0], "D": [None, 500.0, 0.0, "", 1200.0, None],
    "E": ["N", "NO3", "PO4", "P", "K", "n"], "F": ["us", "metric", "metric", "", None, "US"],
}
# In place or in steps; nested in each other and in sheet functions; each way of writing an operand.
DOSE = 'PH_AFTER_DOSE("potassium bicarbonate"'
FORMULAS = {
    "in any case": "ammonia_fraction(A1,B1)", "with blanks": " AMMONIA_FRACTION( A1 , B1 ) ",
    "nested": "AMMONIA_UNIONIZED(C2*2,PH_AERATED(60,B2),B2)",
    "twice": "AMMONIA_FRACTION(A1,B1)/AMMONIA_FRACTION(A2,B2)", "minus": "-AMMONIA_FRACTION(A1,B1)^2",
    "percent": "AMMONIA_FRACTION(740%,B1)*5%", "sign": "AMMONIA_FRACTION(+A1,--B1)",
    "compared": "IF(AMMONIA_FRACTION(A1,B1)>=AMMONIA_FRACTION(A2,B2),1,2)",
    "joined": 'TEXT(AMMONIA_FRACTION(A1,B1),"0.000")&" of AMMONIA_FRACTION(A1,B1)"',
    "text": '"=AMMONIA_FRACTION(A1,""x"")"&ROUND(AMMONIA_FRACTION(A1,B1),6)', "absolute": "AMMONIA_FRACTION($A$3,B$3)",
    "mixed": "AMMONIA_FRACTION($A4,B$4)", "other sheet": f"AMMONIA_FRACTION({QUOTED}!A1,B1)",
    "named": "AMMONIA_FRACTION(morning,B1)", "units in a cell": "AMMONIA_FRACTION(A1,75,0,F1)",
    "units by name": "AMMONIA_FRACTION(A1,75,0,system_of_units)",
    "units live": 'AMMONIA_FRACTION(A1,75,0,IF(C1>1,"us","metric"))', "optional blank": "AMMONIA_FRACTION(A1,B1,D1)",
    "optional empty": "AMMONIA_FRACTION(A4,B4,D4)", "optional there": "AMMONIA_FRACTION(A2,B2,D2)",
    "optional by IF": 'AMMONIA_FRACTION(A1,B1,IF(D1="","",D1))',
    "optional skipped": 'AMMONIA_FRACTION(A1,B1,,"metric")', "required blank": "IFERROR(AMMONIA_FRACTION(A6,B6),-1)",
    "blank by INDEX": "IFERROR(AMMONIA_FRACTION(INDEX(A1:A6,6),MAX(B1:B6)-MIN(B1:B6)+5+0*SUM(C1:C6)),-1)",
    "blank by a long IF": 'IFERROR(AMMONIA_FRACTION(IF(AND(C1>1,C2<1,C3>1,C4<1,C5>1),A6,A1),B1),"none")',
    "looked up": "AMMONIA_FRACTION(INDEX($A$1:$A$6,MATCH(MAX($C$1:$C$6),$C$1:$C$6,0)),AVERAGE(B1:B6))",
    "refused": "AMMONIA_FRACTION(A1,B1*100)", "text refused": "ISERROR(AMMONIA_FRACTION(A1,E1))",
    "error inside": "IFERROR(AMMONIA_FRACTION(1/0,B1),7)", "option": 'NUTRIENT_CONVERT(C1,E4,"PO4")',
    "option in another case": 'IFERROR(NUTRIENT_CONVERT(C6,E6,"no3"),-1)',
    "option wrong": 'ISERROR(NUTRIENT_CONVERT(C1,"x","PO4"))',
    "iterates": 'PH_AFTER_DOSE("potassium bicarbonate",20,1000,A1,70,B1)',
    "iterates in itself": f'{DOSE},20,1000,{DOSE},5,1000,A1,70,B1),70,B1)',
    "range": "UPTAKE_RATE($H$1:$H$6,$I$1:$I$6)", "range by name": "UPTAKE_RATE(days_read,$I$1:$I$6)",
    "summed": "SUMPRODUCT(AMMONIA_FRACTION($A$1:$A$5,$B$1:$B$5)*$C$1:$C$5)",
    "largest": "MAX(AMMONIA_FRACTION(A1:A5,B1:B5))",
    "summed with one temperature": "SUMPRODUCT(AMMONIA_FRACTION(A1:A5,25))",
    "braces": "SUM(AMMONIA_FRACTION({7.2,7.6},25))", "picked": "INDEX(AMMONIA_FRACTION(A1:A5,B1:B5),3)",
    "constants alone": "AMMONIA_FRACTION(7.4,25)", "nowhere": '"AMMONIA_FRACTION(A1,B1)"',
    "own name": "AMMONIA_FRACTION(share_of_three,B1)",
    "too long": " & ".join(['TEXT(AMMONIA_FRACTION(A1,B1),"0.0000")', 'TEXT(CARBON_DIOXIDE(A2,80,B2),"0.0")'] * 6),
}
ARRAYS = {"K1:K5": "AMMONIA_FRACTION(A1:A5,B1:B5)", "L1:L5": "2*AMMONIA_FRACTION(A1:A5+0.1,25)+C1:C5",
          "M1:M3": "AMMONIA_UNIONIZED(C1:C3,PH_AERATED(60,B1:B3),B1:B3)", "N1:O2": "AMMONIA_FRACTION(A1:A2,{20,25})"}


def workbook(path: Path, formulas: Mapping[Any, str], arrays: Mapping[str, str] | None = None) -> Path:
    """A workbook with the inputs, the formulas in column J, what they are in column P, and array formulas."""
    book = openpyxl.Workbook()
    sheet, odd = book.worksheets[0], book.create_sheet(ODD)
    sheet.title, odd["A1"] = TESTS, 7.7
    for letter, values in INPUTS.items():
        for row, value in enumerate(values, 1):
            sheet[f"{letter}{row}"] = value
    for row, (day, reading) in enumerate(READINGS, 1):
        sheet[f"H{row}"], sheet[f"I{row}"] = day, reading
    for row, (what, text) in enumerate(formulas.items(), 1):
        sheet[f"J{row}"], sheet[f"P{row}"] = f"={text}", what
    for area, text in (arrays or {}).items():
        sheet[area.split(":")[0]] = ArrayFormula(area, f"={text}")
    for name, text in (("morning", "Tests!$A$2"), ("system_of_units", "Tests!$F$1"), ("days_read", "Tests!$H$1:$H$6"),
                       ("share_of_three", "Tests!$A$1+0.2"), ("left_of_it", "Tests!A1")):
        book.defined_names[name] = DefinedName(name, attr_text=text)
    book.save(path)
    return path


def shared(path: Path, **options: Any) -> tuple[Path, Shared]:
    copy = path.with_name(f"{path.stem}-copy.xlsx")
    done = share(path, copy, **options)
    assert not done.differences, [str(difference) for difference in done.differences]
    return copy, done


def values_of(path: Path) -> Mapping[tuple[str, str], Any]:
    return load_model(path).calculate().values


def test_every_way_of_writing_a_call_keeps_its_value(tmp_path: Path) -> None:
    original = workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS)
    copy, done = shared(original)
    assert not done.done.found.frozen
    assert not calls_in(copy)
    assert off(values_of(original), stored(copy)) == []
    errors = [what for row, what in enumerate(FORMULAS, 1) if str(stored(copy)[TESTS, f"J{row}"]).startswith("#")]
    assert errors == ["refused"]
    assert any("Workings!" in text for text in formulas_in(copy))
    assert stored(copy)[TESTS, "J1"] == pytest.approx(pailbook.ammonia_fraction(7.1, 24.0), rel=1e-12)


@pytest.mark.libreoffice
def test_another_program_computes_the_same(tmp_path: Path) -> None:
    calc.needed()
    original = workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS)
    copy, _ = shared(original)
    assert off(values_of(original), in_office(copy)) == []
    without_functions = in_office(original)  # so that the comparison could fail
    assert without_functions[TESTS, "J1"] == "#NAME?"


@pytest.mark.parametrize(("formula", "reason"), [
    ("MAX(2*AMMONIA_FRACTION(A1:A5,B1:B5))", "within MAX, outside an array formula"),
    ("AMMONIA_FRACTION(A1:A5*1,B1)", "works with a range outside an array formula"),
    ("UPTAKE_RATE(OFFSET($H$1,0,0,6,1),$I$1:$I$6)", "may be a range that is calculated"),
    ("UPTAKE_RATE(H:H,I:I)", "whole column"),
    ("UPTAKE_RATE($H$1:INDEX($H$1:$H$6,6),$I$1:$I$6)", "is a range that is calculated"),
    ('PH_AFTER_DOSE("potassium bicarbonate",ROW(),1000,A1,70,B1)', "depends on the cell"),
    ('PH_AFTER_DOSE("potassium bicarbonate",20,1000,left_of_it*1,70,B1)', "stands for cells beside"),
    ("AMMONIA_FRACTION(A1,B1,0,\"metric\",5)", "takes at most"),
])
def test_what_no_plain_formula_can_say_becomes_a_marked_value(tmp_path: Path, formula: str, reason: str) -> None:
    original = workbook(tmp_path / "own.xlsx", {"one": formula, "two": "AMMONIA_FRACTION(A1,B1)"})
    copy, done = shared(original)
    [frozen] = done.done.found.frozen
    assert (frozen.sheet, frozen.cells) == (TESTS, "J1")
    assert reason in frozen.reason
    assert not calls_in(copy)
    book = openpyxl.load_workbook(copy)
    before, after = (openpyxl.load_workbook(path)[TESTS]["J1"] for path in (original, copy))
    assert after.data_type != "f"
    assert after.fill.fgColor.rgb == "FFFFE08A" != before.fill.fgColor.rgb
    assert book[TESTS]["J2"].data_type == "f"
    about = [cell.value for row in book["About this copy"].iter_rows() for cell in row]
    assert "J1" in about
    assert off({(TESTS, "J1"): values_of(original)[TESTS, "J1"]}, stored(copy)) == []


def test_all_calls_become_values_if_asked(tmp_path: Path) -> None:
    original = workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS)
    copy, done = shared(original, freeze=True)
    assert done.done.found.replaced == 0
    assert not calls_in(copy)
    assert off(values_of(original), stored(copy)) == []
    sheet = openpyxl.load_workbook(copy)[TESTS]
    assert sheet["J1"].data_type == "n"
    assert sheet["K5"].data_type == "n"
    assert sheet["J1"].fill.fgColor.rgb != "FFFFE08A"
    assert isinstance(sheet["P1"].value, str)


def test_a_formula_that_cells_share_is_written_out(tmp_path: Path) -> None:
    original = workbook(tmp_path / "own.xlsx", dict.fromkeys(("one", "two", "three", "four"), "1"))
    part, first = "xl/worksheets/sheet1.xml", "AMMONIA_FRACTION(A1,B$1)*$C1"
    data = parts(original)[part].decode()
    data = data.replace('<c r="J1"><f>1</f>', f'<c r="J1"><f t="shared" ref="J1:J4" si="0">{first}</f>')
    for row in range(2, 5):
        data = data.replace(f'<c r="J{row}"><f>1</f>', f'<c r="J{row}"><f t="shared" si="0"/>')
    copy, done = shared(rebuilt(original, tmp_path / "with.xlsx", {part: data.encode()}))
    assert done.done.found.replaced == 4
    assert b"shared" not in parts(copy)[part]
    for row, ph in enumerate(INPUTS["A"][:4], 1):
        expected = pailbook.ammonia_fraction(ph, 24.0) * INPUTS["C"][row - 1]
        assert stored(copy)[TESTS, f"J{row}"] == pytest.approx(expected, rel=1e-12)


def test_the_same_row_formula_serves_every_row(tmp_path: Path) -> None:
    """Filled down a log, the plain formula differs in its addresses alone."""
    original = tmp_path / "log.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in range(1, 301):
        sheet.append([7.1 + row / 400, 10 + row / 20, f"=AMMONIA_FRACTION($A{row},B{row})*{'$B$1'}",
                      f'=PH_AFTER_DOSE("potassium bicarbonate",C{row},1000,A{row},70,B{row})'])
    book.save(original)
    copy, done = shared(original)
    assert done.done.found.replaced == 600
    sheet = openpyxl.load_workbook(copy)["Sheet"]
    first, ninth = sheet["C1"].value, sheet["C9"].value
    assert re.sub(r"(?<=[AB])1\b", "9", first) == ninth
    steps = openpyxl.load_workbook(copy)["Workings"]
    assert steps["A5"].value == "Sheet!D1"
    assert steps.max_row == 4 + 300


def test_the_sheets_that_are_added_print_as_the_others_do(tmp_path: Path) -> None:
    original = workbook(tmp_path / "own.xlsx", {"one": 'PH_AFTER_DOSE("potassium bicarbonate",20,1000,A1,70,B1)'})
    book = openpyxl.load_workbook(original)
    for sheet in book.worksheets:
        sheet.page_setup.paperSize = 1  # US Letter, ECMA-376 part 1, 18.3.1.63
        for row in sheet.iter_rows():
            for cell in row:
                cell.font = Font("Arial", 10, bold=cell.row == 1)
    book.save(original)
    made = openpyxl.load_workbook(shared(original)[0])
    for title in ("Workings", "About this copy"):
        sheet = made[title]
        assert sheet.page_setup.paperSize == 1
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        footer = sheet.oddFooter
        assert footer is not None
        assert (footer.left.text, footer.right.text) == ("&F: &A", "page &P of &N")
        assert {cell.font.name for row in sheet.iter_rows() for cell in row if cell.value} == {"Arial"}


def test_a_name_taken_by_a_sheet_is_left_to_it(tmp_path: Path) -> None:
    original = workbook(tmp_path / "own.xlsx", {"one": 'PH_AFTER_DOSE("potassium bicarbonate",20,1000,A1,70,B1)'})
    book = openpyxl.load_workbook(original)
    book.create_sheet("Workings")["A1"] = "mine"
    book.create_sheet("ABOUT THIS COPY")["A1"] = "mine too"
    book.save(original)
    copy, _ = shared(original)
    made = openpyxl.load_workbook(copy)
    assert made.sheetnames[-4:] == ["Workings", "ABOUT THIS COPY", "Workings 2", "About this copy 2"]
    assert made["Workings"]["A1"].value == "mine"
    assert any("'Workings 2'!" in text for text in formulas_in(copy))


def test_a_copy_of_a_copy_is_the_same(tmp_path: Path) -> None:
    copy, _ = shared(workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS))
    again, done = shared(copy)
    assert done.done.found.replaced == 0
    assert stored(again) == stored(copy)
    assert openpyxl.load_workbook(again).sheetnames == openpyxl.load_workbook(copy).sheetnames
