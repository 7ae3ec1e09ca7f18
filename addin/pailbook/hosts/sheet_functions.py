"""The sheet's own functions and operators, as `formulas` has them but for what it gets wrong or does slowly.

Its functions work on arrays throughout. Most cells hold single values; these are calculated here, by the rules of
a sheet.
"""

from __future__ import annotations

import functools
import math
import operator
from collections.abc import Callable
from typing import Any

import numpy
from formulas.cell import CELL
from formulas.functions import COMPILING, Array, get_functions
from formulas.functions.operators import OPERATORS
from formulas.ranges import Ranges
from formulas.tokens.operand import Error, XlError
from schedula import EMPTY
from schedula import Token as Mark

from pailbook.hosts.references import Dissected
from pailbook.outcomes import DIV0, NUM, REF, VALUE
from pailbook.rounding import half_up

# It counts text that reads as a number among the numbers of a range, which sheets do not.
NUMBERS_ONLY = frozenset({
    "SUM", "AVERAGE", "MIN", "MAX", "COUNT", "MEDIAN", "PRODUCT", "SUMSQ", "SUMPRODUCT", "STDEV", "STDEV.S", "STDEVP",
    "STDEV.P", "VAR", "VAR.S", "VARP", "VAR.P", "LARGE", "SMALL", "PERCENTILE", "PERCENTILE.INC", "QUARTILE",
    "QUARTILE.INC", "MODE", "GEOMEAN", "HARMEAN", "AVEDEV",
})
_WRONG = frozenset({"TREND", "DATEDIF", "LET", "LAMBDA", "ISFORMULA"})  # measured
_WITH_CRITERIA = frozenset({"COUNTIF", "COUNTIFS", "SUMIF", "SUMIFS", "AVERAGEIF", "AVERAGEIFS", "MAXIFS", "MINIFS"})
# Functions whose arguments a sheet computes for each cell of a range, and those that give several values by nature.
TAKE_ARRAYS = frozenset({"SUMPRODUCT", "MMULT", "MINVERSE", "MDETERM", "LOOKUP", "FREQUENCY"})
GIVE_RANGES = _WITH_CRITERIA | {
    ":", ",", " ", "INDEX", "IF", "CHOOSE", "ARRAY", "ROW", "COLUMN", "TRANSPOSE", "FREQUENCY", "MMULT", "MINVERSE",
    "LINEST", "LOGEST", "GROWTH", "MODE.MULT",
}
_SIZE_OF_COLUMN = frozenset({"ROWS", "COLUMNS", "COUNTBLANK"})
_ARITHMETIC: dict[str, Callable[..., Any]] = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "^": operator.pow,
    "U-": operator.neg, "%": lambda number: number / 100,
}
_COMPARISONS: dict[str, Callable[[Any, Any], bool]] = {
    "=": operator.eq, "<>": operator.ne, "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
}


def unknown_functions(found: Dissected) -> list[str]:
    """The functions that a formula calls and nobody here knows; each gives #NAME?."""
    return sorted(name for name in found.functions if name not in get_functions())


def not_computed(found: Dissected) -> list[str]:
    """What in a formula the engine would compute wrongly, in words."""
    functions = found.functions
    complaints = [f"the engine does not calculate {name} reliably" for name in sorted(functions & _WRONG)]
    if functions & _WITH_CRITERIA and any(text.startswith("<>") for text in found.texts):
        complaints.append('the engine does not calculate a criterion that starts with "<>" reliably')
    if functions & _SIZE_OF_COLUMN and any(reference.whole for reference in found.references):
        complaints.append("the engine does not calculate the size of a whole column or row")
    return complaints


def operator_of(name: str, signs: str = "") -> Callable[..., Any]:
    """What an operator does; `signs` are those that stand before an operand, all of them."""
    if name == "U+" and "-" in signs:
        negate = operator_of("U-")
        return lambda value: negate(negate(value))  # --x makes a number; `formulas` lets the two cancel
    if name not in _ARITHMETIC and name not in _COMPARISONS:
        return OPERATORS[name]  # type: ignore[no-any-return]
    on_single_values = _arithmetic if name in _ARITHMETIC else _comparison
    return _each(functools.partial(on_single_values, name), OPERATORS[name])


def function_of(name: str) -> tuple[Callable[..., Any], bool]:
    """What a sheet function does, and whether it wants to know the formula's cell first."""
    if name in _INSTEAD:
        return _INSTEAD[name], False
    function = get_functions()[name]
    extra = list(function.get("extra_inputs", ())) if isinstance(function, dict) else []
    body = function["function"] if isinstance(function, dict) else function
    if COMPILING in extra:
        body = functools.partial(body, False)
    if name in NUMBERS_ONLY:
        body = functools.partial(_without_texts, body)
    return body, CELL in extra


def _single(value: Any) -> Any:
    """What a range or array of one cell holds; several values stay an array."""
    if isinstance(value, Ranges):
        value = value.value
    return value.item() if isinstance(value, numpy.ndarray) and value.size == 1 else value


