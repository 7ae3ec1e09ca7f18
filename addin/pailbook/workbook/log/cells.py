"""A workbook's file: what its cells hold, and what they show."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, Protocol

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import load_model, own_cells
from pailbook.workbook.worksheet import Row


class Shown(Protocol):
    """What reading a log asks of a file."""

    @property
    def book(self) -> Workbook:
        """The file, as it is patched."""

    @property
    def contents(self) -> Mapping[str, Mapping[str, Any]]:
        """By sheet and address, what each cell holds."""

    @property
    def names(self) -> Mapping[str, tuple[str, str]]:
        """The sheet and address of each name for a single cell; Pailbook's own names by their key."""

    @property
    def path(self) -> Path:
        """The file."""

    def formula(self, sheet: str, address: str) -> str | None:
        """The text of a cell's formula, None if it holds none."""

    def value(self, sheet: str, address: str) -> Any:
        """What a cell shows: float, str, bool, ErrorValue, or None for a blank or an empty text."""

    def named(self, name: str) -> Any:
        """What the cell of that defined name shows, None if there is no such name."""

    def rows(self, sheet: str) -> list[Row]:
        """The rows in a sheet's part."""


class Cells:
    """A workbook's file, read once. Its formulas are calculated when the first of them is asked for."""

    def __init__(self, path: Path) -> None:
        """Read it. WorkbookError if it cannot be read."""
        self.book = Workbook(path)
        self.contents = self.book.contents()

    @property
    def path(self) -> Path:
        """The file."""
        return self.book.path

    @cached_property
    def calculated(self) -> Mapping[tuple[str, str], Any]:
        """What the formulas come to, by sheet and address; the values in the file may be old."""
        return load_model(self.book).calculate().values

    def formula(self, sheet: str, address: str) -> str | None:
        """The text of a cell's formula, None if it holds none."""
        content = self.contents.get(sheet, {}).get(address)
        return content.text if isinstance(content, FormulaCell) else None

    def value(self, sheet: str, address: str) -> Any:
        """What a cell shows: float, str, bool, ErrorValue, or None for a blank or an empty text."""
        content = self.contents.get(sheet, {}).get(address)
        if isinstance(content, FormulaCell):
            content = self.calculated.get((sheet, address))
        return None if isinstance(content, str) and not content.strip() else content

    def named(self, name: str) -> Any:
        """What the cell of that defined name shows, None if there is no such name."""
        return self.value(*self.names[name]) if name in self.names else None

    @cached_property
    def names(self) -> dict[str, tuple[str, str]]:
        """The sheet and address of each name for a single cell; Pailbook's own names by their key."""
        return own_cells(self.book)

    def rows(self, sheet: str) -> list[Row]:
        """The rows in a sheet's part."""
        return self.book.worksheets[sheet].rows
