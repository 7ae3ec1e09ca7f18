"""Every elementary operation on floats, arrays, pandas columns and traced cells."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

from pailbook import ops
from pailbook.formula.tree import NotTraceable, Reference
from pailbook.formula.write import write
from pailbook.hosts.headless import evaluate
from pailbook.outcomes import NotInTable, NotPossible

X = Reference("A1")
VALUES = [-2.5, -2.0, -0.4, 0.3, 1.0, 2.5, 7.25]
POSITIVE = [value for value in VALUES if value > 0]
INDEX = pd.Index([11, 5, 7, 2, 9, 1, 3])

# name, operation, plain Python, numbers to try
ONE_NUMBER: list[tuple[str, Callable[[Any], Any], Callable[[float], float], list[float]]] = [
    ("exp", ops.exp, math.exp, VALUES),
    ("log", ops.log, math.log, POSITIVE),
    ("log10", ops.log10, math.log10, POSITIVE),
    ("sqrt", ops.sqrt, math.sqrt, POSITIVE),
    ("floor", ops.floor, math.floor, VALUES),
    ("ceil", ops.ceil, math.ceil, VALUES),
    ("absolute", ops.absolute, abs, VALUES),
    ("round_to", lambda x: ops.round_to(x, 1), lambda x: round(x, 1), [-2.34, -0.4, 0.31, 2.37]),
    ("minimum", lambda x: ops.minimum(x, 1), lambda x: min(x, 1), VALUES),
    ("minimum, turned", lambda x: ops.minimum(1, x), lambda x: min(x, 1), VALUES),
    ("maximum", lambda x: ops.maximum(x, 1), lambda x: max(x, 1), VALUES),
    ("maximum, turned", lambda x: ops.maximum(1, x), lambda x: max(x, 1), VALUES),
    ("where", lambda x: ops.where(x < 1, x * 2, 9.0), lambda x: x * 2 if x < 1 else 9, VALUES),
    ("where, lazily", lambda x: ops.where(x > 0, lambda: ops.log(x), lambda: -x),
     lambda x: math.log(x) if x > 0 else -x, VALUES),
    ("where, both conditions", lambda x: ops.where((x > 0) & (x < 2), 1.0, 0.0), lambda x: float(0 < x < 2), VALUES),
    ("where, one condition", lambda x: ops.where((x < 0) | (x > 2), 1.0, 0.0), lambda x: float(x < 0 or x > 2), VALUES),
    ("require", lambda x: ops.require(x > 0, lambda: 1 / x, "no"), lambda x: 1 / x, POSITIVE),
    ("positive", lambda x: ops.positive(x, "no"), lambda x: x, POSITIVE),
    ("interpolate", lambda x: ops.interpolate(x, [(-1, 10), (0, 20), (2, 24), (4, 0)]), lambda x: float(np.interp(
        x, [-4, 0, 2, 9], [-20, 20, 24, -60])), VALUES),
]
one_number = pytest.mark.parametrize(
    ("operation", "plain", "values"), [case[1:] for case in ONE_NUMBER], ids=[case[0] for case in ONE_NUMBER]
)
Operation = Callable[[Any], Any]


@one_number
def test_a_float(operation: Operation, plain: Operation, values: list[float]) -> None:
    for value in values:
        assert operation(value) == pytest.approx(plain(value), rel=1e-15), value


@one_number
def test_an_array(operation: Operation, plain: Operation, values: list[float]) -> None:
    result = operation(np.array(values))
    assert isinstance(result, np.ndarray)
    assert result.tolist() == pytest.approx([plain(value) for value in values], rel=1e-15)


@one_number
def test_a_column_keeps_its_index(operation: Operation, plain: Operation, values: list[float]) -> None:
    index = INDEX[: len(values)]
    result = operation(pd.Series(values, index=index))
    assert isinstance(result, pd.Series)
    assert result.index.equals(index)
    assert result.tolist() == pytest.approx([plain(value) for value in values], rel=1e-15)


@one_number
def test_a_traced_cell(operation: Operation, plain: Operation, values: list[float]) -> None:
    formula = write(operation(X))
    for value in values:
        assert evaluate(formula, {"A1": value}) == pytest.approx(plain(value), rel=1e-14), formula


@pytest.mark.parametrize(("operation", "formula"), [
    (ops.exp, "EXP(A1)"), (ops.log, "LN(A1)"), (ops.log10, "LOG10(A1)"), (ops.sqrt, "SQRT(A1)"),
    (ops.floor, "INT(A1)"), (ops.ceil, "-INT(-A1)"), (ops.absolute, "ABS(A1)"), (abs, "ABS(A1)"),
    (lambda x: ops.round_to(x, 6), "ROUND(A1,6)"), (lambda x: ops.minimum(x, 0), "MIN(A1,0)"),
    (lambda x: ops.maximum(0, x), "MAX(0,A1)"), (lambda x: ops.where(x == 1, x, "no"), 'IF(A1=1,A1,"no")'),
    (lambda x: ops.require(x != 1, x, "no"), "IF(A1<>1,A1,NA())"), (lambda x: ops.positive(x, "no"), "SQRT(A1)^2"),
    (lambda x: ops.where(~(x >= 1), x, 0), "IF(NOT(A1>=1),A1,0)"), (ops.is_text, "ISTEXT(A1)"),
    (lambda x: ops.pick(x, {"a": 1, "b": 2.5}, "letter"), 'INDEX({1,2.5},1,MATCH(A1,{"a","b"},0))'),
])
def test_sheet_functions(operation: Operation, formula: str) -> None:
    assert write(operation(X)) == formula


# Domain ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("operation", "value"), [
    (ops.log, 0.0), (ops.log10, -1.0), (ops.sqrt, -1.0), (ops.floor, math.nan),
])
def test_what_a_function_has_no_value_for(operation: Operation, value: float) -> None:
    with pytest.raises(NotPossible, match="does not exist"):
        operation(value)
    with np.errstate(all="ignore"):
        assert not np.isfinite(operation(np.array([value])))


@pytest.mark.parametrize("operation", [
    lambda x: ops.require(x > 0, x, "must be above 0"), lambda x: ops.positive(x - 1e-300, "must be above 0"),
])
def test_what_is_required(operation: Operation) -> None:
    with pytest.raises(NotPossible, match=r"^must be above 0$"):
        operation(-1.0)
    assert np.isnan(operation(np.array([-1.0, 4.0]))).tolist() == [True, False]
    assert operation(pd.Series([-1.0, 4.0], index=[7, 8])).isna().to_dict() == {7: True, 8: False}
    assert str(evaluate(write(operation(X)), {"A1": -1.0})) in ("#N/A", "#NUM!")


def test_nothing_is_positive_enough_at_zero() -> None:
    assert ops.positive(0.0, "no") == 0
    assert ops.positive(np.array([0.0]), "no").tolist() == [0]
    assert evaluate(write(ops.positive(X, "no")), {"A1": 0}) == 0


# Lazy branches -----------------------------------------------------------------------------------------


def _never() -> float:
    raise AssertionError("this branch must not be calculated")


def test_a_float_works_out_the_branch_that_is_taken() -> None:
    assert ops.where(True, lambda: 1.0, _never) == 1
    assert ops.where(False, _never, lambda: 2.0) == 2
    assert ops.require(True, lambda: 3.0, "no") == 3
    with pytest.raises(NotPossible):
        ops.require(False, _never, "no")


def test_arrays_are_silent_about_elements_that_are_not_taken() -> None:
    x = np.array([0.0, 4.0])
    with np.errstate(all="raise"):
        assert ops.where(x == 0, 1.0, lambda: 1 / x).tolist() == [1, 0.25]


@pytest.mark.parametrize("without_answer", [
    lambda: ops.pick("d", {"a": 1.0}, "letter"), lambda: 1.0 / 0.0, lambda: ops.sqrt(-1.0),
])
def test_a_branch_without_answer_fails_only_where_it_is_taken(without_answer: Callable[[], Any]) -> None:
    x = np.array([1.0, 2.0])
    assert ops.where(x == 1, lambda: x, without_answer).tolist() == pytest.approx([1, math.nan], nan_ok=True)
    formula = write(ops.where(X == 1, X, without_answer))
    assert formula == "IF(A1=1,A1,NA())"
    with pytest.raises((NotInTable, NotPossible, ZeroDivisionError)):
        ops.where(False, 1.0, without_answer)


def test_a_mistake_in_a_branch_is_not_taken_for_a_missing_answer() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        ops.where(np.array([True, False]), lambda: np.ones(2) + np.ones(3), 1.0)
    with pytest.raises(NotTraceable):
        ops.where(X > 1, lambda: math.exp(X), 1.0)


# What a formula cannot say -----------------------------------------------------------------------------


@pytest.mark.parametrize("misuse", [
    lambda: 1 if X else 2,
    lambda: 1 if X > 1 else 2,
    lambda: X > 0 and X < 1,
    lambda: X > 0 or X < 1,
    lambda: not X,
    lambda: 0 < X < 1,
    lambda: min(X, 1),
    lambda: max(1, X),
    lambda: X in (1, 2),
    lambda: math.exp(X),
    lambda: math.sqrt(X),
    lambda: float(X),
    lambda: write(X + object()),
    lambda: write(X * math.inf),
    lambda: write(X * complex(0, 1)),
])
def test_python_alone_cannot_be_traced(misuse: Callable[[], Any]) -> None:
    with pytest.raises(NotTraceable):
        misuse()


def test_numpy_leaves_operators_to_a_traced_cell() -> None:
    assert write(np.float64(2.0) * X) == "2*A1"
    assert write(np.float64(2.0) - X) == "2-A1"
