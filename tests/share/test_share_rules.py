"""Calls outside of cells: conditional formats, what may be typed, tables' columns, names."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table, TableFormula

import pailbook
from copies import calls_in, defined, formulas_in, stored
from pailbook.hosts.headless import evaluate
from test_share_formulas import TESTS, shared, workbook

FILL = PatternFill(bgColor="00FFAA00")
LONG = 'PH_AFTER_DOSE("potassium bicarbonate",20,1000,A1,70,B1)>7'  # which no single formula holds

TYPED = {"A1:A6": "CHLORAMINE_AMMONIA(A1)<5", "B1:B6": "AMMONIA_FRACTION(A1,B1,D1)<0.5", "C1:C6": "C1>0"}


@pytest.fixture
def ruled(tmp_path: Path) -> Path:
    path = workbook(tmp_path / "ruled.xlsx", {"one": "AMMONIA_FRACTION(A1,B1)", "two": "high_share*2"})
    book = openpyxl.load_workbook(path)
    sheet = book[TESTS]
    for text in ("AMMONIA_FRACTION($A1,$B1)>0.01", "$A1>8", LONG):
        sheet.conditional_formatting.add("A1:A6", FormulaRule([text], fill=FILL))  # type: ignore[no-untyped-call]
    sheet.conditional_formatting.add("B1:B6", FormulaRule([LONG], fill=FILL))  # type: ignore[no-untyped-call]
    for area, text in TYPED.items():
        rule = DataValidation(type="custom", formula1=text)
        rule.add(area)
        sheet.add_data_validation(rule)
    book.defined_names["high_share"] = DefinedName("high_share", attr_text="AMMONIA_FRACTION(7.9,Tests!$B$1)")
    dosed = LONG.replace("A1", "Tests!$A$1").replace("B1", "Tests!$B$1")
    book.defined_names["dosed"] = DefinedName("dosed", attr_text=dosed)
    other = book.create_sheet("Table")
    for row in (["pH", "temperature", "share", "dosed"], [7.4, 20.0, "=AMMONIA_FRACTION(A2,B2)", 1.0]):
        other.append(row)
    table = Table(displayName="Readings", ref="A1:D2")
    table._initialise_columns()  # type: ignore[attr-defined]
    for column, name in zip(table.tableColumns, ("pH", "temperature", "share", "dosed")):
        column.name = name
    table.tableColumns[2].calculatedColumnFormula = TableFormula(
        attr_text="AMMONIA_FRACTION(Readings[[#This Row],[pH]],Readings[[#This Row],[temperature]])")
    table.tableColumns[3].calculatedColumnFormula = TableFormula(
        attr_text=LONG.replace("A1", "Readings[[#This Row],[pH]]"))
    other.add_table(table)
    book.save(path)
    return path


def test_a_conditional_format_goes_on_or_is_taken_out(ruled: Path) -> None:
    copy, done = shared(ruled)
    assert not calls_in(copy)
    formats = {str(area.sqref): [rule.formula[0] for rule in rules] for area, rules in openpyxl.load_workbook(
        copy)[TESTS].conditional_formatting._cf_rules.items()}  # type: ignore[attr-defined]
    assert list(formats) == ["A1:A6"]
    rewritten, own = formats["A1:A6"]
    assert own == "$A1>8"
    for ph in (7.1, 7.9):
        cells = {"A1": ph, "B1": 25.0}
        assert evaluate(rewritten, cells) is (pailbook.ammonia_fraction(ph, 25.0) > 0.01)
    assert sum("a conditional format was taken out" in line for line in done.done.elsewhere.dropped) == 2


def test_a_rule_for_what_may_be_typed_goes_on_or_is_taken_out(ruled: Path) -> None:
    copy, done = shared(ruled)
    rules = openpyxl.load_workbook(copy)[TESTS].data_validations
    assert [str(rule.sqref) for rule in rules.dataValidation] == ["A1:A6", "C1:C6"]
    first = rules.dataValidation[0].formula1
    assert len(first) <= 255
    for value in (2.0, 50.0):
        assert evaluate(first, {"A1": value}) is (pailbook.chloramine_ammonia(value) < 5)
    assert [line for line in done.done.elsewhere.dropped if "may be typed" in line and "255" in line]


def test_names_and_tables(ruled: Path) -> None:
    copy, done = shared(ruled)
    names = defined(copy)
    assert evaluate(names["high_share"].replace("Tests!", ""), {"B1": 24.0}) == pytest.approx(
        pailbook.ammonia_fraction(7.9, 24.0), rel=1e-12)
    assert names["dosed"] == "#N/A"
    assert stored(copy)[TESTS, "J2"] == pytest.approx(2 * pailbook.ammonia_fraction(7.9, 24.0), rel=1e-12)
    columns = openpyxl.load_workbook(copy)["Table"].tables["Readings"].tableColumns
    assert "Readings[[#This Row],[pH]]" in columns[2].calculatedColumnFormula.attr_text
    assert columns[3].calculatedColumnFormula is None
    assert any("dosed" in line for line in done.done.elsewhere.dropped)
    about = " ".join(text for text in _texts(copy))
    assert "a table's column is no longer filled in automatically" in about
    assert "the name dosed is #N/A now" in about
    assert not [text for text in formulas_in(copy) if "PH_AFTER" in text]


def _texts(copy: Path) -> list[str]:
    return [cell.value for row in openpyxl.load_workbook(copy)["About this copy"].iter_rows() for cell in row
            if isinstance(cell.value, str)]
