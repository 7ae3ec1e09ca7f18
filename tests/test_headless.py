"""The functions of the catalogue in the headless engine: the outcome policy, and every way to write a call."""

from __future__ import annotations

import math
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import formulas
import numpy as np
import openpyxl
import pandas
import pytest
from formulas.functions import get_functions
from hypothesis import given, settings
from hypothesis import strategies as st
from schedula import EMPTY

from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.hosts.cells import ErrorValue, as_cell_value
from pailbook.hosts.headless import evaluate, register
from pailbook.outcomes import ERROR_CODES, ErrorInput, MissingInput, Outcome
from plain import SINGLE
from thorough import each, examples

register()
FUNCTIONS = SINGLE
ARGUMENTS = [(function, i) for function in FUNCTIONS for i in range(len(function.cell_arguments))]
REQUIRED = [(function, i) for function, i in ARGUMENTS if function.cell_arguments[i].required]
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def name_of(parameter: Any) -> str:
    return parameter.name if isinstance(parameter, WorksheetFunction) else str(parameter)


def example_cells(function: WorksheetFunction) -> dict[str, Any]:
    """The worked example's arguments in row 1, the rest of the cells blank."""
    return {f"{LETTERS[i]}1": value for i, value in enumerate(function.example)}


def formula_of(function: WorksheetFunction, *, without: int | None = None) -> str:
    """A call with a cell for each argument, one of them left out."""
    cells = (f"{LETTERS[i]}1" if i != without else "" for i in range(len(function.cell_arguments)))
    return f"={function.name}({','.join(cells)})"


def error(code: str) -> ErrorValue:
    return ErrorValue(code)


# The outcome policy, for every function of the catalogue ---------------------------------------------------


@each("function", FUNCTIONS, name_of)
def test_the_worked_example_gives_the_same_as_a_call_from_python(function: WorksheetFunction) -> None:
    assert evaluate(formula_of(function), example_cells(function)) == call(function, function.example)


@each(("function", "i"), REQUIRED, name_of)
@pytest.mark.parametrize("blank", [None, ""])
def test_a_blank_required_argument_gives_na_and_never_a_number(function: WorksheetFunction, i: int, blank: Any) -> None:
    cells = {**example_cells(function), f"{LETTERS[i]}1": blank}
    assert evaluate(formula_of(function), cells) == error("#N/A")
    values = [blank if j == i else value for j, value in enumerate(function.example)]
    with pytest.raises(MissingInput) as refused:
        call(function, values)
    assert refused.value.code == "#N/A"
    assert function.cell_arguments[i].name in str(refused.value)


@each(("function", "i"), REQUIRED, name_of)
def test_a_required_argument_left_out_of_the_call_gives_na(function: WorksheetFunction, i: int) -> None:
    assert evaluate(formula_of(function, without=i), example_cells(function)) == error("#N/A")
    few = ",".join(f"{LETTERS[j]}1" for j in range(i))
    assert evaluate(f"={function.name}({few})", example_cells(function)) == error("#N/A")


@each(("function", "i"), ARGUMENTS, name_of)
def test_an_optional_argument_is_left_out_in_any_way(function: WorksheetFunction, i: int) -> None:
    argument = function.cell_arguments[i]
    if argument.required:
        return
    cells = {**example_cells(function), f"{LETTERS[i]}1": None}
    expected = call(function, [None if j == i else value for j, value in enumerate(function.example)])
    assert evaluate(formula_of(function), cells) == expected
    assert evaluate(formula_of(function, without=i), cells) == expected
    assert evaluate(formula_of(function), {**cells, f"{LETTERS[i]}1": ""}) == expected


@each(("function", "i"), ARGUMENTS, name_of)
def test_an_error_that_comes_in_goes_out_unchanged(function: WorksheetFunction, i: int) -> None:
    for code in ERROR_CODES:
        cells = {**example_cells(function), f"{LETTERS[i]}1": error(code)}
        assert evaluate(formula_of(function), cells) == error(code)


@each(("function", "i"), ARGUMENTS, name_of)
def test_a_value_of_the_wrong_kind_gives_value(function: WorksheetFunction, i: int) -> None:
    quantity = function.cell_arguments[i].quantity
    wrong: list[Any] = ["no such thing"] if quantity.flag else ["no such thing", True, False]
    for value in wrong:
        cells = {**example_cells(function), f"{LETTERS[i]}1": value}
        assert evaluate(formula_of(function), cells) == error("#VALUE!"), value


