"""Which kind of Pailbook workbook a file is, and the blank one of that kind to compare it with, built once in a run."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from openpyxl.utils import get_column_letter

from pailbook.formula.call_names import may_call
from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.workbook.builder import Book
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.columns import Table
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.stocking_plan.build import stocking_plan

FEW = 2  # prepared rows of a blank workbook: all its rows are alike
FARM_LOG = "farm log"
_ENOUGH, _CERTAIN = 0.6, 0.9  # shares of a kind's sheets that must be there: some may have been renamed or removed


class Made(Protocol):
    """A Pailbook workbook in memory."""

    @property
    def book(self) -> Book:
        """The workbook."""

    @property
    def tables(self) -> Mapping[str, Table]:
        """Its tables by their sheet."""


_KINDS: dict[str, Callable[[str], Made]] = {
    FARM_LOG: lambda units: farm_log(units, rows=FEW),
    "move plan": move_plan,
    "dosing plan": lambda units: dosing_plan(units, rows=FEW, days=FEW),
    "stocking and feed plan": stocking_plan,
}


@dataclass(frozen=True)
class Blank:
    """A blank Pailbook workbook.

    formulas : by sheet, and by row and column, the text of each formula without its equals sign.
    labels : by sheet, the rows that hold a fixed text, each with the column of the first one and the text.
    """

    kind: str
    units: str
    tables: Mapping[str, Table]
    formulas: Mapping[str, Mapping[tuple[int, int], str]]
    labels: Mapping[str, list[tuple[int, str, str]]]

    def calls(self, sheet: str, row: int, column: int) -> bool:
        """Whether that cell calls one of the add-in's functions."""
        return may_call(self.formulas[sheet].get((row, column), ""))


def kind_of(subject: Subject) -> str | None:
    """Which kind of Pailbook workbook it is; None for any other."""
    sheets, best, share = set(subject.book.sheets), None, _ENOUGH
    for kind in _KINDS:
        own = {sheet.title for sheet in _made(kind, METRIC).book.workbook.worksheets}
        if (there := len(sheets & own) / len(own)) >= share:
            best, share = kind, there
        if share >= _CERTAIN:
            break  # which saves building the others
    return best


def blank_like(subject: Subject, kind: str) -> Blank:
    """The blank workbook of that kind, in the subject's unit system."""
    units = subject.named("units")
    return _blank(kind, units if units in UNIT_SYSTEMS else METRIC)


@cache
def _made(kind: str, units: str) -> Made:
    return _KINDS[kind](units)


@cache
def _blank(kind: str, units: str) -> Blank:
    made = _made(kind, units)
    formulas: dict[str, dict[tuple[int, int], str]] = {}
    labels: dict[str, list[tuple[int, str, str]]] = {}
    for sheet in made.book.workbook.worksheets:
        own, texts = formulas.setdefault(sheet.title, {}), labels.setdefault(sheet.title, [])
        for row in sheet.iter_rows():
            fixed: Any = None
            for cell in row:
                if not isinstance(cell.value, str):
                    continue
                if cell.value.startswith("="):
                    own[cell.row, cell.column] = cell.value[1:]
                elif fixed is None:
                    fixed = cell.row, get_column_letter(cell.column), cell.value
            if fixed is not None:
                texts.append(fixed)
    return Blank(kind, units, made.tables, formulas, labels)
