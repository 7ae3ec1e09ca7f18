"""Formulas of a workbook, calculated by the headless engine one after the other; each problem is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy
from formulas.tokens.operand import XlError
from schedula import EMPTY

from pailbook.hosts import headless
from pailbook.hosts.areas import Area, address_of
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.program import Program
from pailbook.hosts.results import Cell, Problem
from pailbook.outcomes import NA, REF, VALUE


@dataclass(eq=False)
class Formula:
    """A formula, read. Without a program its cells show `error`."""

    text: str
    fills: Area  # one cell, or those of an array formula
    array: bool = False
    functions: frozenset[str] = frozenset()
    inputs: tuple[Area | None, ...] = ()  # None: outside the sheet
    program: Program | None = None
    error: str = NA
    complaints: list[str] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Its cell, or the first of its cells."""
        return address_of((self.fills.top, self.fills.left))

    def problem(self, reason: str, computed: bool = False) -> Problem:
        """A problem of this formula."""
        return Problem(self.fills.sheet, self.address, self.text, reason, computed)


class Run:
    """One calculation: what all cells hold so far."""

    def __init__(self, state: dict[Cell, Any], problems: Mapping[Formula, Problem], marks: Mapping[str, str]) -> None:
        self.state = state  # values of the engine
        self.problems = dict(problems)
        self._marks = marks  # what the engine tells sheets apart by
        self._ranges: dict[Area, Any] = {}

    def compute(self, formulas: Iterable[Formula]) -> Iterable[Formula]:
        """Compute the formulas, which come in the order of their dependence, and hand each on when it is done."""
        with numpy.errstate(all="ignore"):
            for formula in formulas:
                self._compute(formula)
                yield formula

    def _compute(self, formula: Formula) -> None:
        headless.refusals.clear()
        complaints = list(formula.complaints)
        rows, inputs = [[ErrorValue(formula.error)]], []
        if formula.program:  # without one it may be part of a circle, whose cells are not all computed yet
            inputs = [self._range(area) for area in formula.inputs]
            try:
                value, spread = formula.program.run(inputs, self._here(formula.fills))
                rows = headless.as_rows(value)
                if spread and not formula.array:
                    complaints.append("it calculates with each cell of a range, which only an array formula does")
            except Exception as reason:  # an error in the engine costs one cell, not the workbook
                complaints.append(f"the engine cannot calculate it: {reason or type(reason).__name__}")
                rows = [[ErrorValue(VALUE)]]
        if not (formula.array or complaints) and len(rows) * len(rows[0]) > 1:
            complaints.append(f"it gives {len(rows)} x {len(rows[0])} values in one cell; only the first is kept")
        self._keep(formula, rows)
        self.problems.pop(formula, None)
        if complaints:
            self.problems[formula] = formula.problem("; ".join(complaints))
        elif error := self._new_error(formula, rows, inputs):
            self.problems[formula] = formula.problem(error, computed=True)

    def _keep(self, formula: Formula, rows: list[list[Any]]) -> None:
        fills = formula.fills
        for row, column in fills.cells():
            i = 0 if len(rows) == 1 else row - fills.top
            j = 0 if len(rows[0]) == 1 else column - fills.left
            there = i < len(rows) and j < len(rows[0])
            self.state[fills.sheet, row, column] = headless.to_engine(rows[i][j] if there else ErrorValue(NA))

    def _new_error(self, formula: Formula, rows: list[list[Any]], inputs: list[Any]) -> str | None:
        """Why the formula's value is an error, unless the error came in or the formula means it."""
        error = next((value for row in rows for value in row if isinstance(value, ErrorValue)), None)
        if error is None or (error.code == NA and "NA" in formula.functions):
            return None
        if any(isinstance(value, XlError) for cells in inputs for value in cells.value.ravel()):
            return None
        refusal = next((str(outcome) for outcome in headless.refusals if outcome.code == error.code), None)
        return f"{error.code}: {refusal}" if refusal else f"it gives {error.code}"

    def _here(self, area: Area) -> Any:
        return headless.as_range(area, numpy.full((1, 1), EMPTY, dtype=object), self._marks[area.sheet])

    def _range(self, area: Area | None) -> Any:
        if area is None:
            return headless.as_range(Area("", 1, 1, 1, 1), numpy.array([[headless.to_engine(ErrorValue(REF))]], object))
        if area in self._ranges:
            return self._ranges[area]
        get, sheet = self.state.get, area.sheet
        values = numpy.empty((area.bottom - area.top + 1, area.right - area.left + 1), dtype=object)
        if area.single:
            values[0, 0] = get((sheet, area.top, area.left), EMPTY)
        else:
            columns = range(area.left, area.right + 1)
            values[:] = [[get((sheet, row, column), EMPTY) for column in columns]
                         for row in range(area.top, area.bottom + 1)]
        found = headless.as_range(area, values, self._marks[sheet])
        if not area.single:  # all that feeds it is computed by now, so that it can serve again
            self._ranges[area] = found
        return found
