"""The farm log in the making: the workbook and the tables that its sheets refer to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Table


@dataclass(frozen=True)
class Log:
    """The workbook and its tables. A table's place is known before it is written."""

    book: Book
    tables: Mapping[str, Table]  # by the name of their sheet

    def __getitem__(self, sheet: str) -> Table:
        return self.tables[sheet]


def blank_or(reference: str) -> str:
    """Formula text for the cell's value, blank where the cell is."""
    return f'IF({reference}="","",{reference})'


def first_that_holds(ladder: Sequence[tuple[str, str]], otherwise: str) -> str:
    """Formula text for the value of the first condition that holds; each rung is (condition, value)."""
    for condition, value in reversed(ladder):
        otherwise = f"IF({condition},{value},{otherwise})"
    return otherwise
