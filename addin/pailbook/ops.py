"""Elementary operations that serve floats, NumPy arrays, pandas columns and traced cells alike.

A worksheet function's body is written once with these. A traced cell (see `formula.tree`) is
recognised by its method `sheet_function`, arrays by not being a plain number or text; NumPy is
imported only when an array arrives, so that the functions also run on a Python without it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pailbook.outcomes import NotInTable, NotPossible

Value = Any  # a float, an array, a pandas column or a traced cell


def _traced(*values: Value) -> Any:
    """The first traced cell among the values, or None."""
    return next((value for value in values if hasattr(value, "sheet_function")), None)


def _plain(*values: Value) -> bool:
    return all(isinstance(value, (bool, int, float, str)) for value in values)


def _numpy() -> Any:
    import numpy

    return numpy


def _unary(math_name: str, sheet_name: str) -> Callable[[Value], Value]:
    on_float = getattr(math, math_name)

    def apply(x: Value) -> Value:
        if _plain(x):
            return on_float(x)
        if (cell := _traced(x)) is not None:
            return cell.sheet_function(sheet_name, x)
        return getattr(_numpy(), math_name)(x)

    apply.__name__ = math_name
    apply.__doc__ = f"{sheet_name} of x."
    return apply


exp = _unary("exp", "EXP")
log = _unary("log", "LN")
log10 = _unary("log10", "LOG10")
sqrt = _unary("sqrt", "SQRT")
floor = _unary("floor", "INT")


def ceil(x: Value) -> Value:
    """The whole number at or above x."""
    return -floor(-x)


def absolute(x: Value) -> Value:
    """x without its sign."""
    if (cell := _traced(x)) is not None:
        return cell.sheet_function("ABS", x)
    return abs(x)


def round_to(x: Value, digits: int) -> Value:
    """x rounded to so many decimals; used to take float noise off before counting whole things."""
    if _plain(x):
        return round(x, digits)
    if (cell := _traced(x)) is not None:
        return cell.sheet_function("ROUND", x, digits)
    return _numpy().round(x, digits)


def minimum(a: Value, b: Value) -> Value:
    """The smaller of the two, element by element."""
    if _plain(a, b):
        return min(a, b)
    if (cell := _traced(a, b)) is not None:
        return cell.sheet_function("MIN", a, b)
    return _numpy().minimum(a, b)


def maximum(a: Value, b: Value) -> Value:
    """The larger of the two, element by element."""
    if _plain(a, b):
        return max(a, b)
    if (cell := _traced(a, b)) is not None:
        return cell.sheet_function("MAX", a, b)
    return _numpy().maximum(a, b)


def where(condition: Value, then: Value, otherwise: Value) -> Value:
    """`then` where the condition holds, `otherwise` elsewhere.

    A branch given as a function without arguments is worked out only where it is needed, as IF does
    in a sheet. On arrays both are worked out, without warnings for the elements that are not taken.
    """
    if _plain(condition):
        return _force(then if condition else otherwise)
    if (cell := _traced(condition)) is not None:
        return cell.sheet_function("IF", condition, _force(then), _force(otherwise))
    numpy = _numpy()
    with numpy.errstate(all="ignore"):
        return _like(condition, numpy.where(condition, _force(then), _force(otherwise)))


def require(condition: Value, value: Value, message: str) -> Value:
    """`value`, given as a function or outright, where the condition holds.

    Where it does not, a float raises NotPossible with the message, an array holds NaN and a sheet #N/A.
    """
    if _plain(condition):
        if not condition:
            raise NotPossible(message)
        return _force(value)
    if (cell := _traced(condition)) is not None:
        return cell.sheet_function("IF", condition, _force(value), cell.sheet_function("NA"))
    return where(condition, value, math.nan)


def positive(value: Value, message: str) -> Value:
    """The value, where it is not negative.

    A negative float raises NotPossible with the message, an array holds NaN there, and a sheet shows an error: the
    square root's, so that a long expression stands in the formula once.
    """
    if _plain(value):
        return require(value >= 0, value, message)
    if _traced(value) is not None:
        return sqrt(value) ** 2
    return where(value >= 0, value, math.nan)


def pick(keys: Value | tuple[Value, ...], table: Mapping[Any, float], what: str) -> Value:
    """The table's entry for a text, or for several texts together; `what` names the table's subject in the error.

    Keys are compared with case here and without it in a sheet: hosts spell options as declared. Texts that are
    known while a formula is traced narrow the table that is written into it.
    """
    if not isinstance(keys, tuple):
        keys, table = (keys,), {(key,): value for key, value in table.items()}
    if _plain(*keys):
        try:
            return table[keys]
        except KeyError:
            near = _narrowed(keys, table) or table
            raise NotInTable(f"there is no {what} for {' / '.join(keys)}; there is one for: "
                             f"{', '.join(dict.fromkeys(' / '.join(key) for key in near))}") from None
    if _traced(*keys) is not None:
        open_at = [i for i, key in enumerate(keys) if not isinstance(key, str)]
        rest = {
            "|".join(entry[i] for i in open_at): value for entry, value in table.items()
            if all(i in open_at or entry[i] == key for i, key in enumerate(keys))
        }
        if not rest:
            raise NotInTable(f"there is no {what} for these")
        cell = keys[open_at[0]]
        for i in open_at[1:]:
            cell = cell.concatenate(cell, "|", keys[i])
        return cell.lookup(rest)
    numpy = _numpy()
    columns = numpy.broadcast_arrays(*(numpy.asarray(key, dtype=object) for key in keys))
    picked = [pick(tuple(map(str, row)), table, what) for row in zip(*columns)]
    return _like(next(key for key in keys if not isinstance(key, str)), numpy.array(picked))


def _narrowed(keys: tuple[str, ...], table: Mapping[Any, float]) -> dict[Any, float]:
    """The entries that agree with the longest run of first keys that any entry has."""
    for length in range(len(keys) - 1, 0, -1):
        if found := {entry: value for entry, value in table.items() if entry[:length] == keys[:length]}:
            return found
    return {}


def is_grade(text: Value) -> Value:
    """Whether a text is a fertiliser's label grade, three numbers with dashes: it starts with a digit."""
    if (cell := _traced(text)) is not None:
        return cell.sheet_function("ISNUMBER", cell.sheet_function("VALUE", cell.sheet_function("LEFT", cell, 1)))
    if _plain(text):
        return text[:1].isdigit()
    return _like(text, _numpy().array([is_grade(one) for one in text]))


