"""Formulas taken apart: what they refer to, wherever they were filled in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.formula.translate import Translator
from openpyxl.utils import get_column_letter

from pailbook.formula.call_names import function_name
from pailbook.hosts.areas import LAST_COLUMN, LAST_ROW, Area
from pailbook.hosts.references import Names, dissect, filled_form

NAMES = Names({"tank": "Tank", "reuben's tank": "Reuben's tank"}, {("", "volume"): "Tank!$A$1", ("", "xfe1"): "2"})
PIECES = st.sampled_from([
    "A1", "$A1", "A$1", "$A$1", "B2:C7", "$B$2:C7", "Tank!B5", "'Reuben''s tank'!$A$3:A9", '"A1 is ""B2"" "', "Volume",
    "LOG10(7)", "1E+3", "SUM(B2,Tank!C3)", "TRUE", "{1,2;3,4}", "12.5", "'Reuben''s tank'!Volume", "#N/A",
])
FORMULAS = st.lists(PIECES, min_size=1, max_size=6).map("+".join)
PLACES = st.tuples(st.integers(1, 500), st.integers(1, 60))


@given(FORMULAS, PLACES, PLACES)
def test_a_formula_filled_into_another_cell_has_the_same_form(text: str, one: tuple[int, int], other: tuple[int, int]
                                                              ) -> None:
    # The program that wrote a file moves the addresses; openpyxl's translator does so too.
    at_one = Translator("=" + text, "A1").translate_formula(f"{get_column_letter(one[1])}{one[0]}")
    at_other = Translator("=" + text, "A1").translate_formula(f"{get_column_letter(other[1])}{other[0]}")
    assert filled_form(at_one, *one) == filled_form(at_other, *other)
    assert dissect(at_one, NAMES, "Tank", *one) == dissect(at_other, NAMES, "Tank", *other)


@given(FORMULAS, FORMULAS, PLACES, PLACES)
def test_formulas_of_the_same_form_mean_the_same(text: str, second: str, one: tuple[int, int], other: tuple[int, int]
                                                 ) -> None:
    if filled_form(text, *one) == filled_form(second, *other):
        assert dissect(text, NAMES, "Tank", *one) == dissect(second, NAMES, "Tank", *other)


@pytest.mark.parametrize(("first", "at", "second", "then"), [
    ('"A1"', (1, 1), '"A2"', (2, 1)), ("LOG10(1)", (10, 1), "LOG11(1)", (11, 1)), ("XFE1", (1, 1), "XFE2", (2, 1)),
    ("$A$1", (1, 1), "$A$2", (2, 1)), ("A1", (1, 1), "A1", (2, 1)), ("[A1]x", (1, 1), "[A2]x", (2, 1)),
    ("'A1'!B1", (1, 1), "'A2'!B2", (2, 1)), ("A1048577", (1, 1), "A1048578", (2, 1)), ("A1.x", (1, 1), "A2.x", (2, 1)),
])
def test_what_only_looks_alike_has_another_form(first: str, at: tuple[int, int], second: str, then: tuple[int, int]
                                                ) -> None:
    assert filled_form(first, *at) != filled_form(second, *then)


@pytest.mark.parametrize("text", ["SUM(A:A)", "SUM($A:$B)", "SUM(1:1)", "SUM(B$3:$4)", "COUNT(Tank!A:A)"])
def test_whole_columns_and_rows_have_no_form(text: str) -> None:
    assert filled_form(text, 3, 3) is None


def test_references_are_found_with_their_sheets_and_ends() -> None:
    found = dissect("=A1+$B$2+SUM(tank!C3:D4,B:B)+Volume+A1", NAMES, "Plan", 5, 5)
    assert found.text == "=_IN0+_IN1+SUM(_IN2,_IN3)+(_IN4)+_IN0"
    assert [reference.seen_from("Plan", 5, 5) for reference in found.references] == [
        Area("Plan", 1, 1, 1, 1), Area("Plan", 2, 2, 2, 2), Area("Tank", 3, 3, 4, 4),
        Area("Plan", 1, 2, LAST_ROW, 2), Area("Tank", 1, 1, 1, 1)]
    assert found.references[0].seen_from("Plan", 1, 1) is None  # four above row 1
    assert found.references[0].seen_from("Plan", 7, 6) == Area("Plan", 3, 2, 3, 2)
    assert found.functions == {"SUM"}
    assert not found.complaints


def test_an_area_counts_and_lists_its_cells() -> None:
    area = Area("Plan", 2, 3, 4, 4)
    assert list(area.cells()) == [(2, 3), (2, 4), (3, 3), (3, 4), (4, 3), (4, 4)]
    assert area.size == 6
    assert not area.single
    assert area.holds(4, 3)
    assert not area.holds(5, 3)
    assert area.in_use(3, 3) == area
    assert Area("Plan", 1, 2, LAST_ROW, 3).in_use(9, 99) == Area("Plan", 1, 2, 9, 3)
    assert Area("Plan", 2, 1, 2, LAST_COLUMN).in_use(9, 5) == Area("Plan", 2, 1, 2, 5)


@pytest.mark.parametrize("text", ["SUM", "sum", "_xlfn.SUM", "_xlfn._xlws.SUM", "_xll.sum", "[1]!SUM",
                                  "'a b.xlam'!SUM"])
def test_a_functions_bare_name(text: str) -> None:
    assert function_name(text) == "SUM"
