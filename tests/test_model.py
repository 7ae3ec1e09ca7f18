"""Whole workbooks in the headless engine: order, names, circles, and that nothing gets lost."""

from __future__ import annotations

import math
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.model import Model

HALF = 0.09018 + 2729.92 / (273.15 + 25)  # the pH at which half the ammonia is un-ionised, by definition of the pKa
F, error = FormulaCell, ErrorValue
TANK, BASIN = "Reuben's tank", "Becken №2"


def test_formulas_are_computed_across_sheets_in_the_order_of_their_dependence() -> None:
    model = Model({
        TANK: {"A1": F("'Becken №2'!B1*2"), "A2": F(f"SUM('{BASIN}'!A1:B1)"), "A3": F("A1+A2")},
        BASIN: {"A1": 3, "B1": F("A1+1"), "C1": F("'Reuben''s tank'!A3&\" L\""), "D1": F("'REUBEN''S TANK'!a3")},
    })
    calculation = model.calculate()
    assert calculation.values == {(TANK, "A1"): 8, (TANK, "A2"): 7, (TANK, "A3"): 15, (BASIN, "B1"): 4,
                                  (BASIN, "C1"): "15 L", (BASIN, "D1"): 15}
    assert not calculation.problems
    assert len(model) == 6


def test_names_mean_cells_ranges_numbers_and_other_names() -> None:
    model = Model(
        {TANK: {"A1": 2, "A2": 3, "B1": F("Volume*10"), "B2": F("SUM(both)"), "B3": F("Factor*2"), "B4": F("twice"),
                "B5": F("here"), "B6": F(f"'{BASIN}'!here"), "B7": F("below")},
         BASIN: {"A1": 100, "A2": F("here")}},
        {(None, "volume"): "'Reuben''s tank'!$A$1", (None, "both"): "'Reuben''s tank'!$A$1:$A$2",
         (None, "factor"): "1.5", (None, "twice"): "2*Factor+1", (None, "here"): "'Reuben''s tank'!$A$2",
         (BASIN, "here"): "'Becken №2'!$A$1", (None, "below"): "'Reuben''s tank'!B1"},
    )
    values = {address: value for (sheet, address), value in model.calculate().values.items() if sheet == TANK}
    assert values.pop("B7") == 0  # a name's free reference counts from A1: seen from B7 it is C7
    assert values == {"B1": 20, "B2": 5, "B3": 3, "B4": 4, "B5": 3, "B6": 100}
    assert model.calculate().values[BASIN, "A2"] == 100  # a sheet's own name comes before the workbook's


def test_array_formulas_fill_their_range() -> None:
    model = Model({"Log": {"A1": HALF, "A2": HALF, "A3": 99, "B1": F("AMMONIA_FRACTION(A1:A3,25)", "B1:B4"),
                           "C1": F("B2*2"), "D1": F("SUM(B1:B2)"), "E1": F("A1:A3", "E1:F1")}})
    values = model.calculate().values
    assert values["Log", "B1"] == values["Log", "B2"] == pytest.approx(0.5, rel=1e-12)
    assert (values["Log", "B3"], values["Log", "B4"]) == (error("#NUM!"), error("#N/A"))
    assert values["Log", "C1"] == values["Log", "D1"] == pytest.approx(1, rel=1e-12)
    assert values["Log", "F1"] == HALF  # 3.3: a single column repeats
    assert len(values) == 8


def test_whole_columns_and_rows_are_their_part_in_use() -> None:
    model = Model({"Log": {"A1": 1, "A2": F("A1+1"), "A7": 5, "C1": F("SUM(A:A)"), "C2": F("COUNT(1:1,$A:$B)"),
                           "C3": F("MATCH(5,A:A,0)")}})
    values = model.calculate().values
    assert (values["Log", "C1"], values["Log", "C3"]) == (8, 7)
    assert values["Log", "C2"] == 5  # row 1 holds 1 and 8, columns A and B hold 1, 2 and 5


