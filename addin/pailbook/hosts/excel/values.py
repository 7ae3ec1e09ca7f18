"""What Excel hands over, as `hosts.call` takes it, and what a function answers, as Excel shows it.

Values come by way of xlwings, or as the program itself has them: blanks as None or an empty text, errors as their
text, as a whole number near -2146826245 or as a record, dates as moments, money as decimals, ranges as rows.
"""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from pailbook.outcomes import DIV0, ERROR_CODES, NA, NAME, NULL, NUM, REF, VALUE, ErrorInput, Outcome

# Numbers of the errors, as a macro's CVErr takes them; a whole number counts from _ERROR_BASE on.
ERROR_NUMBERS = {NULL: 2000, DIV0: 2007, VALUE: 2015, REF: 2023, NAME: 2029, NUM: 2036, NA: 2042}
_ERROR_BASE = -2146828288
_NOT_YET = ("#GETTING_DATA", "#BUSY!")  # a value that has not arrived yet is not available
_NEWER = ("#SPILL!", "#CONNECT!", "#BLOCKED!", "#UNKNOWN!", "#FIELD!", "#CALC!", "#PYTHON!", "#EXTERNAL!", "#TIMEOUT!")
_KNOWN = {**dict.fromkeys(_NOT_YET, NA), **dict.fromkeys(_NEWER, VALUE), **{code: code for code in ERROR_CODES}}
_GETTING_DATA = 2043
_BY_NUMBER = {**{number: code for code, number in ERROR_NUMBERS.items()}, _GETTING_DATA: NA}
_LAST_ERROR = 2100
_FIRST_DAY = datetime.datetime(1899, 12, 30)
_DAY = datetime.timedelta(days=1)


def received(value: Any) -> Any:
    """One argument: None, float, str, bool, an `ErrorInput`, or rows of these; a range of one cell is that cell."""
    if hasattr(value, "tolist"):
        value = value.tolist()  # of NumPy
    if not isinstance(value, (list, tuple)):
        return _cell(value)
    if not value:
        return None
    rows = [row if isinstance(row, (list, tuple)) else [row] for row in value]
    if not any(isinstance(row, (list, tuple)) for row in value):
        rows = [list(value)]
    if len(rows) == 1 and len(rows[0]) == 1:
        return _cell(rows[0][0])
    return [[_cell(one) for one in row] for row in rows]


def sent(outcome: Any) -> Any:
    """An answer as it goes into a cell; an error as its text, which no function's own answer can be."""
    return _KNOWN.get(outcome.code, VALUE) if isinstance(outcome, Outcome) else outcome


def _cell(value: Any) -> Any:
    if value is None or value == "" or type(value).__name__ == "JsNull":  # how a browser says nothing
        return None
    if isinstance(value, str):
        return ErrorInput(_KNOWN[value]) if value in _KNOWN else value
    if isinstance(value, bool):
        return value
    if isinstance(value, int):
        number = value - _ERROR_BASE
        if ERROR_NUMBERS[NULL] <= number < _LAST_ERROR:
            return ErrorInput(_BY_NUMBER.get(number, VALUE))
        return value
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, dict):
        return _of_record(value)
    if isinstance(value, (datetime.date, datetime.time, datetime.timedelta)):
        return _serial(value)
    return value


def _of_record(record: dict[Any, Any]) -> Any:
    """A cell with a data type of its own: an error, or a number with its format."""
    value = record.get("basicValue")
    if record.get("type") == "Error":
        return ErrorInput(_KNOWN.get(str(value), VALUE))
    return None if isinstance(value, dict) else _cell(value)


def _serial(value: Any) -> float:
    """A date and time as the number that its cell holds, in days."""
    if isinstance(value, datetime.timedelta):
        return value / _DAY
    if isinstance(value, datetime.time):
        value = datetime.datetime.combine(_FIRST_DAY, value)
    if not isinstance(value, datetime.datetime):
        value = datetime.datetime.combine(value, datetime.time())
    days: float = (value.replace(tzinfo=None) - _FIRST_DAY) / _DAY  # its time zone is the program's, not the cell's
    return days
