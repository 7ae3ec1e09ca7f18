"""One call from a cell: the outcome policy, units and limits, the same in every host.

A host turns what its program hands over into Python values and back; all judgement is here. Values are
None (blank or left out), float, str, bool, or an `ErrorInput` for an error cell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import repeat, zip_longest
from numbers import Real
from typing import Any

from pailbook import ops
from pailbook.function import Argument, WorksheetFunction
from pailbook.outcomes import NA, ErrorInput, MissingInput, NotPossible, Outcome, OutOfLimits, WrongKind
from pailbook.quantity import METRIC


def call(function: WorksheetFunction, values: Sequence[Any]) -> Any:
    """The function's value for one set of arguments, in the order of its cell form.

    Raises
    ------
    Outcome
        Whose code is the error that the cell shows. Errors that come in go first, then blanks, then
        wrong kinds, then limits, no matter which argument they belong to.
    """
    arguments = function.cell_arguments
    if len(values) > len(arguments):
        raise WrongKind(f"{function.name} takes at most {len(arguments)} arguments, not {len(values)}")
    for value in values:
        for one in value if isinstance(value, list) else (value,):
            if isinstance(one, ErrorInput):
                raise one
    given = {a.name: v for a, v in zip(arguments, values) if not left_out(a, v)}
    for argument in arguments:
        if argument.required and argument.name not in given:
            raise missing(function, argument, METRIC)
    for argument in arguments:
        if argument.name in given:
            given[argument.name] = kind_of(function, argument, given[argument.name])
    units = given.pop("units", METRIC) if function.has_units else METRIC
    for argument in function.arguments:
        if argument.name in given:
            check_limits(function, argument, given[argument.name], units)
    return evaluate(function, given, units)


def left_out(argument: Argument, value: Any) -> bool:
    """Whether the value stands for a blank cell.

    A 0 where 0 is the default means the same as nothing: some programs hand a blank cell over as 0.
    """
    if value is None or (isinstance(value, str) and not value):
        return True
    if isinstance(value, list):
        return all(one is None or one == "" for one in value)
    return not isinstance(value, (str, bool)) and bool(value == 0) and argument.default_is_zero


def missing(function: WorksheetFunction, argument: Argument, units: str) -> MissingInput:
    """The refusal of a call without a required argument."""
    return MissingInput(f"{function.name}: {argument.name} is missing; expected {argument.quantity.expected(units)}")


def evaluate(function: WorksheetFunction, given: Mapping[str, Any], units: str) -> Any:
    """The result for arguments that are in order, converted in and out of the unit system."""
    result = answer(function, {
        a.name: _to_metric(a, given[a.name], units) for a in function.arguments if a.name in given
    })
    if isinstance(result, (bool, str)):
        return result
    if isinstance(result, complex):  # what Python makes of a negative number to a broken power
        raise NotPossible(f"{function.name}: these values have no answer")
    result = function.result.from_metric(result, units_of_result(function, units, given))
    if not math.isfinite(result):
        raise NotPossible(f"{function.name}: these values have no finite answer")
    return float(result)


def _to_metric(argument: Argument, value: Any, units: str) -> Any:
    if isinstance(value, list):
        return [None if one is None else argument.quantity.to_metric(one, units) for one in value]
    return argument.quantity.to_metric(value, units)


def answer(function: WorksheetFunction, metric: Mapping[str, Any]) -> Any:
    """What the function's body makes of metric values; an Outcome that names the function if something stops it."""
    try:
        return function.body(**metric)
    except Outcome as reason:
        raise type(reason)(f"{function.name}: {reason}") from None
    except (ArithmeticError, ValueError) as reason:
        raise NotPossible(f"{function.name}: these values have no answer ({reason})") from None


def units_of_result(function: WorksheetFunction, units: str, given: Mapping[str, Any]) -> str:
    """The unit system of the result; metric where it converts only beside a certain option."""
    if function.result.us_when is not None:
        name, text = function.result.us_when
        return units if given[name] == text else METRIC
    return units