@each(("function", "i"), ARGUMENTS, name_of)
def test_a_number_outside_its_limits_gives_num(function: WorksheetFunction, i: int) -> None:
    quantity = function.cell_arguments[i].quantity
    if not quantity.takes_number:
        return
    wrong = [limit for limit, excluded in ((quantity.low, quantity.above), (quantity.high, quantity.below))
             if limit is not None and excluded and not (limit == 0 == function.cell_arguments[i].default)]
    wrong += [quantity.high * 1.5 + 1] if quantity.high is not None else []
    wrong += [quantity.low - 1] if quantity.low is not None else []
    for value in wrong:
        cells = {**example_cells(function), f"{LETTERS[i]}1": value}
        assert evaluate(formula_of(function), cells) == error("#NUM!"), value


@each("function", FUNCTIONS, name_of)
def test_too_many_arguments_give_value(function: WorksheetFunction) -> None:
    texts = ",".join("1" for _ in range(len(function.cell_arguments) + 1))
    assert evaluate(f"={function.name}({texts})") == error("#VALUE!")


@given(st.sampled_from(FUNCTIONS), st.data())
@settings(max_examples=examples(150), deadline=None)
def test_any_input_gives_what_the_call_gives(function: WorksheetFunction, data: st.DataObject) -> None:
    def values(argument: Argument) -> st.SearchStrategy[Any]:
        quantity = argument.quantity
        low = -1e6 if quantity.low is None else quantity.low - abs(quantity.low) - 1
        high = 1e6 if quantity.high is None else quantity.high * 1.2 + 1
        return st.one_of(st.floats(low, high), st.none(), st.booleans(), st.sampled_from(["", "x", *quantity.choices]),
                         st.sampled_from(ERROR_CODES).map(ErrorValue))

    drawn = [data.draw(values(argument), label=argument.name) for argument in function.cell_arguments]
    cells = {f"{LETTERS[i]}1": value for i, value in enumerate(drawn)}
    try:
        expected = call(function, [ErrorInput(v.code) if isinstance(v, ErrorValue) else v for v in drawn])
    except Outcome as outcome:
        expected = error(outcome.code)
    assert evaluate(formula_of(function), cells) == expected


# How a call may be written -------------------------------------------------------------------------------------

HALF = 0.09018 + 2729.92 / (273.15 + 25)  # the pH at which half the ammonia is un-ionised, by definition of the pKa


@pytest.mark.parametrize("name", [
    "AMMONIA_FRACTION", "ammonia_fraction", "Ammonia_Fraction", "_xldudf_AMMONIA_FRACTION", "_xll.AMMONIA_FRACTION",
    "_xlfn.AMMONIA_FRACTION", "[1]!AMMONIA_FRACTION", r"'C:\add ins\[x.xlam]'!AMMONIA_FRACTION", " AMMONIA_FRACTION",
])
def test_a_functions_name_is_known_in_every_spelling_that_files_have(name: str) -> None:
    assert evaluate(f"={name}(A1,25)", {"A1": HALF}) == pytest.approx(0.5, rel=1e-12)


def test_arguments_may_be_left_out_in_the_middle() -> None:
    assert evaluate('=AMMONIA_FRACTION(A1,77,,"us")', {"A1": HALF}) == pytest.approx(0.5, rel=1e-12)
    assert evaluate('=AMMONIA_FRACTION(A1, 77, , "us")', {"A1": HALF}) == pytest.approx(0.5, rel=1e-12)
    assert evaluate("=AMMONIA_FRACTION(,25)") == error("#N/A")
    assert evaluate("=AMMONIA_FRACTION(A1,)", {"A1": HALF}) == error("#N/A")
    assert evaluate("=AMMONIA_FRACTION()") == error("#N/A")


def test_what_is_left_out_of_the_sheets_own_functions_stays_zero() -> None:
    assert evaluate("=IF(TRUE,,5)") == 0  # OpenFormula 6.15.4: an empty parameter counts as 0
    assert evaluate("=ROUND(2.6,)") == 3


def test_ranges_give_arrays_of_the_same_shape_and_one_bad_cell_spoils_only_itself() -> None:
    cells = {"A1": HALF, "A2": "high", "A3": 99, "A4": None, "A5": HALF, "A6": error("#DIV/0!")}
    rows = evaluate("=AMMONIA_FRACTION(A1:A6,25)", cells)
    assert rows[0] == rows[4] == [pytest.approx(0.5, rel=1e-12)]
    assert [rows[i] for i in (1, 2, 3, 5)] == [[error(c)] for c in ("#VALUE!", "#NUM!", "#N/A", "#DIV/0!")]


