"""The functions on whole columns: the same values as single calls, the same refusals, with their positions."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

import pailbook
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import to_us
from pailbook.function import WorksheetFunction
from pailbook.hosts.call import call
from pailbook.outcomes import NotInTable, NotPossible, OutOfLimits
from pailbook.quantities import UNIT_SYSTEMS, US
from plain import SINGLE
from thorough import each

FUNCTIONS = SINGLE
each_function = each("function", FUNCTIONS, lambda function: function.name)
each_system = pytest.mark.parametrize("units", UNIT_SYSTEMS)
ROWS = 24


def _python(function: WorksheetFunction) -> Callable[..., Any]:
    made = getattr(pailbook, function.name.lower())
    assert callable(made)
    return made  # type: ignore[no-any-return]


def _equal(found: list[Any], expected: list[Any]) -> bool:
    """Whether a column's numbers, texts and missing values are those expected."""
    return len(found) == len(expected) and all(
        one == (other if isinstance(other, str) else pytest.approx(other, rel=1e-12, abs=1e-14, nan_ok=True))
        for one, other in zip(found, expected)
    )


def _table(function: WorksheetFunction, units: str) -> dict[str, list[Any]]:
    """Rows around the example, in the unit system: numbers moved about within their limits, every option in turn."""
    random = np.random.default_rng(len(function.name))
    table: dict[str, list[Any]] = {}
    for argument, value in zip(function.arguments, function.example):
        quantity = argument.quantity
        if isinstance(value, str) and not quantity.takes_number:
            options = [*quantity.choices, *(["15-5-30", "0-0-60"] if quantity.grade else [])]
            column: list[Any] = [value if i % 2 else options[i // 2 % len(options)] for i in range(ROWS)]
        elif isinstance(value, bool):
            column = [bool(i % 2) for i in range(ROWS)]
        else:
            low, high = quantity.limits()
            assert low is not None
            assert high is not None
            spread = np.clip(float(value) * random.uniform(0.8, 1.2, ROWS), low + 1e-3 * (high - low) * 0.001, high)
            column = [float(f"{one:.0f}" if quantity.whole else f"{one:.6g}") for one in spread]
            if units == US and quantity.converts:
                column = [float(f"{to_us(quantity, one):.10g}") for one in column]
        table[argument.name] = column
    return table


def _single(function: WorksheetFunction, table: dict[str, list[Any]], units: str) -> list[Any]:
    """The rows one by one; NaN where their inputs have no answer together."""
    result = []
    for row in zip(*table.values()):
        values: list[Any] = [*row, *[None] * (len(function.arguments) - len(row))]
        try:
            result.append(call(function, [*values, units] if function.has_units else values))
        except (NotPossible, NotInTable):
            result.append(math.nan)
    return result


@each_function
@each_system
def test_columns_equal_single_calls(function: WorksheetFunction, units: str) -> None:
    table = _table(function, units)
    expected = _single(function, table, units)
    assert any(one == one for one in expected)  # not NaN throughout
    with_units = {"units": units} if function.has_units else {}
    as_arrays = {name: np.array(column, dtype=object if isinstance(column[0], str) else None)
                 for name, column in table.items()}
    index = pd.Index(range(ROWS, 0, -1))
    as_series = {name: pd.Series(column, index=index) for name, column in table.items()}

    arrays = _python(function)(**as_arrays, **with_units)
    assert isinstance(arrays, np.ndarray)
    assert arrays.dtype == (object if function.result.choices else float)
    assert _equal(arrays.tolist(), expected)

    series = _python(function)(*as_series.values(), **with_units)
    assert isinstance(series, pd.Series)
    assert series.index.equals(index)
    assert _equal(series.tolist(), expected)


@each_function
def test_one_column_beside_single_values(function: WorksheetFunction) -> None:
    for i, argument in enumerate(function.arguments[: len(function.example)]):
        column = np.array([function.example[i]] * 3, dtype=object if isinstance(function.example[i], str) else None)
        values = [*function.example[:i], column, *function.example[i + 1:]]
        expected = call(function, function.example)
        assert _equal(_python(function)(*values).tolist(), [expected] * 3), argument.name


@each_function
def test_a_missing_reading_stays_missing(function: WorksheetFunction) -> None:
    """Whatever the argument is, and whatever the body makes of it elsewhere: NaN in, NaN out, in that row alone."""
    expected = call(function, function.example)
    blank = [None] * (len(function.arguments) - len(function.example))
    for i, argument in enumerate(function.arguments):
        value = [*function.example, *blank][i]
        if value is None:
            value = argument.default if not argument.default_is_zero else _something(argument.quantity.limits())
        missing, kind = (math.nan, float) if isinstance(value, float) else (None, object)
        column = np.array([value, missing, value], dtype=kind)
        values = [*function.example, *blank]
        values[i] = column
        try:
            expected = call(function, [*values[:i], value, *values[i + 1:]])
        except (NotPossible, NotInTable):
            expected = math.nan
        result = _python(function)(*values).tolist()
        assert _equal(result, [expected, math.nan, expected]), argument.name


def _something(limits: tuple[float | None, float | None]) -> float:
    low, high = limits
    assert low is not None
    assert high is not None
    return low + 0.3 * (high - low)


@each_function
def test_numbers_outside_the_limits_are_named_with_their_position(function: WorksheetFunction) -> None:
    for i, argument in enumerate(function.arguments[: len(function.example)]):
        high = argument.quantity.high
        if high is None or not argument.quantity.takes_number:
            continue
        good = function.example[i]
        values = [*function.example]
        values[i] = np.array([good, math.nan, good, high * 2, high * 3])
        with pytest.raises(OutOfLimits, match=f"^{function.name}: {argument.name} is .* at position 3; expected "):
            _python(function)(*values)
        values[i] = pd.Series([good, good, math.inf])
        with pytest.raises(OutOfLimits, match=f"{argument.name} is inf.* at position 2; expected "):
            _python(function)(*values)
        values[i] = np.array([-math.inf, good])
        with pytest.raises(OutOfLimits, match=f"{argument.name} is -inf.* at position 0; expected "):
            _python(function)(*values)


def test_limits_at_the_bound() -> None:
    assert np.isfinite(pailbook.ammonia_fraction(np.array([4.0, 11.0]), np.array([0.01, 40.0]))).all()
    assert np.isfinite(pailbook.ammonia_fraction(8.0, np.array([32.01, 104.0]), units="us")).all()
    metric, us = "expected a number above 0 and up to 40 °C", "expected a number above 32 and up to 104 °F"
    with pytest.raises(OutOfLimits, match=f"temperature is 0 °C at position 1; {metric}"):
        pailbook.ammonia_fraction(8.0, np.array([20.0, 0.0]))
    with pytest.raises(OutOfLimits, match=f"temperature is 32 °F at position 0; {us}"):
        pailbook.ammonia_fraction(8.0, np.array([32.0, 60.0]), units="US")


def test_whole_numbers_are_whole_in_columns_too() -> None:
    assert pailbook.mean_mass(np.array([4.2, 4.2]), np.array([28.0, math.nan])).tolist() == pytest.approx(
        [150.0, math.nan], nan_ok=True)
    with pytest.raises(OutOfLimits, match=r"count is 28.5 at position 1; expected a whole number"):
        pailbook.mean_mass(4.2, np.array([28.0, 28.5]))
