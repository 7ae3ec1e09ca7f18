"""The plain form of a call: one formula, or several with cells for intermediate values; and what it gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.formula.steps import plain_steps
from pailbook.formula.trace import plain_formula
from pailbook.formula.tree import NotTraceable
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.cells import FormulaCell
from pailbook.hosts.engines import Formulas
from pailbook.hosts.headless import evaluate

# Functions of single values; those that take whole ranges have tests of their own.
SINGLE = [f for f in CATALOGUE.values() if not any(a.quantity.series for a in f.arguments)]


@dataclass(frozen=True)
class Form:
    """The formulas of the intermediate cells, by address and in order, and the final one."""

    steps: dict[str, str]
    final: str

    @property
    def texts(self) -> list[str]:
        """All formulas."""
        return [*self.steps.values(), self.final]


def plain_form(function: WorksheetFunction, arguments: Sequence[str], row: int = 1, first: int = 0) -> Form:
    """The plain form of a call whose intermediate values stand in that row, from the column SA on."""
    try:
        return Form({}, plain_formula(function, arguments))
    except NotTraceable:
        steps: dict[str, str] = {}

        def place(text: str) -> str:
            number = first + len(steps)
            address = f"S{chr(65 + number // 26)}{chr(65 + number % 26)}{row}"
            steps[address] = text
            return address

        return Form(steps, plain_steps(function, arguments, place))


def value_of(form: Form, cells: Mapping[str, Any]) -> Any:
    """What the headless engine makes of it."""
    if not form.steps:
        return evaluate(form.final, cells)
    inputs = {("S", address): value for address, value in cells.items()}
    return _model(tuple(form.steps.items()), form.final).calculate(inputs).values["S", "ZZ1"]


@lru_cache(maxsize=32)
def _model(steps: tuple[tuple[str, str], ...], final: str) -> Formulas:
    return Formulas({"S": {address: FormulaCell(text) for address, text in (*steps, ("ZZ1", final))}})