def test_a_row_and_a_column_give_a_table_and_a_short_column_na() -> None:
    cells = {"A1": HALF, "A2": HALF, "A3": HALF, "B1": 25, "C1": 25}
    assert np.shape(evaluate("=AMMONIA_FRACTION(A1:A3,B1:C1)", cells)) == (3, 2)
    cells = {"A1": HALF, "A2": HALF, "A3": HALF, "B1": 25, "B2": 25}
    assert evaluate("=AMMONIA_FRACTION(A1:A3,B1:B2)", cells)[2] == [error("#N/A")]


def test_results_go_on_into_other_functions() -> None:
    cells = {"A1": HALF, "A2": HALF}
    assert evaluate("=SUM(AMMONIA_FRACTION(A1:A2,25))*2", cells) == pytest.approx(2, rel=1e-12)
    assert evaluate("=IFERROR(AMMONIA_FRACTION(A1,99),-1)", cells) == -1
    assert evaluate("=ISNA(AMMONIA_FRACTION(A9,25))", cells) is True
    assert evaluate("=ERROR.TYPE(AMMONIA_FRACTION(A1,99))", cells) == 6  # OpenFormula 6.13.9
    assert evaluate("=AMMONIA_UNIONIZED(2,A1,AMMONIA_FRACTION(A1,25)*50)", cells) == pytest.approx(1, rel=1e-12)


def test_the_functions_stand_in_the_librarys_own_dictionary_once(tmp_path: Path, monkeypatch: Any) -> None:
    before = {name: get_functions()[name] for name in CATALOGUE}
    register()
    assert all(get_functions()[name] is function for name, function in before.items())

    monkeypatch.setenv("TQDM_DISABLE", "1")
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet["A1"], sheet["B1"], sheet["B2"] = HALF, "=AMMONIA_FRACTION(A1,25)", "=AMMONIA_FRACTION(A1,C2)"
    book.save(tmp_path / "log.xlsx")
    solution = formulas.ExcelModel().loads(str(tmp_path / "log.xlsx")).finish().calculate()
    assert solution["'[log.xlsx]SHEET'!B1"].value[0, 0] == pytest.approx(0.5, rel=1e-12)
    assert str(solution["'[log.xlsx]SHEET'!B2"].value[0, 0]) == "#N/A"


# What a cell can hold -----------------------------------------------------------------------------------------------


def test_dates_are_serial_numbers() -> None:
    # OpenFormula 4.3.3: with the epoch 1899-12-30, day 36526 is 2000-01-01
    assert evaluate("=A1", {"A1": date(2000, 1, 1)}) == 36526
    assert evaluate("=A1", {"A1": datetime(2000, 1, 1, 12)}) == 36526.5
    assert evaluate("=A1*24", {"A1": time(6, 30)}) == pytest.approx(6.5)


def test_numbers_of_other_libraries_are_numbers() -> None:
    assert as_cell_value(np.float64(1.5)) == as_cell_value(Decimal("1.5")) == as_cell_value(Fraction(3, 2)) == 1.5
    assert as_cell_value(np.bool_(True)) is True
    assert as_cell_value(np.str_("a")) == "a"
    assert as_cell_value(pandas.Timestamp("2000-01-01 12:00")) == 36526.5
    assert as_cell_value(np.int64(7)) == 7


@pytest.mark.parametrize("value", [
    pandas.NaT, pandas.NA, date(1850, 1, 1), np.array([1, 2]), math.nan, math.inf, [1], object(), 10**20 + 1, 10**400,
    datetime.fromisoformat("2024-05-01T10:00:00+02:00"),
])
def test_what_no_cell_can_hold_is_refused(value: Any) -> None:
    with pytest.raises(ValueError, match=r"cell can(not)? hold"):
        as_cell_value(value)


def test_a_blank_cell_is_blank_to_the_library_too() -> None:
    # Its own marker for a blank reaches our functions as a blank, not as 0.
    function = get_functions()["AMMONIA_FRACTION"]
    assert str(function(np.array([[HALF]], object), np.array([[EMPTY]], object))[0, 0]) == "#N/A"
