"""From what LibreOffice hands over to what the functions take, and back."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from typing import Any

from pailbook.function import Argument, WorksheetFunction
from pailbook.hosts.calc.interface import gives_text
from pailbook.hosts.call import call, spread
from pailbook.outcomes import NA, NUM, VALUE, Outcome
from pailbook.quantity import UNIT_SYSTEMS

# LibreOffice's own numbers for its errors. A cell takes the error from the payload of a "not a number".
ERROR_NUMBERS = {NA: 0x7FFF, VALUE: 519, NUM: 503}
_NOT_A_NUMBER = 0x7FF80000


def error(code: str) -> float:
    """The number that LibreOffice shows as this error."""
    return float(struct.unpack("<d", struct.pack("<II", ERROR_NUMBERS[code], _NOT_A_NUMBER))[0])


_ERRORS = {code: error(code) for code in ERROR_NUMBERS}


def may_be_blank(argument: Argument) -> bool:
    """Whether the number 0 stands for a blank cell, since it says nothing else.

    Not for an optional number: there a 0 that somebody typed must not count as the default.
    """
    quantity = argument.quantity
    if quantity.flag or quantity.series:
        return False
    if not quantity.takes_number:
        return True
    return argument.required and all(any(quantity.outside(0.0, units)) for units in UNIT_SYSTEMS)


class CellFunction:
    """A function as LibreOffice calls it.

    Arguments are floats (dates, TRUE and FALSE too), texts, None where one is left out, and ranges as rows, in which
    a blank cell is an empty text. A single blank cell arrives as 0, see `may_be_blank`. An error in a cell or range
    does not arrive at all: LibreOffice then makes the result an error.
    """

    def __init__(self, function: WorksheetFunction) -> None:
        self._function = function
        self._gives_text = gives_text(function)
        self._may_be_blank = [may_be_blank(argument) for argument in function.cell_arguments]
        series, required = [], []
        for place, argument in enumerate(function.cell_arguments):
            if argument.quantity.series:
                series.append(place)
            elif argument.required:
                required.append(place)
        self._series, self._required = series, required
        self._single = [place for place in range(len(function.cell_arguments)) if place not in series]

    def __call__(self, arguments: Sequence[Any]) -> Any:
        """The result of a call: rows of numbers and errors; of a function that answers with a text a single one."""
        values = [None if value == 0 and blank else value for value, blank in zip(arguments, self._may_be_blank)]
        if any(isinstance(value, tuple) for value in values):
            rows = self._over_ranges(values)
            if not self._gives_text:
                return rows
            return rows[0][0] if len(rows) == len(rows[0]) == 1 else _ERRORS[VALUE]
        try:
            result = _cell(call(self._function, values))
        except Outcome as reason:
            result = _ERRORS[reason.code]
        return result if self._gives_text else ((result,),)

    def _over_ranges(self, values: list[Any]) -> tuple[tuple[Any, ...], ...]:
        """The call over ranges; blank rows at the end of long ones, as of whole columns, need no work."""
        _cut(values, self._series, self._series)
        without_value = _cut(values, self._required, self._single)
        rows = tuple(tuple(map(_cell, row)) for row in spread(self._function, values))
        return rows + ((_ERRORS[NA],) * len(rows[0]),) * without_value


def _cut(values: list[Any], judged: Sequence[int], cut: Sequence[int]) -> int:
    """Cuts off the rows at the end in which all judged ranges are blank, and tells how many; one row is left.

    Nothing is cut where ranges differ in height, which is for the function to judge.
    """
    heights = {len(values[place]) for place in judged if isinstance(values[place], tuple)} - {1}
    ranges = [place for place in cut if isinstance(values[place], tuple)]
    height = max(heights, default=0)
    if len(heights) != 1 or any(len(values[place]) > height for place in ranges):
        return 0
    kept = max(1, *(_used_rows(values[place]) for place in judged if isinstance(values[place], tuple)))
    for place in ranges:
        values[place] = values[place][:kept]
    return height - kept


def _used_rows(rows: Sequence[Sequence[Any]]) -> int:
    """How many rows there are up to the last that is not blank."""
    for number in range(len(rows), 0, -1):
        if any(value != "" for value in rows[number - 1]):
            return number
    return 0


def _cell(value: Any) -> Any:
    if isinstance(value, Outcome):
        return _ERRORS[value.code]
    return value if isinstance(value, str) else float(value)
