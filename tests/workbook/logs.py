"""Farm logs for the tests, each made and computed once: blank and filled, in both unit systems, by both engines."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from openpyxl.worksheet.worksheet import Worksheet

import calc
from filled import fill
from pailbook.hosts.engines import Formulas
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.recalc import load_model

ROWS = 40  # at most, in each register: as many as the invented season needs, and few enough to be quick
Values = Mapping[tuple[str, str], Any]


@cache
def log(units: str, plain: bool = False, filled: bool = False) -> Log:
    """A log in memory."""
    made = farm_log(units, plain, ROWS)
    return fill(made) if filled else made


@cache
def model(units: str, filled: bool) -> Formulas:
    """The log with function calls, ready for the headless engine."""
    with tempfile.TemporaryDirectory() as folder:
        return load_model(log(units, False, filled).book.save(Path(folder) / "log.xlsx"))


@cache
def headless(units: str, filled: bool) -> Values:
    """What the headless engine makes of the log with function calls."""
    return model(units, filled).calculate().values


@cache
def office(units: str, filled: bool) -> Values:
    """What LibreOffice makes of the log with plain formulas."""
    with tempfile.TemporaryDirectory() as folder:
        return calc.recalculated(log(units, True, filled).book.save(Path(folder) / "log.xlsx"))


def formulas(made: Log) -> dict[tuple[str, str], str]:
    """Every formula of the log, by sheet and address."""
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in made.book.workbook.worksheets for row in sheet.iter_rows() for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    }


def sheets(made: Log) -> list[Worksheet]:
    """The log's sheets."""
    return list(made.book.workbook.worksheets)


def place(text: str) -> tuple[str, str]:
    """The sheet and address of a reference such as 'Water tests'!$A$5."""
    sheet, cell = text.split("!")
    return sheet.strip("'"), cell.replace("$", "")


def serial(day: date) -> float:
    """A date as sheets count days."""
    return float((day - date(1899, 12, 30)).days)
