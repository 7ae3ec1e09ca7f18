"""The fast engine against the reference, and against the rules of a sheet where the reference is known to stray."""

from __future__ import annotations

import math
import weakref
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from openpyxl.utils import get_column_letter

from expressions import CELLS, Unclear, cells, expressions, written
from expressions import in_python as worked_out
from hosts import in_python, published
from inputs import agrees
from pailbook.hosts.areas import blocks
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.cells import FormulaCell as F
from pailbook.hosts.engines import FAST, REFERENCE, Formulas
from pailbook.hosts.fast import FastModel
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.recalc import load_model
from pailbook.workbook.templates import Made
from plain import SINGLE, plain_form
from thorough import examples, part, thorough

ROOT = Path(__file__).parents[1]
TEMPLATES, DEMO = (sorted((ROOT / folder).glob("*.xlsx")) for folder in ("workbook_templates", "demo_workbooks"))
WORKBOOKS = [pytest.param(path, marks=pytest.mark.long if path in DEMO or path.stem.endswith("-us") else ())
             for path in (*TEMPLATES, *DEMO)]
# Those with long tables, whose rows are alike, with few of them.
SHORT: dict[str, Callable[[], Made]] = {
    "farm-log-metric": lambda: farm_log(rows=12), "dosing-plan-metric": lambda: dosing_plan(rows=5, days=5)}

VALUE = ErrorValue("#VALUE!")
HELD: dict[str, Any] = {
    "A1": 1.0, "A2": 2.5, "A4": "x", "A5": "7", "A6": True, "A7": "", "B1": 10.0, "B2": -20.0, "B3": 3.0, "B4": "yes",
    "B5": "Yes", "B6": "no", "C1": ErrorValue("#N/A"), "C2": ErrorValue("#DIV/0!"), "C3": "act: a",
}


