"""What computing a workbook gives: the value of every formula's cell, and what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Any

from pailbook.hosts.areas import place_at

Cell = tuple[str, int, int]  # sheet, row, column
Progress = Callable[[int, int], None]  # formulas done, formulas in all


def place_of(sheet: str, address: str, sheets: Collection[str]) -> Cell:
    """The place of a cell. ValueError if the sheet or the address does not exist."""
    row, column = place_at(address)
    if sheet not in sheets:
        raise ValueError(f"there is no sheet {sheet!r}; there are: {', '.join(sheets)}")
    return sheet, row, column


@dataclass(frozen=True)
class Problem:
    """What is wrong with a formula's cell."""

    sheet: str
    cell: str
    formula: str
    reason: str
    computed: bool = False  # True: the engine did its work, and its result is an error that starts in this cell

    def __str__(self) -> str:
        formula = self.formula if len(self.formula) <= 80 else self.formula[:77] + "..."
        return f"{self.sheet}!{self.cell}: {self.reason} ({formula})"


@dataclass(frozen=True)
class Calculation:
    """The value of every formula's cell, by sheet and address, and what went wrong."""

    values: Mapping[tuple[str, str], Any]  # float, str, bool or ErrorValue
    problems: tuple[Problem, ...]