def test_every_formula_has_a_value_and_what_is_wrong_is_named() -> None:
    model = Model({"Log": {
        "A1": F(")("), "A2": F("A1+1"), "A3": F("PAIL(1)"), "A4": F("TREND(B1:B2)"), "A5": F("[1]Old!A1"),
        "A6": F("Gone!A1"), "A7": F("nobody"), "A8": F("Tests[pH]"), "A9": F("B1:B3"), "A10": F(""), "A11": F("1+1"),
        "A12": F("SUM(Log:Plan!A1)"), "A13": F('"' + "x" * 200 + '"+1'),
    }}, {(None, "loop"): "loop+1"})
    calculation = model.calculate()
    values = {address: value for (_, address), value in calculation.values.items()}
    assert values == {
        "A1": error("#NAME?"), "A2": error("#NAME?"), "A3": error("#NAME?"), "A4": error("#N/A"), "A5": error("#REF!"),
        "A6": error("#REF!"), "A7": error("#NAME?"), "A8": error("#REF!"), "A9": 0, "A10": error("#NAME?"), "A11": 2,
        "A12": error("#REF!"), "A13": error("#VALUE!"),
    }
    reasons = {problem.cell: str(problem) for problem in calculation.problems}
    assert set(reasons) == set(values) - {"A2", "A11"}  # A2 only passes on what A1 has
    assert reasons["A3"] == "Log!A3: PAIL is not a known function (=PAIL(1))"
    assert "=)(" in reasons["A1"]
    assert "several sheets" in reasons["A12"]
    assert len(reasons["A13"]) < 200
    assert [problem.computed for problem in calculation.problems if problem.cell == "A13"] == [True]
    assert not any(problem.computed for problem in calculation.problems if problem.cell != "A13")


def test_a_refused_input_is_explained() -> None:
    model = Model({"Log": {"A1": 15.45, "B1": F("AMMONIA_FRACTION(A1,25)"), "C1": F("B1*2"), "D1": F("NA()"),
                           "E1": F("AMMONIA_FRACTION(7,Z1)"), "F1": F("IFERROR(B1,0)")}})
    problems = {problem.cell: problem for problem in model.calculate().problems}
    assert set(problems) == {"B1", "E1"}  # C1 passes it on, D1 means it, F1 deals with it
    assert "ph is 15.45" in problems["B1"].reason
    assert problems["B1"].reason.startswith("#NUM!")
    assert problems["E1"].reason.startswith("#N/A: AMMONIA_FRACTION: temperature is missing")


@pytest.mark.parametrize(("text", "spreads"), [
    ("MAX(A1:A3*2)", True), ("SUM(IF(A1:A3>1,A1:A3))", True), ("SUM(ABS(A1:A3))", True), ("SUM(-A1:A3)", True),
    ("MATCH(1,(A1:A3=2)*1,0)", True), ("SUMPRODUCT((A1:A3>1)*A1:A3)", False), ("SUM(A1:A3)*2", False),
    ("SUM(A1*{1,2,3})", False), ("SUM(INDEX(A1:B3,0,1))", False), ("SUM(IF(A1>0,A1:A3))", False),
    ("SUMPRODUCT(ABS(A1:A3))", False), ("SUM(SUMIFS(A1:A3,A1:A3,{1,2}))", False), ("MAX(A1:A3,B1)", False),
    ("SUM(AMMONIA_FRACTION(A1:A3,25))", False), ("COUNTIF(A1:A3,2)", False), ("SUM(A1:A2 A2:A3)", False),
])
def test_what_only_an_array_formula_computes_is_named_in_a_plain_one(text: str, spreads: bool) -> None:
    # Elsewhere a sheet takes one cell of the range, OpenFormula 3.3 (implicit intersection).
    cells = {"A1": 5, "A2": 6, "A3": 7}
    reasons = [problem.reason for problem in Model({"Log": {**cells, "D9": F(text)}}).calculate().problems]
    assert any("array formula" in reason for reason in reasons) == spreads
    reasons = [problem.reason for problem in Model({"Log": {**cells, "D9": F(text, "D9")}}).calculate().problems]
    assert not any("array formula" in reason for reason in reasons)


def test_circles_are_named_and_do_not_hang() -> None:
    model = Model({"Log": {"A1": F("B1"), "B1": F("C1+1"), "C1": F("A1*2"), "D1": F("A1+1"), "E1": F("E1"), "F1": 5,
                           "G1": F("F1+1"), "H1": F("SUM(H1:H3)"), "I1": F("IF(FALSE,I1,3)")}})
    calculation = model.calculate()
    for address in ("A1", "B1", "C1", "D1", "E1", "H1"):
        assert calculation.values["Log", address] == error("#N/A")
    assert calculation.values["Log", "G1"] == 6
    circles = {problem.cell: problem.reason for problem in calculation.problems}
    assert set(circles) == {"A1", "B1", "C1", "E1", "H1", "I1"}
    assert "Log!A1 -> Log!B1 -> Log!C1 -> Log!A1" in circles["B1"]


