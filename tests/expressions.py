"""Random expressions that are calculated as Python floats or recorded on traced cells, by the same code."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from hypothesis import strategies as st

from pailbook import ops
from pailbook.formula.tree import Reference
from pailbook.formula.write import write

CELLS = ("A1", "B1", "C1")
Expression = Callable[[Sequence[Any]], Any]


class Unclear(Exception):
    """A step whose outcome depends on the last digits of its operands, where spreadsheets round as they please."""


def references(row: int = 1) -> list[Reference]:
    """The cells as traced cells, in some row of a sheet."""
    return [Reference(address.replace("1", str(row))) for address in CELLS]


numbers = st.one_of(
    st.integers(-12, 12).map(float),
    st.integers(-400, 400).map(lambda n: n / 8),
    st.sampled_from([1e-9, 2.25577e-5, 0.1, 273.15, 1e9, -1.5e12]),
)
cells = st.tuples(*(st.one_of(st.integers(-20, 20).map(float), st.integers(-4000, 4000).map(lambda n: n / 100))
                    for _ in CELLS))


def _sum(a: Any, b: Any, total: Any) -> Any:
    if isinstance(total, float) and total and abs(total) < 1e-6 * max(abs(a), abs(b)):
        raise Unclear("nearly all digits cancel; sheets make such a difference 0")
    return total


def _power(a: Any, b: Any) -> Any:
    if isinstance(a, float) and isinstance(b, float) and a == 0 == b:
        raise Unclear("0^0 is an error in some sheets")
    power = a**b
    if isinstance(power, complex):
        raise Unclear("a negative number to a broken power: an error in some sheets, an odd root in others")
    return power


def _clear(a: Any, b: Any) -> None:
    if isinstance(a, float) and isinstance(b, float) and a != b and abs(a - b) < 1e-9 * max(abs(a), abs(b)):
        raise Unclear("nearly equal; sheets take these for the same")


def _whole(x: Any) -> Any:
    if isinstance(x, float):
        _clear(x, float(round(x)))
        if abs(x) > 1e12:
            raise Unclear("too large for a fraction")
    return float(ops.floor(x)) if isinstance(x, float) else ops.floor(x)


def _rounded(x: Any) -> Any:
    if isinstance(x, float) and (abs(x) > 1e9 or abs(abs(x * 100) % 1 - 0.5) < 1e-6):
        raise Unclear("a tie, which Python rounds to even and a sheet away from 0")
    return ops.round_to(x, 2)


def _two(a: Expression, b: Expression, operation: Callable[[Any, Any], Any]) -> Expression:
    return lambda values: operation(a(values), b(values))


def _one(a: Expression, operation: Callable[[Any], Any]) -> Expression:
    return lambda values: operation(a(values))


ARITHMETIC: dict[str, Callable[[Any, Any], Any]] = {
    "+": lambda a, b: _sum(a, b, a + b),
    "-": lambda a, b: _sum(a, b, a - b),
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "^": _power,
    "MIN": ops.minimum,
    "MAX": ops.maximum,
}
FUNCTIONS: dict[str, Callable[[Any], Any]] = {
    "-": lambda x: -x,
    "EXP": ops.exp,
    "LN": ops.log,
    "LOG10": ops.log10,
    "SQRT": ops.sqrt,
    "INT": _whole,
    "ABS": ops.absolute,
    "ROUND": _rounded,
}
COMPARISONS: dict[str, Callable[[Any, Any], Any]] = {
    "<": lambda a, b: a < b, "<=": lambda a, b: a <= b, ">": lambda a, b: a > b, ">=": lambda a, b: a >= b,
    "=": lambda a, b: a == b, "<>": lambda a, b: a != b,
}


def _compare(a: Expression, b: Expression, operator: str) -> Expression:
    def compare(values: Sequence[Any]) -> Any:
        left, right = a(values), b(values)
        _clear(left, right)
        return COMPARISONS[operator](left, right)

    return compare


def _choose(condition: Expression, then: Expression, otherwise: Expression) -> Expression:
    return lambda values: ops.where(condition(values), lambda: then(values), lambda: otherwise(values))


def _grow(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
    comparisons = st.builds(_compare, inner, inner, st.sampled_from(sorted(COMPARISONS)))
    conditions = st.one_of(
        comparisons,
        st.builds(lambda a, b: _two(a, b, lambda x, y: x & y), comparisons, comparisons),
        st.builds(lambda a, b: _two(a, b, lambda x, y: x | y), comparisons, comparisons),
    )
    return st.one_of(
        st.builds(_two, inner, inner, st.sampled_from([ARITHMETIC[name] for name in sorted(ARITHMETIC)])),
        st.builds(_one, inner, st.sampled_from([FUNCTIONS[name] for name in sorted(FUNCTIONS)])),
        st.builds(_choose, conditions, inner, inner),
    )


expressions: st.SearchStrategy[Expression] = st.recursive(
    st.one_of(
        st.sampled_from(range(len(CELLS))).map(lambda i: lambda values: values[i]),
        numbers.map(lambda number: lambda values: number),
    ),
    _grow, max_leaves=12,
)


def in_python(expression: Expression, values: Sequence[float]) -> float | None:
    """Its value in floats, None where it has none. Unclear where sheets may differ."""
    try:
        value = expression(values)
    except (ArithmeticError, ValueError):
        return None
    if not math.isfinite(value):
        return None
    if value and not 1e-290 < abs(value) < 1e290:
        raise Unclear("near the ends of what a float can hold")
    return float(value)


def written(expression: Expression, row: int) -> str:
    """Its formula; ArithmeticError or ValueError where constants alone have no answer."""
    recorded = expression(references(row))
    if isinstance(recorded, float) and not math.isfinite(recorded):
        raise ArithmeticError
    return write(recorded)
