"""Values on their way into the fast engine and out of it, and the functions that stand in for some of its own.

An error is a dictionary there, a range a list of rows, a blank None.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from pailbook.function import WorksheetFunction
from pailbook.hosts.call import spread
from pailbook.hosts.cells import ErrorValue
from pailbook.outcomes import DIV0, NA, NAME, NULL, NUM, REF, ErrorInput, Outcome
from pailbook.outcomes import VALUE as VALUE_ERROR

COUNT, IS_NUMBER, LEFT, VALUE = "PB_COUNT", "PB_ISNUMBER", "PB_LEFT", "PB_VALUE"
INT, ABS = "PB_INT", "PB_ABS"

_CODES = {"Div": DIV0, "Na": NA, "Name": NAME, "Null": NULL, "Num": NUM, "Ref": REF, "Value": VALUE_ERROR}
_KINDS = {code: kind for kind, code in _CODES.items()}


def is_error(value: Any) -> bool:
    """Whether a value of the engine is an error."""
    return isinstance(value, dict)


def error(code: str) -> dict[str, str]:
    """The engine's error for a code such as #N/A."""
    return {"type": "Error", "kind": _KINDS.get(code, "Value")}


def argument_of(value: Any) -> Any:
    """What the engine hands to a function, as `hosts.call` takes it: None, float, text, flag, ErrorInput, or rows."""
    if isinstance(value, list):
        return [[argument_of(one) for one in row] if isinstance(row, list) else [argument_of(row)] for row in value]
    if is_error(value):
        return ErrorInput(_CODES.get(value["kind"], VALUE_ERROR))
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def value_of(value: Any) -> Any:
    """What a formula gives, as float, str, bool or ErrorValue. ValueError where it is nothing that a cell holds."""
    if value is None:
        return 0.0  # a blank, as a formula shows it
    if isinstance(value, (bool, str)):
        return value
    if isinstance(value, (int, float)):
        return float(value)
    if is_error(value) and value["kind"] in _CODES:
        return ErrorValue(_CODES[value["kind"]])
    raise ValueError(f"a formula gives {value}")


def replacements() -> dict[str, Callable[..., Any]]:
    """The functions that stand in for those of the engine, by name; ranges are lists of rows to them."""
    return {COUNT: _count, IS_NUMBER: _each(_is_number), LEFT: _each(_left), VALUE: _value,
            INT: _each(_of_number(math.floor)), ABS: _each(_of_number(abs))}


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _flat(values: Iterable[Any]) -> Iterable[Any]:
    for value in values:
        if isinstance(value, list):
            yield from _flat(value)
        else:
            yield value


def _count(*arguments: Any) -> float:
    return float(sum(
        sum(map(_is_number, _flat(argument))) if isinstance(argument, list) else isinstance(argument, (int, float))
        for argument in arguments
    ))


def _each(function: Callable[..., Any]) -> Callable[..., Any]:
    def apply(value: Any, *more: Any) -> Any:
        if isinstance(value, list):
            return [apply(one, *more) for one in value]
        return function(value, *more)

    return apply


def _of_number(function: Callable[[float], float]) -> Callable[[Any], Any]:
    def apply(value: Any) -> Any:
        number = _value(value)
        return number if is_error(number) else float(function(number))

    return apply


def _left(value: Any, count: Any = 1) -> Any:
    if is_error(value) or is_error(count):
        return value if is_error(value) else count
    return _as_text(value)[:int(count or 0)]


def _as_text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    return f"{value:.15g}" if isinstance(value, (int, float)) else str(value)


def _value(value: Any) -> Any:
    if value is None or is_error(value):
        return value or 0.0
    if isinstance(value, (int, float)):
        return float(value)
    try:
        return float(value)
    except (TypeError, ValueError):
        return error(VALUE_ERROR)


def called(function: WorksheetFunction, refusals: list[Outcome]) -> Callable[..., Any]:
    """The function as the engine calls it; what it refuses is put into the list.

    It must not know the model: the engine holds it in a way that Python does not see, so that a model which it held
    would never be freed.
    """
    def outcome(value: Any) -> Any:
        if not isinstance(value, Outcome):
            return value
        if not isinstance(value, ErrorInput):
            refusals.append(value)
        return error(value.code)

    def call(*arguments: Any) -> Any:
        given = [argument_of(argument) for argument in arguments]
        rows = [[outcome(one) for one in row] for row in spread(function, given)]
        return rows[0][0] if len(rows) == len(rows[0]) == 1 else rows

    return call