def _each(operate: Callable[..., Any], general: Any) -> Callable[..., Any]:
    """An operator on single values made one on arrays as well; `general` has the last word on shapes that differ."""
    on_arrays: dict[int, Any] = {}

    def apply(*operands: Any) -> Any:
        values = [_single(operand) for operand in operands]
        if not any(isinstance(value, numpy.ndarray) for value in values):
            return operate(*values)
        count = len(values)
        if count not in on_arrays:
            on_arrays[count] = numpy.frompyfunc(operate, count, 1)
        arrays = [value if isinstance(value, numpy.ndarray) else numpy.array([[value]], dtype=object)
                  for value in values]
        try:
            return on_arrays[count](*arrays).view(Array)
        except ValueError:
            return general(*operands)

    return apply


def _arithmetic(name: str, *values: Any) -> Any:
    for value in values:
        if isinstance(value, XlError):
            return value
    try:
        result = _ARITHMETIC[name](*[0.0 if value is EMPTY else float(value) for value in values])
    except ZeroDivisionError:
        return Error.errors[DIV0]
    except OverflowError:
        return Error.errors[NUM]
    except (TypeError, ValueError):
        return Error.errors[VALUE]
    return result if isinstance(result, float) and math.isfinite(result) else Error.errors[NUM]


def _comparison(name: str, one: Any, other: Any) -> Any:
    for value in (one, other):
        if isinstance(value, XlError):
            return value
    return _COMPARISONS[name](_rank(one, other), _rank(other, one))


def _rank(value: Any, beside: Any) -> tuple[int, Any]:
    """Numbers come before texts and these before truth values; a blank is the zero of what it is compared with."""
    if value is EMPTY:
        value = 0 if beside is EMPTY else type(beside)()
    if isinstance(value, str):
        return 1, value.upper()
    return (2 if isinstance(value, (bool, numpy.bool_)) else 0), value


def _if(condition: Any, then: Any, otherwise: Any = False) -> Any:
    """IF for one condition gives the part that it chooses as it is; `formulas` spreads it over the other's shape."""
    value = _single(condition)
    if isinstance(value, numpy.ndarray):
        return get_functions()["IF"]["function"](condition, then, otherwise)
    if isinstance(value, XlError):
        return value
    if isinstance(value, str) and value is not EMPTY:
        return Error.errors[VALUE]
    return then if value is not EMPTY and value else otherwise


def _is_number(value: Any) -> Any:
    """ISNUMBER of a text that reads as a number is FALSE in sheets, TRUE in `formulas`."""
    single = _single(value)
    if isinstance(single, numpy.ndarray):
        return numpy.frompyfunc(_is_number, 1, 1)(single).view(Array)
    return isinstance(single, (int, float, numpy.number)) and not isinstance(single, (bool, numpy.bool_))


def _rounded(value: Any, digits: Any = 0) -> Any:
    """ROUND for one number of decimals; `formulas` rounds the binary number, half to even."""
    places = _whole_number(digits)
    if places is None or isinstance(places, XlError):
        return get_functions()["ROUND"](value, digits) if places is None else places
    single = _single(value)
    if isinstance(single, numpy.ndarray):
        return numpy.frompyfunc(lambda one: _rounded(one, places), 1, 1)(single).view(Array)
    number = _arithmetic("+", single, 0.0)
    return number if isinstance(number, XlError) else half_up(number, places)


_text_blanked = numpy.frompyfunc(lambda v: "" if isinstance(v, str) and not isinstance(v, Mark) else v, 1, 1)


def _without_texts(body: Any, *arguments: Any) -> Any:
    return body(*(_text_blanked(a.value) if isinstance(a, Ranges) else a for a in arguments))


def _index(array: Any, *place: Any) -> Any:
    """INDEX for one place. A row or column 0 means all of them, which `formulas` takes for the first."""
    values = array.value if isinstance(array, Ranges) else array
    numbers = [_whole_number(one) for one in place]
    if not isinstance(values, numpy.ndarray) or values.ndim != 2 or len(numbers) > 2 or None in numbers:
        return get_functions()["INDEX"]["function"](False, array, *place)
    if error := next((number for number in numbers if isinstance(number, XlError)), None):
        return error
    height, width = values.shape
    if len(numbers) == 2:
        row, column = numbers
    elif height == 1:
        row, column = 0, numbers[0]
    else:
        row, column = numbers[0], 0 if width == 1 else width + 1
    if row < 0 or column < 0:
        return Error.errors[VALUE]
    if row > height or column > width:
        return Error.errors[REF]
    part = values[row - 1:row] if row else values
    return (part[:, column - 1:column] if column else part).view(Array)


def _whole_number(value: Any) -> Any:
    """The whole number, or the error, that a single value stands for; None for several values."""
    values = numpy.asarray(value.value if isinstance(value, Ranges) else value, dtype=object).ravel()
    if len(values) != 1:
        return None
    if values[0] is EMPTY:
        return 0
    try:
        return values[0] if isinstance(values[0], XlError) else int(float(values[0]))
    except ValueError:
        return Error.errors[VALUE]


_INSTEAD: dict[str, Callable[..., Any]] = {"INDEX": _index, "IF": _if, "ISNUMBER": _is_number, "ROUND": _rounded}