def same(one: Any, other: Any) -> bool:
    """Whether two values are of one kind and agree to 1e-9; what is left of a difference that is none may differ."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-11)
    return type(one) is type(other) and one == other


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.name)
def test_the_engines_agree_on_every_cell_of_every_workbook(path: Path, tmp_path: Path) -> None:
    if not thorough() and path.stem in SHORT:
        path = SHORT[path.stem]().book.save(tmp_path / path.name)
    fast, reference = load_model(path), load_model(path, REFERENCE)
    assert fast.unsuited == ""
    one, other = fast.calculate(), reference.calculate()
    assert one.values.keys() == other.values.keys()
    differ = {place: (value, one.values[place]) for place, value in other.values.items()
              if not same(value, one.values[place])}
    assert not differ
    assert list(map(str, one.problems)) == list(map(str, other.problems))


# What OpenFormula (OASIS, ODF 1.3 part 4) says of each, section by section, where engines are known to go astray.
RULES: list[tuple[str, Any]] = [
    ('COUNT(FIND("x",A4))', 1.0), ('COUNT(FIND("z",A4))', 0.0), ("COUNT(1/0,3)", 1.0), ("COUNT(C1:C3)", 0.0),  # 6.13.6
    ("COUNT(C1)", 0.0), ("COUNT(A1:A7)", 2.0), ("COUNT(A5)", 0.0), ("COUNT(A3)", 0.0), ("COUNT(A1+1,A2)", 2.0),
    ('COUNT(IF(A1=1,A2,""))', 1.0), ('COUNT(IF(A1=2,A2,""))', 0.0),
    ("ISNUMBER(A5)", False), ("ISNUMBER(A6)", False), ("ISNUMBER(A3)", False), ("ISNUMBER(C1)", False),  # 6.13.22
    ("SUMPRODUCT((INT(B1:B3/4)=2)*1)", 1.0), ("SUMPRODUCT(ABS(B1:B3))", 33.0), ("SUMPRODUCT(INT(A3:A4))", VALUE),
    ("SUMPRODUCT(ISNUMBER(A1:A7)*1)", 2.0), ('SUMPRODUCT((LEFT(C3:C3,3)="act")*1)', 1.0),  # 6.16.65: as arrays
    ("SUMPRODUCT(MAX((B1:B3>0)*ROW(B1:B3)))", 3.0), ("SUMPRODUCT(MIN(9-(9-ROW(B1:B3))*(B1:B3<0)))", 2.0),
    ("SUMPRODUCT(LARGE((B1:B3>0)*B1:B3,2))", 3.0), ('SUMPRODUCT((A1:A7="")*1)', 2.0),
    ("SUMPRODUCT((A1:A2<{1;9})+0)", 1.0),
    ("ROW(B7)", 7.0), ("VALUE(A3)", 0.0), ('VALUE("7.5E0")', 7.5),
    ('VALUE("x")', ErrorValue("#VALUE!")),
    ("ISNUMBER(VALUE(LEFT(A4,1)))", False), ("ISNUMBER(VALUE(LEFT(A5,1)))", True), ("LEFT(A6,2)", "TR"),
    ("LEFT(A2,3)", "2.5"), ("LEFT(A3,1)", ""), ("LEFT(C1,1)", ErrorValue("#N/A")), ("A3", 0.0), ('A3&"x"', "x"),  # 4.7
    ("-2^2", 4.0), ("2^3^2", 64.0), ("SUM(A1:A7)", 3.5), ("SUM(C1:C3)", ErrorValue("#N/A")),
    ("MAX(A4,1)", 1.0),
    ('IF(C1,1,2)', ErrorValue("#N/A")), ("IFERROR(C1,5)", 5.0), ("IFERROR(A3,5)", 0.0), ("A4+1", ErrorValue("#VALUE!")),
    ('COUNTIF(A1:A3,">1")', 1.0), ('COUNTIFS(B1:B7,"yes",A1:A7,"x")', 1.0), ('MATCH("YES",B1:B7,0)', 4.0),
    ("INDEX(A1:A7,9)", ErrorValue("#REF!")), ("DATE(2026,3,4)", 46085.0), ("DATE(2026,3,4)-DATE(2026,3,1)", 3.0),
    ("ROUND(-2.5,0)", -3.0), ("ROUND(2.5,0)", 3.0), ("AMMONIA_FRACTION(A3,25)", ErrorValue("#N/A")),
    ('AMMONIA_FRACTION(A4,25)', ErrorValue("#VALUE!")), ("AMMONIA_FRACTION(99,25)", ErrorValue("#NUM!")),
    ("AMMONIA_FRACTION(C2,25)", ErrorValue("#DIV/0!")),
    ("COUNT(AMMONIA_FRACTION(8,25,,))", 1.0),
    ("AMMONIA_FRACTION(8,,25)", ErrorValue("#N/A")),
    ("AMMONIA_FRACTION(,25)", ErrorValue("#N/A")), ("COUNT(AMMONIA_FRACTION(8,IF(TRUE,25),,))", 1.0),
    ("SUMPRODUCT(VESSEL_DENSITY({1;2},100))", 30.0),
]


def test_what_a_sheet_says_is_what_the_fast_engine_gives() -> None:
    sheet = HELD | {f"J{i}": F(text) for i, (text, _) in enumerate(RULES, start=1)}
    model = Formulas({"S": sheet})
    assert model.unsuited == ""
    values = model.calculate().values
    wrong = {text: values["S", f"J{i}"] for i, (text, expected) in enumerate(RULES, start=1)
             if not same(values["S", f"J{i}"], expected)}
    assert not wrong


def test_every_check_value_comes_out_of_the_fast_engine() -> None:
    """Calls and plain formulas of tests/published, with constants and with cells, agree with Python."""
    rows = part([row for row in published() if row.function in SINGLE], 250)
    sheet: dict[str, Any] = {}
    for i, row in enumerate(rows, start=1):
        addresses = [f"{chr(65 + j)}{i}" for j in range(len(row.values))]
        sheet |= {address: value for address, value in zip(addresses, row.values) if value is not None}
        given = [address if value is not None else "" for address, value in zip(addresses, row.values)]
        sheet[f"AA{i}"] = F(f"{row.function.name}({','.join(given).rstrip(',')})")
        form = plain_form(row.function, given, i)
        sheet |= {address: F(text) for address, text in form.steps.items()} | {f"AB{i}": F(form.final)}
    model = Formulas({"S": sheet})
    assert model.unsuited == ""
    values = model.calculate().values
    wrong = [f"{row}: {values['S', f'{column}{i}']}" for i, row in enumerate(rows, start=1) for column in ("AA", "AB")
             if not agrees(values["S", f"{column}{i}"], in_python(row))]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("text", [
    "SUMPRODUCT(A1:A2,B1:B2)", "SUM(IF(A1=1,A1:A2,5))", "A1:A7", "ABS(A1:A2)", "SUM(A1:A2*2)", "OFFSET(A1,1,0)",
    "NO_SUCH(1)", "SUMPRODUCT(TRIM(A1:A2)=1)", "ROW(INDEX(A1:A2,1))", "J1+1", "nowhere+1", "Other!A1",
])
def test_what_was_not_compared_is_left_to_the_reference(text: str) -> None:
    model = Formulas({"S": HELD | {"J1": F(text)}})
    reference = Formulas({"S": HELD | {"J1": F(text)}}, engine=REFERENCE)
    assert model.calculate() == reference.calculate()
    assert model.unsuited


def test_an_array_formula_or_a_circle_is_left_to_the_reference() -> None:
    for cells_held in ({"A1": 2.0, "B1": F("A1*2", "B1:B2")}, {"A1": F("B1+1"), "B1": F("A1+1")}):
        model = Formulas({"S": cells_held})
        values = model.calculate().values
        assert model.unsuited
        assert values == Formulas({"S": cells_held}, engine=REFERENCE).calculate().values


def test_names_sheets_and_fixed_addresses_mean_what_they_mean() -> None:
    model = Formulas(
        {"A's": {"A1": 1.0, "A2": 2.0, "B1": F("$A$1+A2+deep*2"), "B2": F("$A$1+A3+deep*2"), "C9": F("SUM(A:A)")},
         "T": {"A1": F("'A''s'!B1&\" A1 'A1'\""), "A2": F("SUM('A''s'!$A$1:A2)")}},
        {(None, "deep"): "'A''s'!$A$2", ("T", "own"): "T!$A$1"},
    )
    assert model.unsuited == ""
    values = model.calculate().values
    assert values == {("A's", "B1"): 7.0, ("A's", "B2"): 5.0, ("A's", "C9"): 3.0, ("T", "A1"): "7 A1 'A1'",
                      ("T", "A2"): 3.0}
    assert model.calculate({("A's", "A2"): 5.0}).values["A's", "B1"] == 16.0
    assert model.calculate().values == values
    with pytest.raises(ValueError, match="not an input: it holds the formula"):
        model.calculate({("T", "A1"): 1})
    with pytest.raises(ValueError, match="no sheet 'X'"):
        model.calculate({("X", "A1"): 1})


def test_formulas_filled_down_mean_in_each_row_what_they_mean() -> None:
    """Each shape stands in several rows, some of them written as is not usual; the reference takes each one apart."""
    shapes = (
        "$A{0}*B$1+deep%", "SUM($A$1:B{0})", "SUM(B{0}:$A$1)", "SUM(A{0}:A{0})", "sum(a{0}:$B$3)", "ROW()+A{0}",
        "SUMPRODUCT(MAX((A$1:A{0}>1)*ROW(A$1:A{0})))", "'50% A1'!B{0}&\" 7% A1 %s 'A1'\"", "'50% A1'!$B$1+T!A{0}",
        "COUNT(A:A)+A{0}", "IF(A{0}>2,SUM('50% A1'!B$1:B{0}),\"A{0}\")", "AMMONIA_FRACTION(B{0},,A{0})", "A{0}%+A$2",
        "A{0}-XFD{0}+AAA{0}", "SUM(B$1:A{0})",
    )
    sheet: dict[str, Any] = {f"{letter}{i}": 1.5 * i + (letter == "B") for letter in "AB" for i in range(1, 7)}
    for column, shape in enumerate(shapes, start=4):
        sheet |= {f"{get_column_letter(column)}{i}": F(shape.format(i)) for i in range(1, 7)}
    sheets = {"T": sheet, "50% A1": {f"B{i}": float(i * i) for i in range(1, 7)}}
    names: dict[tuple[str | None, str], str] = {(None, "deep"): "'50% A1'!$B$3"}
    fast, reference = Formulas(sheets, names), Formulas(sheets, names, engine=REFERENCE)
    assert fast.unsuited == ""
    one, other = fast.calculate(), reference.calculate()
    assert {place: value for place, value in one.values.items() if not same(value, other.values[place])} == {}
    assert list(map(str, one.problems)) == list(map(str, other.problems))


def test_cells_are_entered_as_rectangles() -> None:
    cells_held = {row: {column: (row, column) for column in (1, 2, 4)} for row in (1, 2, 3, 5, 6, 7, 8)}
    cells_held[7].pop(2)
    found = list(blocks(cells_held, 2))
    entered = {(row + i, column + j): cell for row, column, rows in found
               for i, run in enumerate(rows) for j, cell in enumerate(run)}
    assert entered == {cell: cell for row in cells_held.values() for cell in row.values()}
    assert all(len({len(run) for run in rows}) == 1 and len(rows) <= 2 for _, _, rows in found)
    assert len(found) < sum(len(row) for row in cells_held.values()) / 1.5


def test_a_model_is_freed_when_it_is_not_needed_any_more() -> None:
    model = FastModel({"S": {"A1": 8.0, "B1": F("AMMONIA_FRACTION(A1,25)")}})
    assert model.calculate().values
    gone = weakref.ref(model)
    del model
    assert gone() is None


def test_an_engine_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WorkbookError, match="no engine 'abacus'; expected one of: fast, reference, calc"):
        load_model(TEMPLATES[0], "abacus")


@given(expressions, cells)
@settings(max_examples=examples(150), deadline=None)
def test_random_formulas_have_the_value_that_they_have_in_python(expression: Any, values: tuple[float, ...]) -> None:
    try:
        expected = worked_out(expression, values)
        text = written(expression, 1)
    except (Unclear, ArithmeticError, ValueError):
        return
    model = Formulas({"S": dict(zip(CELLS, values)) | {"J1": F(text)}}, engine=FAST)
    got = model.calculate().values["S", "J1"]
    if expected is None:
        assert isinstance(got, ErrorValue)
    else:
        assert got == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_a_constant_that_is_its_row_s_number_is_no_address() -> None:
    """Formulas that look filled down, though each adds another constant, and one in which the same one is added."""
    cells: dict[str, Any] = {f"B{row}": 10.0 * row for row in range(1, 15)}
    cells |= {f"A{row}": F(f"B{row}+{row}") for row in range(1, 15)}
    cells |= {f"C{row}": F(f"ROUND(B{row}+SUM($B$5:B{row}),{min(row, 6)})") for row in range(6, 15)}
    values = Formulas({"S": cells}).calculate().values
    assert [values["S", f"A{row}"] for row in range(1, 15)] == [11.0 * row for row in range(1, 15)]
    assert [values["S", f"C{row}"] for row in range(6, 15)] == [
        10.0 * row + sum(10.0 * above for above in range(5, row + 1)) for row in range(6, 15)]
