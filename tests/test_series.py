"""Functions that take whole ranges: the same in Python, on columns, in the engine, in steps and in LibreOffice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import calc
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import agrees, quick
from pailbook.formula.tree import NotTraceable
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.frames import checked
from pailbook.hosts.headless import evaluate
from pailbook.outcomes import ErrorInput, MissingInput, NotPossible, Outcome, OutOfLimits, WrongKind
from pailbook.workbook.builder import Book
from pailbook.workbook.recalc import recalc
from plain import plain_form, value_of

RATE, ERROR = CATALOGUE["UPTAKE_RATE"], CATALOGUE["UPTAKE_ERROR"]
ROWS = 6
RANGES = [f"{letter}1:{letter}{ROWS}" for letter in "ABCDE"]

number = st.floats(0, 90).map(lambda x: round(x, 2))
rows = st.lists(st.tuples(
    st.sampled_from([0.0, 0.5, 1.0, 2.0, 3.0, 3.0, 7.0]), st.one_of(st.none(), number),
    st.one_of(st.none(), st.none(), number),
    st.one_of(st.none(), st.none(), st.floats(0, 0.9).map(lambda x: round(x, 2))), st.one_of(st.none(), number),
), min_size=ROWS, max_size=ROWS)


def _table(drawn: list[tuple[Any, ...]], blanks: int) -> list[list[Any]]:
    """Columns of a table whose dates ascend, its last rows blank."""
    day, table = 46000.0, []
    for step, *others in drawn[: ROWS - blanks]:
        day += step
        table.append([day, *others])
    table += [[None] * 5] * blanks
    return [list(column) for column in zip(*table)]


def _outcome(function: Any, values: list[Any]) -> float | None:
    try:
        return float(call(function, values))
    except Outcome:
        return None


@settings(quick, max_examples=60)
@given(rows, st.integers(0, 3))
def test_steps_and_the_engine_give_what_the_call_gives(drawn: list[tuple[Any, ...]], blanks: int) -> None:
    columns = _table(drawn, blanks)
    cells = {f"{letter}{i}": value for letter, column in zip("ABCDE", columns) for i, value in enumerate(column, 1)}
    for function, more in ((RATE, []), (ERROR, ["2", "0.9"])):
        expected = _outcome(function, [*columns, *map(float, more)])
        in_engine = evaluate(f"={function.name}({','.join([*RANGES, *more])})", cells)
        in_steps = value_of(plain_form(function, [*RANGES, *more]), cells)
        if expected is not None and not (1e-9 < abs(expected) < 1e6):
            continue  # readings that fit perfectly leave float noise
        assert agrees(in_engine, expected), (function.name, columns, in_engine, expected)
        assert agrees(in_steps, expected), (function.name, columns, in_steps, expected)


@pytest.mark.parametrize(("values", "outcome"), [
    ([[1.0, 2.0], [5.0, None]], NotPossible),  # one reading
    ([[1.0, 1.0], [5.0, 4.0]], NotPossible),  # on one day
    ([[2.0, 1.0], [5.0, 4.0]], NotPossible),  # dates fall
    ([[1.0, None], [5.0, 4.0]], NotPossible),  # a reading without a date
    ([[1.0, 2.0], [5.0, 4.0], [1.0]], NotPossible),  # columns of different length
    ([None, [5.0, 4.0]], MissingInput),
    ([[None, None], [5.0, 4.0]], MissingInput),
    ([[1.0, 2.0], ["five", 4.0]], WrongKind),
    ([[1.0, 2.0], [True, 4.0]], WrongKind),
    ([[1.0, 2.0], [-5.0, 4.0]], OutOfLimits),
    ([[1.0, 2.0], [5.0, ErrorInput("#DIV/0!")]], ErrorInput),
])
def test_what_cannot_be_answered(values: list[Any], outcome: type[Outcome]) -> None:
    with pytest.raises(outcome) as refused:
        call(RATE, values)
    cells = {
        f"{letter}{i}": ErrorValue(one.code) if isinstance(one, ErrorInput) else one
        for letter, column in zip("ABC", values) for i, one in enumerate(column or [None, None], 1)
    }
    ranges = [f"{letter}1:{letter}{len(column or [0, 0])}" for letter, column in zip("ABC", values)]
    assert evaluate(f"=UPTAKE_RATE({','.join(ranges)})", cells) == ErrorValue(refused.value.code)
    try:
        form = plain_form(RATE, ranges)
    except NotTraceable:
        return
    assert isinstance(value_of(form, cells), ErrorValue)


def test_columns_of_pandas_with_dates_and_gaps() -> None:
    # By hand: 14 to 8 in six days; and 14, 11, then 12 added: 20.
    dates = pd.Series(pd.to_datetime(["2026-03-01", "2026-03-04", "2026-03-07"]))
    assert checked(RATE)(dates, pd.Series([14.0, np.nan, 8.0])) == pytest.approx(1.0)
    assert checked(RATE)(dates, np.array([14.0, 11.0, 20.0]), np.array([np.nan, 12.0, np.nan])) == pytest.approx(1.0)


@pytest.mark.libreoffice
def test_steps_stand_on_a_sheet_of_their_own_and_agree_in_libreoffice(tmp_path: Path) -> None:
    calc.needed()
    given = {"A": [46000.0, 46003.0, 46007.0, None], "B": [14.0, 11.0, 20.0, None], "C": [None, 12.0, None, None]}
    dose: list[Any] = ["KOH", 6.0, 1900.0, 7.2, 60.0, 24.0, 8.0]
    results: dict[Any, list[Any]] = {}
    for plain in (False, True):
        book = Book("Trial", plain=plain)
        sheet = book.sheet("Ines' plan")
        for letter, column in given.items():
            for row, reading in enumerate(column, 5):
                sheet[f"{letter}{row}"] = reading
        for column_number, entered in enumerate(dose, 1):
            sheet.cell(12, column_number).value = entered
        cells = [f"{letter}12" for letter in "ABCDEFG"]
        sheet["J1"] = "=" + book.call("UPTAKE_RATE", "A5:A8", "B5:B8", "C5:C8")
        sheet["J2"] = "=" + book.call("UPTAKE_ERROR", "A5:A8", "B5:B8", "C5:C8", "", "", "2")
        sheet["J3"] = "=" + book.call("PH_AFTER_DOSE", *cells)
        sheet["J4"] = "=" + book.call("PH_AFTER_DOSE", *cells, "", '"settled"')
        path = book.save(tmp_path / f"{plain}.xlsx")
        computed = recalc(path)
        assert not computed.problems
        results[plain] = [computed.values["Ines' plan", f"J{row}"] for row in range(1, 5)]
        if plain:
            assert "Workings" in openpyxl.load_workbook(path).sheetnames
            found = calc.recalculated(path)
            results["calc"] = [found["Ines' plan", f"J{row}"] for row in range(1, 5)]
    assert results[True] == pytest.approx(results[False], rel=1e-9)
    assert results["calc"] == pytest.approx(results[False], rel=1e-9)


@pytest.mark.parametrize(("kit_resolution", "error"), [(1.0, 0.40), (2.0, 0.80), (5.0, 2.0)])
def test_two_readings_two_days_apart_are_as_good_as_the_kits_resolution(kit_resolution: float, error: float) -> None:
    # By hand: rounding to a resolution s has the standard deviation s / sqrt(12); two readings two days apart give a
    # slope with that of s / sqrt(12) / sqrt(2); 95 % of a normal distribution lie within 1.96 of them.
    found = call(ERROR, [[46000.0, 46002.0], [14.0, 11.0], None, None, None, kit_resolution])
    assert found == pytest.approx(error, abs=0.005)


def test_a_straight_fall_is_found_and_its_scatter_by_an_independent_fit() -> None:
    days = np.array([0.0, 3.0, 5.0, 10.0, 12.0, 19.0])
    readings = np.array([35.0, 32.0, 31.5, 27.0, 24.0, 19.5])
    (slope, _), covariance = np.polyfit(days, readings, 1, cov=True)
    series = [list(46000 + days), list(readings)]
    assert call(RATE, series) == pytest.approx(-slope)
    half_width = 2.776445 * np.sqrt(covariance[0, 0])  # from a printed table of Student's t: 0.975, four of freedom
    assert call(ERROR, series) == pytest.approx(half_width, rel=1e-6)


def test_doses_and_changes_are_followed_through() -> None:
    # By hand, 0.5 mg/L a day: 30; four days on 28, a quarter changed for water with 2 gives 21.5; then 8 added; six
    # days on 26.5.
    dates, readings = [46000.0, 46004.0, 46010.0], [30.0, 28.0, 26.5]
    assert call(RATE, [dates, readings, [None, 8.0, None], [None, 0.25, None], [None, 2.0, None]]) == pytest.approx(0.5)


def test_rising_readings_give_a_negative_rate() -> None:
    assert call(RATE, [[46000.0, 46002.0], [20.0, 21.0]]) == pytest.approx(-0.5)