def test_a_long_chain_and_a_long_circle() -> None:
    chain: dict[str, Any] = {f"A{i}": F(f"A{i + 1}+1") for i in range(1, 2000)}
    assert Model({"Log": {**chain, "A2000": 0}}).calculate().values["Log", "A1"] == 1999
    circle = Model({"Log": {**chain, "A2000": F("A1")}}).calculate()
    assert len(circle.problems) == 2000
    assert "..." in circle.problems[0].reason


def test_a_name_that_stands_for_itself_is_named() -> None:
    calculation = Model({"Log": {"A1": F("loop")}}, {(None, "loop"): "loop+1"}).calculate()
    assert calculation.values["Log", "A1"] == error("#NAME?")
    assert "itself" in calculation.problems[0].reason


def test_inputs_change_for_one_calculation_alone() -> None:
    model = Model({"Log": {"A1": 1, "B1": F("A1*2"), "C1": F("B1+Z9"), "D1": F("5"), "E1": F("SUM(A1:A3)")}})
    base = model.calculate().values
    changed = model.calculate({("Log", "A1"): 10, ("Log", "Z9"): 1, ("Log", "A3"): None}).values
    assert changed == {("Log", "B1"): 20, ("Log", "C1"): 21, ("Log", "D1"): 5, ("Log", "E1"): 10}
    assert model.calculate().values == base
    assert model.calculate({("Log", "A1"): None}).values["Log", "B1"] == 0


def test_problems_come_and_go_with_the_inputs() -> None:
    model = Model({"Log": {"A1": 7, "B1": F("AMMONIA_FRACTION(A1,25)")}})
    assert not model.calculate().problems
    assert len(model.calculate({("Log", "A1"): 99}).problems) == 1
    assert not model.calculate().problems


def test_inputs_that_are_none_are_refused() -> None:
    model = Model({"Log": {"A1": 1, "B1": F("A1")}})
    for place, value, why in (
        (("Log", "B1"), 1, "holds the formula =A1"), (("Plan", "A1"), 1, "no sheet"), (("Log", "A1"), math.nan, "hold"),
    ):
        with pytest.raises(ValueError, match=why):
            model.calculate({place: value})


def test_progress_is_reported() -> None:
    seen: list[tuple[int, int]] = []
    Model({"Log": {"A1": F("1"), "A2": F("A1"), "A3": F("A2")}}).calculate(progress=lambda *step: seen.append(step))
    assert seen == [(1, 3), (2, 3), (3, 3)]


TEXTS = st.one_of(
    st.tuples(st.sampled_from("ABC"), st.integers(1, 4), st.sampled_from("+-*/&=<"), st.sampled_from("ABC"),
              st.integers(1, 4)).map(lambda t: f"{t[0]}{t[1]}{t[2]}{t[3]}{t[4]}"),
    st.tuples(st.sampled_from(["SUM", "COUNT", "MAX", "IFERROR", "PAIL"]), st.sampled_from("ABC"), st.integers(1, 4)
              ).map(lambda t: f"{t[0]}({t[1]}{t[2]}:C4,2)"),
    st.text(st.sampled_from("A1B2+-*/()&,:!'\"% {}#"), max_size=8),
)
CELLS = [f"{column}{row}" for column, row in product("ABC", range(1, 5))]
CONTENT = st.one_of(st.floats(-9, 9), st.none(), st.booleans(), st.sampled_from(["", "7", "x"]), TEXTS.map(FormulaCell))


@given(st.fixed_dictionaries(dict.fromkeys(CELLS, CONTENT)), st.sampled_from(CELLS), st.floats(-9, 9))
@settings(max_examples=150, deadline=None)
def test_whatever_stands_in_the_cells_every_formula_gets_a_value(cells: dict[str, Any], at: str, value: float) -> None:
    model = Model({"Log": cells})
    values = model.calculate().values
    assert set(values) == {("Log", address) for address, held in cells.items() if isinstance(held, FormulaCell)}
    for one in values.values():
        assert isinstance(one, (float, str, bool, ErrorValue))
    if not isinstance(cells[at], FormulaCell):
        fresh = Model({"Log": {**cells, at: value}}).calculate()
        changed = model.calculate({("Log", at): value})
        assert changed.values == fresh.values
        assert changed.problems == fresh.problems
