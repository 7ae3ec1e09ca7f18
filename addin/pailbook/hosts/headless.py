"""The functions in the headless engine, which computes formulas without any spreadsheet program.

>>> evaluate("=AMMONIA_FRACTION(B4, C4)", {"B4": 7.6, "C4": 20.0})
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import Any

import numpy
from formulas.functions import Array, get_functions, wrap_func
from formulas.ranges import Ranges
from formulas.tokens.operand import Error, XlError
from openpyxl.utils import get_column_letter
from schedula import EMPTY
from schedula import Token as Mark

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.areas import Area
from pailbook.hosts.call import spread
from pailbook.hosts.cells import ErrorValue, as_cell_value
from pailbook.hosts.program import LEFT_OUT, Program, read
from pailbook.hosts.references import Names, Unreadable, dissect
from pailbook.hosts.sheet_functions import not_computed
from pailbook.outcomes import NUM, VALUE, ErrorInput, Outcome

refusals: list[Outcome] = []
"""What the functions refused since this was last emptied; it explains why a cell shows an error."""


def register() -> None:
    """Enter every function of the catalogue into the dictionary of `formulas`. Repeating it does no harm."""
    table = get_functions()
    for name, function in CATALOGUE.items():
        if getattr(table.get(name), "worksheet_function", None) is not function:
            table[name] = _in_formulas(function)
            read.cache_clear()


def _in_formulas(function: WorksheetFunction) -> Callable[..., Any]:
    def apply(*arguments: Any) -> Any:
        outcomes = spread(function, [_argument(argument) for argument in arguments])
        return numpy.array([[_outcome(one) for one in row] for row in outcomes], dtype=object).view(Array)

    wrapped: Callable[..., Any] = wrap_func(apply)
    wrapped.worksheet_function = function  # type: ignore[attr-defined]
    return wrapped


def _argument(argument: Any) -> Any:
    """An argument as `spread` takes it: a value, or rows of values."""
    if argument is LEFT_OUT:
        return None
    if isinstance(argument, numpy.ndarray):
        return [[_input(value) for value in row] for row in numpy.atleast_2d(argument)]
    return _input(argument)


def _input(value: Any) -> Any:
    value = from_engine(value)
    return ErrorInput(value.code) if isinstance(value, ErrorValue) else value


def _outcome(outcome: Any) -> Any:
    if not isinstance(outcome, Outcome):
        return outcome
    if not isinstance(outcome, ErrorInput):
        refusals.append(outcome)
    return Error.errors[outcome.code]


def from_engine(value: Any) -> Any:
    """A single value of the engine as None, float, text, flag or ErrorValue."""
    if value is EMPTY or value is None:
        return None
    if isinstance(value, XlError):
        return ErrorValue(str(value))
    if isinstance(value, (bool, numpy.bool_)):
        return bool(value)
    if isinstance(value, str) and not isinstance(value, Mark):
        return str(value)
    try:
        number = float(value)
    except (TypeError, ValueError):
        return ErrorValue(VALUE)
    return number if numpy.isfinite(number) else ErrorValue(NUM)


def to_engine(value: Any) -> Any:
    """A cell's value for the engine, blank as truly blank. ValueError when a cell cannot hold it."""
    value = as_cell_value(value)
    if value is None:
        return EMPTY
    return Error.errors.get(value.code, Error.errors[VALUE]) if isinstance(value, ErrorValue) else value


def as_range(area: Area, values: Any, sheet: str = "") -> Any:
    """The values, an array of objects, as the engine's range over those cells; `sheet` tells sheets apart."""
    left, right = get_column_letter(area.left), get_column_letter(area.right)
    address = area.address
    name = f"{sheet}!{address}" if sheet else address
    extent = {"sheet_id": sheet, "r1": str(area.top), "r2": str(area.bottom), "c1": left, "c2": right,
              "n1": area.left, "n2": area.right, "ref": address, "name": name}
    return Ranges((extent,), {name: (extent, values)})


def as_rows(result: Any) -> list[list[Any]]:
    """What a program gave, as rows of values; a blank shows as 0, as it does in a cell."""
    rows = numpy.atleast_2d(numpy.asarray(result, dtype=object))
    return [[0.0 if (value := from_engine(one)) is None else value for one in row] for row in rows]


def evaluate(formula: str, cells: Mapping[str, Any] | None = None) -> Any:
    """The value of one formula.

    Parameters
    ----------
    formula : its text, with or without the equals sign.
    cells : what its cells hold, by address ("B4"): None (blank), number, text, flag, date or ErrorValue. A cell
        that is not given is blank.

    Returns
    -------
    float, str, bool, ErrorValue, or rows of these
        Rows where the formula gives more than one value, as an array formula does. An unknown function gives #NAME?.

    Raises
    ------
    Unreadable
        When the text is not a formula, or has something that means nothing here or that the engine would calculate
        wrongly.
    """
    register()
    program, areas = _read_alone(formula)
    given = cells or {}
    inputs = []
    for area in areas:
        rows = range(area.top, area.bottom + 1)
        letters = [get_column_letter(column) for column in range(area.left, area.right + 1)]
        values = numpy.empty((len(rows), len(letters)), dtype=object)
        values[:] = [[to_engine(given.get(f"{letter}{row}")) for letter in letters] for row in rows]
        inputs.append(as_range(area, values))
    with numpy.errstate(all="ignore"):
        value, _ = program.run(inputs, as_range(Area("", 1, 1, 1, 1), numpy.array([[EMPTY]], dtype=object)))
    result = as_rows(value)
    return result[0][0] if len(result) == len(result[0]) == 1 else result


@functools.lru_cache(maxsize=4096)
def _read_alone(formula: str) -> tuple[Program, tuple[Area, ...]]:
    found = dissect(formula, Names())
    if wrong := found.complaints + not_computed(found):
        raise Unreadable(f"{formula!r}: {'; '.join(wrong)}")
    areas = (reference.seen_from("", 1, 1) for reference in found.references)
    return read(found.text), tuple(area for area in areas if area)
