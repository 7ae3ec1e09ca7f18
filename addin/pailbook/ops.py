"""Elementary operations that serve floats, NumPy arrays, pandas columns and traced cells alike.

A worksheet function's body is written once with these. Those on texts stand in `texts`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import NormalDist

from pailbook.outcomes import NotPossible
from pailbook.texts import grade_part as grade_part
from pailbook.texts import is_grade as is_grade
from pailbook.texts import is_text as is_text
from pailbook.texts import pick as pick
from pailbook.values import Value, forced, like, numpy_module, plain, traced


def _unary(on_float: Callable[[float], float], sheet_name: str) -> Callable[[Value], Value]:
    math_name = on_float.__name__

    def apply(x: Value) -> Value:
        if (cell := traced(x)) is not None:
            return cell.sheet_function(sheet_name, x)
        if plain(x):
            try:
                return on_float(x)
            except ValueError:
                raise NotPossible(f"{math_name} of {x:.6g} does not exist") from None
        return getattr(numpy_module(), math_name)(x)

    apply.__name__ = math_name
    apply.__doc__ = f"{sheet_name} of x."
    return apply


exp = _unary(math.exp, "EXP")
log = _unary(math.log, "LN")
log10 = _unary(math.log10, "LOG10")
sqrt = _unary(math.sqrt, "SQRT")
floor = _unary(math.floor, "INT")


def ceil(x: Value) -> Value:
    """The whole number at or above x."""
    return -floor(-x)


def absolute(x: Value) -> Value:
    """x without its sign."""
    if (cell := traced(x)) is not None:
        return cell.sheet_function("ABS", x)
    return abs(x)


def round_to(x: Value, digits: int) -> Value:
    """x rounded to a number of decimals; used to remove float noise before counting whole things."""
    if plain(x):
        return round(x, digits)
    if (cell := traced(x)) is not None:
        return cell.sheet_function("ROUND", x, digits)
    return numpy_module().round(x, digits)


def minimum(a: Value, b: Value) -> Value:
    """The smaller of the two, element by element."""
    if plain(a, b):
        return min(a, b)
    if (cell := traced(a, b)) is not None:
        return cell.sheet_function("MIN", a, b)
    return numpy_module().minimum(a, b)


def maximum(a: Value, b: Value) -> Value:
    """The larger of the two, element by element."""
    if plain(a, b):
        return max(a, b)
    if (cell := traced(a, b)) is not None:
        return cell.sheet_function("MAX", a, b)
    return numpy_module().maximum(a, b)


def where(condition: Value, then: Value, otherwise: Value) -> Value:
    """`then` where the condition holds, `otherwise` elsewhere.

    A branch given as a function without arguments is calculated only where it is needed, as IF does in a sheet. For
    arrays and traced cells both are calculated, without warnings for the elements that are not taken; a branch that has
    no answer makes NaN or #N/A where it is taken, and does no harm elsewhere.
    """
    if plain(condition):
        return forced(then if condition else otherwise)
    if (cell := traced(condition)) is not None:
        missing = cell.sheet_function("NA")
        return cell.sheet_function("IF", condition, forced(then, missing), forced(otherwise, missing))
    numpy = numpy_module()
    with numpy.errstate(all="ignore"):
        branches = [forced(branch, math.nan) for branch in (then, otherwise)]
        # Texts as objects, or NumPy would make a text of the NaN beside them.
        chosen = numpy.where(condition, *(numpy.array(b, dtype=object) if isinstance(b, str) else b for b in branches))
    if chosen.dtype == object and not any(isinstance(one, str) for one in chosen.flat):
        chosen = chosen.astype(float)
    return like(condition, chosen)


def require(condition: Value, value: Value, message: str) -> Value:
    """`value`, given as a function or outright, where the condition holds.

    Where it does not, a float raises NotPossible with the message, an array holds NaN and a sheet #N/A.
    """
    if plain(condition):
        if not condition:
            raise NotPossible(message)
        return forced(value)
    cell = traced(condition)
    return where(condition, value, math.nan if cell is None else cell.sheet_function("NA"))


def positive(value: Value, message: str) -> Value:
    """The value, where it is not negative.

    A negative float raises NotPossible with the message, an array holds NaN there, and a sheet shows an error: the
    square root's, so that a long expression stands in the formula once.
    """
    if plain(value):
        return require(value >= 0, value, message)
    if traced(value) is not None:
        return sqrt(value) ** 2
    return where(value >= 0, value, math.nan)


def interpolate(x: Value, points: Sequence[tuple[float, float]]) -> Value:
    """The value at x on straight lines through the points, whose x ascend; the end lines continue outside."""
    line: Value = None
    for (x1, y1), (x2, y2) in reversed(list(zip(points[:-1], points[1:]))):
        here = y1 + (y2 - y1) / (x2 - x1) * (x - x1)
        line = here if line is None else where(x < x2, here, line)
    return line


def is_number(value: Value) -> Value:
    """Whether one value of a range is there; blanks of a range are None."""
    if (cell := traced(value)) is not None:
        return cell.sheet_function("ISNUMBER", value)
    return value is not None


def or_zero(value: Value) -> Value:
    """One value of a range, 0 where it is blank."""
    if (cell := traced(value)) is not None:
        return cell.sheet_function("IF", is_number(value), value, 0)
    return 0.0 if value is None else value


def normal_quantile(share: Value) -> Value:
    """How many standard deviations around the mean hold that share of a normal distribution."""
    if (cell := traced(share)) is not None:
        return cell.sheet_function("NORMSINV", (1 + share) / 2)
    if plain(share):
        return NormalDist().inv_cdf((1 + share) / 2)
    return like(share, numpy_module().array([normal_quantile(float(one)) for one in share]))


def student_quantile(share: Value, freedom: Value) -> Value:
    """How many standard deviations, estimated with that many degrees of freedom, hold that share around the mean.

    Student's t; `freedom` is a whole number from 1 on.
    """
    if (cell := traced(share, freedom)) is not None:
        return cell.sheet_function("TINV", 1 - share, freedom)
    if plain(share, freedom):
        return _student(share, round(freedom))
    pairs = numpy_module().broadcast_arrays(share, freedom)
    return like(share, numpy_module().array([_student(float(one), round(n)) for one, n in zip(*pairs)]))


def _student(share: float, freedom: int) -> float:
    """By halving, from the finite series of Abramowitz & Stegun 1964, 26.7.3 and 26.7.4, in the angle atan(t/√n)."""
    low, high = 0.0, math.pi / 2
    while low < (angle := (low + high) / 2) < high:
        cosine = math.cos(angle)
        odd = freedom % 2
        term = cosine if odd else 1.0
        total = 0.0
        for power in range(odd, freedom - 1, 2):
            total += term
            term *= (power + 1) / (power + 2) * cosine**2
        held = math.sin(angle) * total
        if odd:
            held = (angle + held) * 2 / math.pi
        low, high = (angle, high) if held < share else (low, angle)
    return math.sqrt(freedom) * math.tan(angle)