def kind_of(function: WorksheetFunction, argument: Argument, value: Any, at: str = "") -> Any:
    """The value as number, canonical option text or flag, or WrongKind; `at` says where in a column it is."""
    quantity = argument.quantity
    if quantity.series:
        numbers = value if isinstance(value, list) else [value]
        return [None if one is None or one == "" else _number(function, argument, one, at) for one in numbers]
    if quantity.flag:
        if isinstance(value, Real) and value in (0, 1):  # a bool is a number too
            return bool(value)
    elif isinstance(value, str):
        for choice in quantity.choices:
            if value == choice or value.casefold() == choice.casefold():
                return choice
        if quantity.grade and ops.is_grade(value):
            return value
    elif quantity.takes_number:
        return _number(function, argument, value, at)
    raise _wrong_kind(function, argument, value, at)


def _number(function: WorksheetFunction, argument: Argument, value: Any, at: str) -> float:
    if type(value) is float:  # as in most calls; the check below takes longer than the rest
        return value
    if not isinstance(value, bool) and isinstance(value, Real):
        try:
            return float(value)
        except OverflowError:
            return math.copysign(math.inf, -1 if value < 0 else 1)
    raise _wrong_kind(function, argument, value, at)


def _wrong_kind(function: WorksheetFunction, argument: Argument, value: Any, at: str) -> WrongKind:
    return WrongKind(f"{function.name}: {argument.name} is {value!r}{at}; expected {argument.quantity.expected()}")


def check_limits(function: WorksheetFunction, argument: Argument, value: Any, units: str, at: str = "") -> None:
    """OutOfLimits where a number lies outside its quantity's limits in its own unit system."""
    if isinstance(value, (str, bool)) or value is None:
        return
    if isinstance(value, list):
        for one in value:
            check_limits(function, argument, one, units, at)
        return
    quantity = argument.quantity
    if not math.isfinite(value) or any(quantity.outside(value, units)) or (quantity.whole and value % 1):
        number = " ".join(part for part in (f"{value:.12g}", quantity.unit_in(units)) if part)
        raise OutOfLimits(f"{function.name}: {argument.name} is {number}{at}; expected {quantity.expected(units)}")


def spread(function: WorksheetFunction, arguments: Sequence[Any]) -> list[list[Any]]:
    """The call over ranges: rows of values and `Outcome`s, of the largest range's shape.

    A range is a sequence of rows; a single value, row or column repeats. One bad cell spoils only itself.
    A cell beyond a range's end is #N/A, as spreadsheets have it.
    """
    taken_whole = [a.quantity.series for a in function.cell_arguments]
    ranges: list[Any] = [
        [[[one for row in a for one in row]]] if whole and isinstance(a, (list, tuple))
        else a if isinstance(a, (list, tuple)) else [[a]]
        for a, whole in zip_longest(arguments, taken_whole[:len(arguments)], fillvalue=False)
    ]
    height = max((len(rows) for rows in ranges), default=1)
    width = max((len(rows[0]) for rows in ranges), default=1)

    every = zip(*(_repeated(rows, height, width) for rows in ranges)) if ranges else [()]
    outcomes = [_outcome(function, values) for values in every]
    return [outcomes[i * width:(i + 1) * width] for i in range(height)]


def _repeated(rows: Sequence[Sequence[Any]], height: int, width: int) -> Iterable[Any]:
    """A range's cells, row by row, as they stand beside a range of this shape."""
    if len(rows) == len(rows[0]) == 1:
        return repeat(rows[0][0], height * width)
    by_row = range(height) if len(rows) > 1 else repeat(0, height)
    by_column = range(width) if len(rows[0]) > 1 else [0] * width
    return [rows[i][j] if i < len(rows) and j < len(rows[0]) else ErrorInput(NA) for i in by_row for j in by_column]


def _outcome(function: WorksheetFunction, values: Sequence[Any]) -> Any:
    try:
        return call(function, values)
    except Outcome as reason:
        return reason
