"""LibreOffice as an independent check: it recalculates a workbook, or prints it to PDF."""

from __future__ import annotations

import os
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pailbook.hosts.calc import driver


@cache
def available() -> bool:
    """Whether a LibreOffice new enough is installed."""
    office = driver.find()
    return office is not None and office.is_new_enough


def needed() -> None:
    """Skips the test where LibreOffice is missing; fails it where it is required."""
    if not available():
        if os.environ.get("CI") == "true":
            pytest.fail("LibreOffice 25.2 or newer is required here and was not found")
        pytest.skip("LibreOffice 25.2 or newer is not installed")


def convert(path: Path, to: str, folder: Path, extension: Path | None = None, settings: str = "") -> Path:
    """The workbook recalculated and converted to "xlsx", "ods" or "pdf" in that folder."""
    folder.mkdir(parents=True, exist_ok=True)
    made = folder / f"{path.stem}.{to}"
    driver.convert(path, made, extension=extension, settings=settings)
    return made


def recalculated(path: Path, extension: Path | None = None, settings: str = "") -> dict[tuple[str, str], Any]:
    """Every cell of the workbook that has a value after recalculation, by sheet and address; errors as their text."""
    with tempfile.TemporaryDirectory(prefix="calc-") as scratch:
        return values_in(convert(path, "xlsx", Path(scratch), extension, settings))


def values_in(path: Path) -> dict[tuple[str, str], Any]:
    """Every cell of the file that has a value, by sheet and address; errors as their text."""
    book = openpyxl.load_workbook(path, data_only=True)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in book.worksheets for row in sheet.iter_rows() for cell in row if cell.value is not None
    }
