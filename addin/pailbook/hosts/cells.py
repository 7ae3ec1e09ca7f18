"""What a cell can hold, on the way between a workbook's file and the headless engine.

A blank is None; a number a float, a date being its serial number; text, TRUE and FALSE are what they are in Python.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, to_excel

DAYS_1904 = 1462  # days by which a workbook that counts from 1904 is behind


@dataclass(frozen=True)
class ErrorValue:
    """An error as a cell's value, such as #N/A."""

    code: str

    def __str__(self) -> str:
        return self.code


@dataclass(frozen=True)
class FormulaCell:
    """A formula as a cell's content. An array formula stands in its first cell and fills the range `array`."""

    text: str  # with or without its equals sign
    array: str | None = None


def as_cell_value(value: Any, from_1904: bool = False) -> Any:
    """A Python value as a cell holds it: None, float, str, bool or ErrorValue.

    Raises
    ------
    ValueError
        When a cell cannot hold it: an infinite number, a time with a time zone, a list.
    """
    if hasattr(value, "item") and not getattr(value, "ndim", 1):
        value = value.item()  # of NumPy
    if value is None or isinstance(value, (bool, str, ErrorValue)):
        return value
    if isinstance(value, (date, time)) and value == value:  # pandas' missing date does not equal itself
        if getattr(value, "tzinfo", None) is not None:
            raise ValueError(f"{value} has a time zone, which a cell cannot hold; convert it to local time first")
        if isinstance(value, datetime):
            value = datetime(*value.timetuple()[:6], value.microsecond)
        epoch = CALENDAR_MAC_1904 if from_1904 else CALENDAR_WINDOWS_1900
        serial = float(to_excel(value, epoch))  # type: ignore[no-untyped-call]
        if serial < 0:
            raise ValueError(f"{value} is earlier than any date that a cell can hold")
        return serial
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if isinstance(value, int) and math.isfinite(number) and int(number) != value:
        raise ValueError(f"{value} has more digits than a cell can hold; give it as text")
    if not math.isfinite(number):
        raise ValueError(f"a cell cannot hold {value!r}; expected a number, a text, a date, TRUE or FALSE, or nothing")
    return number
