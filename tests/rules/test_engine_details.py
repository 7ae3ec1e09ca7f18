"""What rules ask of the two engines beyond plain arithmetic, checked against what sheets are known to do."""

from __future__ import annotations

from typing import Any

import pytest

from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE, Formulas
from pailbook.hosts.headless import evaluate
from pailbook.rounding import half_up

both_engines = pytest.mark.parametrize("engine", [FAST, REFERENCE])

# OpenFormula (OASIS, ODF 1.3 part 4), 6.17.5: ROUND goes to the nearest, a tie away from zero. Worked out by hand.
ROUNDED = [
    (0.575, 2, 0.58), (28.5, 0, 29.0), (2.675, 2, 2.68), (1.005, 2, 1.01), (-2.5, 0, -3.0), (-0.575, 2, -0.58),
    (2.4999, 0, 2.0), (0.1 + 0.2, 1, 0.3), (1250.0, -2, 1300.0), (7.0, 2, 7.0),
]


def value_of(text: str, engine: str, held: dict[str, Any] | None = None, array: bool = False) -> Any:
    """What a formula in Z1 shows."""
    model = Formulas({"S": {**(held or {}), "Z1": FormulaCell(text, "Z1" if array else None)}}, engine=engine)
    assert engine == REFERENCE or model.unsuited == ""
    return model.calculate().values["S", "Z1"]


@both_engines
@pytest.mark.parametrize(("number", "digits", "expected"), ROUNDED)
def test_round_takes_a_tie_away_from_zero(number: float, digits: int, expected: float, engine: str) -> None:
    assert value_of(f"ROUND(A1,{digits})", engine, {"A1": number}) == expected
    assert half_up(number, digits) == expected


@pytest.mark.parametrize(("cells", "expected"), [
    ({"A1": ErrorValue("#N/A")}, ErrorValue("#N/A")), ({"A1": "x"}, ErrorValue("#VALUE!")), ({}, 0.0),
    ({"A1": True}, 1.0), ({"A1": 1e300}, 1e300), ({"A1": 0.0}, 0.0),
])
def test_round_of_what_is_no_number_in_the_reference(cells: dict[str, Any], expected: Any) -> None:
    # 6.3.5: text that is no number is an error, a truth value 0 or 1; 4.7: a blank cell 0. Errors go through (3.8).
    assert evaluate("ROUND(A1,1)", cells) == expected


def test_round_works_on_each_cell_of_an_array_in_the_reference() -> None:
    assert evaluate("SUMPRODUCT(ROUND(A1:A2,0)*1)", {"A1": 0.5, "A2": 1.5}) == 3.0


@both_engines
def test_a_small_negative_number_rounds_to_0_without_a_sign(engine: str) -> None:
    # As spreadsheets show it: measured in LibreOffice 25.2.
    assert value_of('ROUND(-0.04,1)&""', engine) == "0"
    assert value_of('2*ROUND(A1,1)^2&""', engine, {"A1": -0.5}) == "0.5"


@both_engines
@pytest.mark.parametrize(("text", "expected"), [
    ('ISNUMBER(FIND("a",C1))', False), ('ISERROR(FIND("a",C1))', True), ('ISTEXT(MID(C1,1,1))', False),
    ('ISNUMBER(FIND("a",A1))', True), ('ISTEXT(MID(A1,1,1))', True), ('ISLOGICAL(MID(C1,1,1))', False),
    ('IF(ISNUMBER(FIND("a",C1)),"yes","no")', "no"),
])
def test_what_kind_of_value_an_error_is(text: str, expected: Any, engine: str) -> None:
    # 6.13: the IS functions judge an error, they do not become one.
    assert value_of(text, engine, {"A1": "a", "C1": ErrorValue("#N/A")}) == expected


TABLE: dict[str, Any] = {
    "A1": "x", "A2": "y", "A3": "x", "A4": "x", "A5": "", "B1": 10.0, "B2": 20.0, "B3": 5.0, "B4": "? no number",
    "D1": "X",
}


@both_engines
@pytest.mark.parametrize(("text", "expected"), [
    ("MAX(IF((A1:A5=D1)*ISNUMBER(B1:B5),B1:B5,-1E+99))", 10.0),
    ("SUM(IF((A1:A5=D1)*ISNUMBER(B1:B5),B1:B5*B1:B5,0))", 125.0),
    ("INDEX(B1:B5,MATCH(1,(A1:A5=D1)*ISNUMBER(B1:B5)*(B1:B5<9),0))", 5.0),
    ('SUM(IF((A1:A5=D1)*(LEFT(B1:B5,1)="?"),1,0))', 1.0),
    ('IF(SUMPRODUCT((A1:A5="z")*1)=0,"none",MAX(IF(A1:A5="z",B1:B5,-1E+99)))', "none"),
])
def test_a_formula_in_one_cell_that_works_on_each_cell_of_a_range(text: str, expected: Any, engine: str) -> None:
    # 6.16, array formulas: worked out by hand from the table.
    assert value_of(text, engine, TABLE, array=True) == expected


def test_array_formulas_over_several_cells_are_left_to_the_reference() -> None:
    model = Formulas({"S": {"A1": 1.0, "A2": 2.0, "B1": FormulaCell("A1:A2*2", "B1:B2")}})
    assert "several cells" in model.unsuited
    assert model.calculate().values["S", "B2"] == 4.0
