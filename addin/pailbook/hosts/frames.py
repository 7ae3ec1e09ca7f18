"""The functions in Python, on single numbers and on whole columns, checked by the one outcome policy.

>>> checked(CATALOGUE["AMMONIA_FRACTION"])(7.6, 26.0)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy

from pailbook import ops
from pailbook.function import Argument, WorksheetFunction
from pailbook.hosts import call as cell
from pailbook.outcomes import WrongKind
from pailbook.quantity import METRIC

BLOCK = 16384  # rows that are calculated together, so that intermediate values stay in the processor's cache


def checked(function: WorksheetFunction) -> Callable[..., Any]:
    """The function for Python callers.

    The callable takes floats, NumPy arrays and pandas columns (of equal shape, or single values) by position or
    name, `units` last where the cell form has it, and gives a float, an array or a column with the same index.

    In a column NaN, None and the empty text are missing readings: the result is NaN there, as it is where inputs
    that are each in order have no answer together. A number outside the limits raises OutOfLimits, a wrong text or
    kind WrongKind, with its position (counted from 0); a required argument that is left out MissingInput.
    """
    names = [a.name for a in function.cell_arguments]

    def apply(*positional: Any, **named: Any) -> Any:
        if len(positional) > len(names):
            raise WrongKind(f"{function.name} takes at most {len(names)} arguments, not {len(positional)}")
        given = dict(zip(names, map(_single, positional)))
        for name, value in named.items():
            if name not in names or name in given:
                raise WrongKind(f"{function.name}: {name} is not an argument, or is given twice; it takes: "
                                f"{', '.join(names)}")
            given[name] = _single(value)
        for argument in function.arguments:
            if argument.quantity.series and argument.name in given:
                given[argument.name] = _series(given[argument.name])
        if not any(_is_column(value) for value in given.values()):
            return cell.call(function, [given.get(name) for name in names])
        return _columns(function, given)

    apply.__name__ = apply.__qualname__ = function.name.lower()
    apply.__doc__ = function.body.__doc__
    return apply


def _series(value: Any) -> Any:
    """A range that a function takes whole, as a list with None for what is missing; dates as days."""
    if _is_column(value):
        if value.dtype.kind == "M":
            day = numpy.timedelta64(1, "D")
            value = (numpy.asarray(value) - numpy.datetime64("1899-12-30")) / day  # a spreadsheet's serial number
        value = numpy.asarray(value, dtype=object).ravel().tolist()
    if not isinstance(value, (list, tuple)):
        return value
    return [None if (one := _single(v)) is None or one != one else one for v in value]


def _is_column(value: Any) -> bool:
    return hasattr(value, "dtype") and getattr(value, "ndim", 0) > 0


def _single(value: Any) -> Any:
    """The value, with NumPy's own single values as Python's and pandas' missing value as None."""
    if hasattr(value, "dtype") and getattr(value, "ndim", 1) == 0:
        value = value.item()
    return None if type(value).__name__ in ("NAType", "NaTType") else value


def _columns(function: WorksheetFunction, given: dict[str, Any]) -> Any:
    """The function of values, some of them columns."""
    like = _common_form(function, given)
    units = METRIC
    if function.has_units:
        argument = function.cell_arguments[-1]
        value = given.pop(argument.name, None)
        if _is_column(value):
            raise WrongKind(f"{function.name}: {argument.name} is one unit system for all rows, not a column; expected "
                            + " or ".join(f'"{choice}"' for choice in argument.quantity.choices))
        units = METRIC if cell.left_out(argument, value) else cell.kind_of(function, argument, value)
    ready: dict[str, Any] = {}
    blank: Any = False
    for argument in function.arguments:
        value = given.get(argument.name)
        if _is_column(value):
            ready[argument.name], missing = _readable(function, argument, value)
            blank = blank | missing
        elif not cell.left_out(argument, value):
            ready[argument.name] = cell.kind_of(function, argument, value)
        elif argument.required:
            raise cell.missing(function, argument, units)
    for argument in function.arguments:
        if argument.name in ready:
            value = ready[argument.name]
            if _is_column(value):
                _check(function, argument, value, units)
            else:
                cell.check_limits(function, argument, value, units)
    texts = bool(function.result.choices)
    result = numpy.empty(like.size, dtype=object if texts else float)
    for start in range(0, like.size, BLOCK):
        rows = slice(start, start + BLOCK)
        result[rows] = _block(function, {n: v[rows] if _is_column(v) else v for n, v in ready.items()}, units)
    answered = numpy.array([isinstance(one, str) for one in result], dtype=bool) if texts else numpy.isfinite(result)
    result[blank | ~answered] = math.nan
    return type(like)(result, index=like.index) if hasattr(like, "iloc") else result.reshape(like.shape)


