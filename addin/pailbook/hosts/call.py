"""One call from a cell: the outcome policy, units and limits, the same in every host.

A host turns what its program hands over into Python values and back; all judgement is here. Values are
None (blank or left out), float, str, bool, or an `ErrorInput` for an error cell.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from pailbook.function import Argument, WorksheetFunction
from pailbook.outcomes import NA, ErrorInput, MissingInput, NotPossible, Outcome, OutOfLimits, WrongKind
from pailbook.quantities import METRIC, Quantity


def call(function: WorksheetFunction, values: Sequence[Any]) -> Any:
    """The function's value for one set of arguments, in the order of its cell form.

    Raises
    ------
    Outcome
        Whose code is the error that the cell shows. Errors that come in go first, then blanks, then
        wrong kinds, then limits, whichever argument they belong to.
    """
    arguments = function.cell_arguments
    if len(values) > len(arguments):
        raise WrongKind(f"{function.name} takes at most {len(arguments)} arguments, not {len(values)}")
    for value in values:
        if isinstance(value, ErrorInput):
            raise value
    given = {a.name: v for a, v in zip(arguments, values) if not left_out(a, v)}
    for argument in arguments:
        if argument.required and argument.name not in given:
            raise MissingInput(f"{function.name}: {argument.name} is missing; expected "
                               f"{argument.quantity.expected()}")
    for argument in arguments:
        if argument.name in given:
            given[argument.name] = kind_of(function, argument, given[argument.name])
    units = given.pop("units", METRIC) if function.has_units else METRIC
    for argument in function.arguments:
        if argument.name in given:
            check_limits(function, argument, given[argument.name], units, given)
    return evaluate(function, given, units)


def left_out(argument: Argument, value: Any) -> bool:
    """Whether the value stands for a blank cell.

    A 0 where 0 is the default says the same as nothing: some programs hand a blank cell over as 0.
    """
    if value is None or (isinstance(value, str) and not value):
        return True
    return not argument.required and argument.default is not False and argument.default == 0 == value


def evaluate(function: WorksheetFunction, given: Mapping[str, Any], units: str) -> Any:
    """The result for arguments that are in order, converted in and out of the unit system."""
    metric = {
        a.name: given[a.name] if isinstance(given[a.name], (str, bool))
        else a.quantity.to_metric(given[a.name], conversion(a.quantity, units, given))
        for a in function.arguments if a.name in given
    }
    try:
        result = function.body(**metric)
    except Outcome as reason:
        raise type(reason)(f"{function.name}: {reason}") from None
    except (ArithmeticError, ValueError) as reason:
        raise NotPossible(f"{function.name}: these values have no answer ({reason})") from None
    if isinstance(result, (bool, str)):
        return result
    result = function.result.from_metric(result, conversion(function.result, units, given))
    if not math.isfinite(result):
        raise NotPossible(f"{function.name}: these values have no finite answer")
    return float(result)


def conversion(quantity: Quantity, units: str, given: Mapping[str, Any]) -> str:
    """The unit system to convert from; metric where the quantity converts only beside a certain option."""
    if quantity.us_when is not None:
        name, text = quantity.us_when
        return units if given.get(name) == text else METRIC
    return units


def kind_of(function: WorksheetFunction, argument: Argument, value: Any) -> Any:
    """The value as number, canonical option text or flag, or WrongKind."""
    quantity = argument.quantity
    if quantity.flag:
        if isinstance(value, bool) or (isinstance(value, (int, float)) and value in (0, 1)):
            return bool(value)
    elif isinstance(value, str):
        text = value.strip()
        for choice in quantity.choices:
            if text.casefold() == choice.casefold():
                return choice
        if quantity.pattern and re.fullmatch(quantity.pattern, text):
            return text
    elif quantity.takes_number and not isinstance(value, bool):
        try:
            return float(value)
        except (TypeError, ValueError):
            pass
    raise WrongKind(f"{function.name}: {argument.name} is {value!r}; expected {quantity.expected()}")


def check_limits(
    function: WorksheetFunction, argument: Argument, value: Any, units: str, given: Mapping[str, Any]
) -> None:
    """OutOfLimits where a number lies outside its quantity's limits in its own unit system."""
    if isinstance(value, (str, bool)):
        return
    quantity = argument.quantity
    units = conversion(quantity, units, given)
    if not math.isfinite(value) or any(quantity.outside(value, units)) or (quantity.whole and value % 1):
        number = " ".join(part for part in (f"{value:g}", quantity.unit_in(units)) if part)
        raise OutOfLimits(f"{function.name}: {argument.name} is {number}; expected {quantity.expected(units)}")


def spread(function: WorksheetFunction, arguments: Sequence[Any]) -> list[list[Any]]:
    """The call over ranges: rows of values and `Outcome`s, of the largest range's shape.

    A range is a sequence of rows; a single value, row or column repeats. One bad cell spoils only itself.
    A cell beyond a range's end is #N/A, as spreadsheets have it.
    """
    ranges = [a if isinstance(a, (list, tuple)) else [[a]] for a in arguments]
    height = max((len(rows) for rows in ranges), default=1)
    width = max((len(rows[0]) for rows in ranges), default=1)

    def cell(rows: Sequence[Sequence[Any]], i: int, j: int) -> Any:
        i, j = (0 if len(rows) == 1 else i), (0 if len(rows[0]) == 1 else j)
        return rows[i][j] if i < len(rows) and j < len(rows[0]) else ErrorInput(NA)

    def outcome(i: int, j: int) -> Any:
        try:
            return call(function, [cell(rows, i, j) for rows in ranges])
        except Outcome as reason:
            return reason

    return [[outcome(i, j) for j in range(width)] for i in range(height)]
