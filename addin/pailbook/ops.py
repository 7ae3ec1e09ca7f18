"""Elementary operations that serve floats, NumPy arrays, pandas columns and traced cells alike.

A worksheet function's body is written once with these. A traced cell (see `formula.tree`) is
recognised by its method `sheet_function`, arrays by not being a plain number or text; NumPy is
imported only when an array arrives, so that the functions also run on a Python without it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pailbook.outcomes import NotInTable, NotPossible, Outcome

Value = Any  # a float, an array, a pandas column or a traced cell

_GRADE = re.compile(r"[0-9]+(\.[0-9]+)?(-[0-9]+(\.[0-9]+)?){2}")


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
        if (cell := _traced(x)) is not None:
            return cell.sheet_function(sheet_name, x)
        if _plain(x):
            try:
                return on_float(x)
            except ValueError:
                raise NotPossible(f"{math_name} of {x:.6g} does not exist") from None
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
    in a sheet. Of arrays and traced cells both are worked out, without warnings for the elements that are not
    taken; a branch that has no answer makes NaN or #N/A where it is taken, and does no harm elsewhere.
    """
    if _plain(condition):
        return _force(then if condition else otherwise)
    if (cell := _traced(condition)) is not None:
        missing = cell.sheet_function("NA")
        return cell.sheet_function("IF", condition, _force(then, missing), _force(otherwise, missing))
    numpy = _numpy()
    with numpy.errstate(all="ignore"):
        chosen = numpy.where(condition, _force(then, math.nan), _force(otherwise, math.nan))
    if chosen.dtype == object and not any(isinstance(one, str) for one in chosen.flat):
        chosen = chosen.astype(float)
    return _like(condition, chosen)


def require(condition: Value, value: Value, message: str) -> Value:
    """`value`, given as a function or outright, where the condition holds.

    Where it does not, a float raises NotPossible with the message, an array holds NaN and a sheet #N/A.
    """
    if _plain(condition):
        if not condition:
            raise NotPossible(message)
        return _force(value)
    cell = _traced(condition)
    return where(condition, value, math.nan if cell is None else cell.sheet_function("NA"))


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

    Where the table has none, texts raise NotInTable, an array holds NaN and a sheet #N/A. Keys are compared with case
    here and without it in a sheet: hosts spell options as declared. Texts that are known while a formula is traced
    narrow the table that is written into it.
    """
    if not isinstance(keys, tuple):
        keys, table = (keys,), {(key,): value for key, value in table.items()}
    if _plain(*keys):
        try:
            return table[keys]
        except KeyError:
            near = ", ".join(dict.fromkeys(" / ".join(key) for key in _narrowed(keys, table) or table))
            raise NotInTable(f"there is no {what} for {' / '.join(keys)}; there is one for: {near}") from None
    if _traced(*keys) is not None:
        open_at = [i for i, key in enumerate(keys) if not isinstance(key, str)]
        rest = {
            "|".join(entry[i] for i in open_at): value for entry, value in table.items()
            if all(i in open_at or entry[i] == key for i, key in enumerate(keys))
        }
        if not rest:
            raise NotInTable(f"there is no {what} for any of these")
        cell = keys[open_at[0]]
        for i in open_at[1:]:
            cell = cell.concatenate(cell, "|", keys[i])
        return cell.lookup(rest)
    numpy = _numpy()
    columns = numpy.broadcast_arrays(*(numpy.asarray(key, dtype=object) for key in keys))
    picked = [table.get(row, math.nan) for row in zip(*columns)]
    return _like(next(key for key in keys if not isinstance(key, str)), numpy.array(picked, dtype=float))


def _narrowed(keys: tuple[str, ...], table: Mapping[Any, float]) -> dict[Any, float]:
    """The entries that agree with the longest run of first keys that any entry has."""
    runs = ({e: v for e, v in table.items() if e[:n] == keys[:n]} for n in range(len(keys) - 1, 0, -1))
    return next(filter(None, runs), {})


def is_grade(text: Value) -> Value:
    """Whether a text is a fertiliser's label grade: three numbers with dashes, such as 15-5-30.

    A sheet looks at the first character alone, which is a digit in no other name; grade_part judges the rest.
    """
    if (cell := _traced(text)) is not None:
        return cell.sheet_function("ISNUMBER", cell.sheet_function("VALUE", cell.sheet_function("LEFT", cell, 1)))
    if _plain(text):
        return isinstance(text, str) and _GRADE.fullmatch(text) is not None
    return _like(text, _numpy().array([is_grade(one) for one in text], dtype=bool))


def grade_part(text: Value, index: int) -> Value:
    """The number at a place (0, 1 or 2) of a label grade; NaN where an array's element is none."""
    if (cell := _traced(text)) is not None:
        call = cell.sheet_function
        spaced = call("SUBSTITUTE", cell, "-", call("REPT", " ", 99))  # the parts, far apart
        part = call("TRIM", call("MID", spaced, 1 + 99 * index, 999 if index == 2 else 99))
        # VALUE reads by the sheet's own language: the dot becomes its decimal sign, and the exponent keeps what is
        # left over of a fourth part (5-2) from being read as a date.
        decimal = call("MID", 0.5, 2, 1)
        return call("VALUE", cell.concatenate(call("SUBSTITUTE", part, ".", decimal), "E0"))
    if _plain(text):
        return float(text.split("-")[index])
    return _like(text, _numpy().array([grade_part(one, index) if is_grade(one) else math.nan for one in text]))


def interpolate(x: Value, points: Sequence[tuple[float, float]]) -> Value:
    """The value at x on straight lines through the points, whose x ascend; the end lines go on outside."""
    line: Value = None
    for (x1, y1), (x2, y2) in reversed(list(zip(points[:-1], points[1:]))):
        here = y1 + (y2 - y1) / (x2 - x1) * (x - x1)
        line = here if line is None else where(x < x2, here, line)
    return line


def is_text(value: Value) -> Value:
    """Whether the value is text; for arguments that take an option's name or a number."""
    if (cell := _traced(value)) is not None:
        return cell.sheet_function("ISTEXT", value)
    return isinstance(value, str)


def _force(branch: Value, without_answer: Value = None) -> Value:
    """A branch worked out; where it has no answer, what to put in its place, if anything."""
    if not callable(branch) or hasattr(branch, "sheet_function"):
        return branch
    try:
        return branch()
    except (Outcome, ArithmeticError):
        if without_answer is None:
            raise
        return without_answer


def _like(model: Value, array: Value) -> Value:
    """The array as a pandas column with the model's index, where the model is one."""
    if hasattr(model, "index") and hasattr(model, "iloc"):
        return type(model)(array, index=model.index)
    return array