def _block(function: WorksheetFunction, given: Mapping[str, Any], units: str) -> Any:
    """The results for arguments that are in order, converted in and out of the unit system."""
    with numpy.errstate(all="ignore"):
        result = cell.answer(function, {
            a.name: a.quantity.to_metric(given[a.name], units) for a in function.arguments if a.name in given
        })
        if function.result.us_when is None:
            return function.result.from_metric(result, units)
        name, text = function.result.us_when  # its conversion depends on an option
        return ops.where(given[name] == text, function.result.from_metric(result, units), result)


def _common_form(function: WorksheetFunction, given: Mapping[str, Any]) -> Any:
    """A column whose shape and index the result has; WrongKind where columns do not fit each other."""
    columns = {name: value for name, value in given.items() if _is_column(value)}
    name, like = next(((n, c) for n, c in columns.items() if hasattr(c, "iloc")), next(iter(columns.items())))
    for other, column in columns.items():
        if column.shape != like.shape:
            sizes = (f"{n} has {' x '.join(map(str, c.shape))}" for n, c in ((name, like), (other, column)))
            raise WrongKind(f"{function.name}: columns must be of equal length, but {' and '.join(sizes)} values")
        if hasattr(column, "iloc") and not column.index.equals(like.index):
            raise WrongKind(f"{function.name}: the columns {name} and {other} have different indexes; align them, or "
                            f"give .to_numpy() to pair them by position")
    return like


def _readable(function: WorksheetFunction, argument: Argument, column: Any) -> tuple[Any, Any]:
    """The column as a plain, flat array of what its argument takes, and where it is blank (False for nowhere)."""
    quantity = argument.quantity
    if column.dtype.kind in "fiu" and quantity.takes_number:
        if hasattr(column, "iloc"):
            values = column.to_numpy(dtype=float, na_value=math.nan)
        elif isinstance(column, numpy.ma.MaskedArray):
            values = numpy.ma.filled(column.astype(float), math.nan)
        else:
            values = numpy.asarray(column, dtype=float)
        values = values.ravel()
        return values, math.isnan(values.min(initial=math.inf)) and numpy.isnan(values)
    items = numpy.asarray(column, dtype=object).ravel()
    read: dict[Any, Any] = {}  # a column of texts holds few different ones
    for position, item in enumerate(items):
        if (type(item), item) not in read:
            value = _single(item)
            missing = value is None or (isinstance(value, str) and not value) or value != value
            at = f" at position {position}"
            read[type(item), item] = None if missing else cell.kind_of(function, argument, value, at)
    found = [read[type(item), item] for item in items]
    blank = numpy.array([value is None for value in found], dtype=bool)
    filler: Any = quantity.choices[0] if quantity.choices else False if quantity.flag else math.nan
    values = numpy.empty(items.size, dtype=bool if quantity.flag else object if quantity.choices else float)
    values[:] = [filler if value is None else value for value in found]
    return values, blank


def _check(function: WorksheetFunction, argument: Argument, column: Any, units: str) -> None:
    """OutOfLimits for the first number of the column outside the limits; NaN is a missing reading and passes."""
    quantity = argument.quantity
    if not quantity.takes_number:
        return
    if column.dtype == object:  # options beside numbers
        suspect = numpy.array([not isinstance(one, str) for one in column], dtype=bool)
    else:
        least = numpy.fmin.reduce(column, initial=math.inf)  # as if NaN were not there
        most = numpy.fmax.reduce(column, initial=-math.inf)
        extremes = [condition for one in (least, most) for condition in quantity.outside(one, units)]
        if least > most or not (any(extremes) or quantity.whole or math.isinf(least) or math.isinf(most)):
            return
        suspect = numpy.isinf(column)
        for condition in quantity.outside(column, units):
            suspect |= condition
        if quantity.whole:
            suspect |= (numpy.floor(column) != column) & ~numpy.isnan(column)
    for position in numpy.flatnonzero(suspect):
        cell.check_limits(function, argument, float(column[position]), units, f" at position {position}")
