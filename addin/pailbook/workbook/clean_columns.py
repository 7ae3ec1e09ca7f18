"""The hidden clean cells of a table's rows, one column for each cell of a row that a rule asks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pailbook.rules import Rule, clean, same_question
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.sheets import Formula


class Clean:
    """The clean cells of the columns of these keys, which the rules ask by the same names.

    other : the key of a question's column, where it has another name.
    """

    def __init__(self, rules: Sequence[Rule], keys: Sequence[str], other: Mapping[str, str] | None = None) -> None:
        known = same_question(one for rule in rules for one in rule.questions)
        self._questions = {key: known[key] for key in keys}
        self._other = other or {}

    @property
    def columns(self) -> tuple[Column, ...]:
        """The hidden columns."""
        return tuple(Column(self.key(name), f"{one.label}, as rules read it", kind="result", hidden=True)
                     for name, one in self._questions.items())

    @staticmethod
    def key(name: str) -> str:
        """The key of the hidden column of a question."""
        return f"clean_{name}"

    def formulas(self, table: Table, units: str) -> dict[str, Formula]:
        """The formulas of the hidden columns, by their keys."""
        def of(name: str) -> Formula:
            return lambda row: clean(self._questions[name], table.cell(self._other.get(name, name), row), units)

        return {self.key(name): of(name) for name in self._questions}

    def cells(self, table: Table, row: int) -> dict[str, str]:
        """Where the questions are answered in a row, by name."""
        return {name: table.cell(self.key(name), row) for name in self._questions}