def grade_part(text: Value, index: int) -> Value:
    """The number at a place (0, 1 or 2) of a label grade such as 15-5-30."""
    if (cell := _traced(text)) is not None:
        call = cell.sheet_function
        first = call("FIND", "-", cell)
        second = call("FIND", "-", cell, first + 1)
        parts = (
            call("LEFT", cell, first - 1),
            call("MID", cell, first + 1, second - first - 1),
            call("MID", cell, second + 1, 9),
        )
        return call("VALUE", parts[index])
    if _plain(text):
        return float(text.split("-")[index])
    return _like(text, _numpy().array([grade_part(one, index) for one in text]))


def interpolate(x: Value, points: Sequence[tuple[float, float]]) -> Value:
    """The value at x on straight lines through the points, whose x ascend; the end lines go on outside."""
    (x1, y1), (x2, y2) = points[-2:]
    line = y1 + (y2 - y1) / (x2 - x1) * (x - x1)
    for (x1, y1), (x2, y2) in reversed(list(zip(points[:-2], points[1:-1]))):
        line = where(x < x2, y1 + (y2 - y1) / (x2 - x1) * (x - x1), line)
    return line


def is_text(value: Value) -> Value:
    """Whether the value is text; for arguments that take an option's name or a number."""
    if (cell := _traced(value)) is not None:
        return cell.sheet_function("ISTEXT", value)
    return isinstance(value, str)


def _force(branch: Value) -> Value:
    return branch() if callable(branch) and not hasattr(branch, "sheet_function") else branch


def _like(model: Value, array: Value) -> Value:
    """The array as a pandas column with the model's index, where the model is one."""
    if hasattr(model, "index") and hasattr(model, "iloc"):
        return type(model)(array, index=model.index)
    return array
