"""Calls of our functions through xlwings, in both forms: from what cells hold to what cells show."""

from __future__ import annotations

import datetime
import os
import pickle
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pailbook.outcomes import ErrorInput

PROGRAM = Path(__file__).with_name("in_xlwings.py")
PACKAGE = Path(__file__).parents[2] / "addin"
FORMS = ("classic", "lite")
# The numbers of Excel's errors (its documentation of xlErr... constants), as automation hands them over.
ERROR_NUMBERS = {
    "#NULL!": -2146826288, "#DIV/0!": -2146826281, "#VALUE!": -2146826273, "#REF!": -2146826265,
    "#NAME?": -2146826259, "#NUM!": -2146826252, "#N/A": -2146826246,
}
ERROR_TYPES = {
    "Div0": "#DIV/0!", "NotAvailable": "#N/A", "Name": "#NAME?", "Null": "#NULL!", "Num": "#NUM!", "Ref": "#REF!",
    "Value": "#VALUE!",
}
MISSING = -2147352572  # an argument that is left out
EPOCH = datetime.datetime(1899, 12, 30)


def left_out(value: Any, form: str) -> Any:
    """An argument that is left out, in place of None."""
    return value if value is not None else MISSING if form == "classic" else None


def handed_over(value: Any, form: str) -> Any:
    """A cell's value, or rows of them, as the program hands it over in that form."""
    if isinstance(value, list):
        rows = [[handed_over(one, form) for one in row] for row in value]
        return tuple(map(tuple, rows)) if form == "classic" else rows
    if isinstance(value, ErrorInput):
        if form == "classic":
            return ERROR_NUMBERS[value.code]
        return {"type": "Error", "basicType": "Error", "basicValue": value.code}
    if isinstance(value, datetime.datetime):
        if form == "classic":
            return value.replace(tzinfo=datetime.timezone.utc)
        return (value - EPOCH) / datetime.timedelta(days=1)
    return value


def called(calls: Sequence[tuple[str, str, Sequence[Any]]]) -> list[Any]:
    """The answers to (form, function, arguments as handed over): a value, or rows where several; errors as text."""
    done = subprocess.run(
        [sys.executable, str(PROGRAM)], input=pickle.dumps(list(calls)), capture_output=True, check=False, timeout=300,
        env={**os.environ, "PYTHONPATH": str(PACKAGE)},
    )
    assert done.returncode == 0, done.stderr.decode()
    return [answer if form == "imported" else shown(answer)
            for (form, *_), answer in zip(calls, pickle.loads(done.stdout), strict=True)]


def shown(answer: Any) -> Any:
    if isinstance(answer, dict):
        return ERROR_TYPES[answer["errorType"]]
    if isinstance(answer, (list, tuple)):
        rows = [[shown(one) for one in row] if isinstance(row, (list, tuple)) else shown(row) for row in answer]
        return rows[0][0] if len(rows) == 1 and isinstance(rows[0], list) and len(rows[0]) == 1 else rows
    return answer
