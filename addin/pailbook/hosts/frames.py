"""The functions in Python, on single numbers and on whole columns, checked by the one outcome policy.

>>> checked(CATALOGUE["AMMONIA_FRACTION"])(7.6, 26.0)
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy

from pailbook.function import REQUIRED, WorksheetFunction
from pailbook.hosts import call as cell
from pailbook.outcomes import MissingInput, OutOfLimits, WrongKind
from pailbook.quantities import METRIC, UNIT_SYSTEMS


def checked(function: WorksheetFunction) -> Callable[..., Any]:
    """The function for Python callers.

    The callable takes floats, NumPy arrays and pandas columns (arrays of equal length, or single values) by
    position or name, `units` last where the cell form has it. NaN in a column means a missing reading and stays
    NaN; a number outside the limits raises OutOfLimits with its position, a single blank MissingInput.
    """
    names = [a.name for a in function.cell_arguments]

    def apply(*positional: Any, **named: Any) -> Any:
        if len(positional) > len(names):
            raise WrongKind(f"{function.name} takes at most {len(names)} arguments, not {len(positional)}")
        given = dict(zip(names, positional))
        for name, value in named.items():
            if name not in names or name in given:
                raise WrongKind(f"{function.name}: {name} is not an argument or is given twice; it takes: "
                                f"{', '.join(names)}")
            given[name] = value
        if not any(_is_column(value) for value in given.values()):
            return cell.call(function, [given.get(name) for name in names])
        return _columns(function, given)

    apply.__name__ = apply.__qualname__ = function.name.lower()
    apply.__doc__ = function.body.__doc__
    return apply


def _is_column(value: Any) -> bool:
    return hasattr(value, "dtype") and getattr(value, "ndim", 0) > 0


def _columns(function: WorksheetFunction, given: dict[str, Any]) -> Any:
    units = given.pop("units", None) or METRIC
    if units not in UNIT_SYSTEMS:
        raise WrongKind(f'{function.name}: units is {units!r}; expected "metric" or "us"')
    metric: dict[str, Any] = {}
    for argument in function.arguments:
        value = given.get(argument.name)
        if not _is_column(value):
            if cell.left_out(argument, value):
                if argument.default is REQUIRED:
                    raise MissingInput(f"{function.name}: {argument.name} is missing; expected "
                                       f"{argument.quantity.expected(units)}")
                continue
            value = cell.kind_of(function, argument, value)
            cell.check_limits(function, argument, value, units, given)
        elif value.dtype.kind in "fiu":
            _check_column(function, argument, value, units)
        elif not argument.quantity.takes_text:
            raise WrongKind(f"{function.name}: {argument.name} is a column of {value.dtype}; expected "
                            f"{argument.quantity.expected(units)}")
        if not isinstance(value, (str, bool)) and not (_is_column(value) and value.dtype.kind not in "fiu"):
            value = argument.quantity.to_metric(value, cell.conversion(argument.quantity, units, given))
        metric[argument.name] = value
    result = function.body(**metric)
    return function.result.from_metric(result, cell.conversion(function.result, units, given))


def _check_column(function: WorksheetFunction, argument: Any, column: Any, units: str) -> None:
    """OutOfLimits for the first number of the column outside the limits; NaN is a missing reading and passes."""
    quantity = argument.quantity
    low, high = quantity.limits(units)
    least, most = float(numpy.nanmin(column, initial=math.inf)), float(numpy.nanmax(column, initial=-math.inf))
    if least > most:
        return  # all missing
    if any(quantity.outside(least, units)) or any(quantity.outside(most, units)) or math.isinf(most - least):
        values = numpy.asarray(column, dtype=float)
        wrong = ~numpy.isnan(values) & ~(
            ((values > low) if quantity.above else (values >= (-math.inf if low is None else low)))
            & ((values < high) if quantity.below else (values <= (math.inf if high is None else high)))
        ) | numpy.isinf(values)
        position = int(numpy.argmax(wrong))
        raise OutOfLimits(f"{function.name}: {argument.name} is {values[position]:g} {quantity.unit_in(units)} at "
                          f"position {position}; expected {quantity.expected(units)}")
