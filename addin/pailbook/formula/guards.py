"""The guard of a plain formula that checks whether every cell holds the kind of value that its argument takes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pailbook import ops
from pailbook.formula.arguments import Cells
from pailbook.formula.tree import Call, Node, Reference
from pailbook.function import Argument
from pailbook.quantity import Quantity

LONGEST_GUARD = 10  # options that a guard lists


@dataclass
class Kinds:
    """The guard on kinds: how many of the cells hold what their argument takes.

    COUNT sees the numbers among plain references, where it passes over text, TRUE and errors; each of the other terms
    is true for one cell at most. Never COUNT of a formula: engines disagree on text and TRUE that come out of one.
    """

    cells: int = 0
    numbers: list[Node] = field(default_factory=list)
    others: list[Any] = field(default_factory=list)

    def add(self, argument: Argument, cell: Node) -> None:
        """Has the cell looked at."""
        quantity = argument.quantity
        self.cells += 1
        if not argument.required:
            self.others.append(cell == "")
        if quantity.flag:
            truths: Any = (cell == True) | (cell == False) | (cell == 0) | (cell == 1)  # noqa: E712
            self.others.append((cell != "") & truths)  # a blank cell equals FALSE
        if quantity.takes_number:
            if isinstance(cell, Reference) and cell.atom:
                self.numbers.append(cell)
            else:
                self.others.append(Call("ISNUMBER", (cell,)))
        if quantity.choices:
            self.others.append(_option(quantity, cell))

    def add_range(self, cells: Cells) -> None:
        """Has a range looked at: each of its cells must hold a number or be blank."""
        self.cells += len(cells.cells)
        whole = Reference(cells.text)
        self.numbers.append(whole)
        self.others.append(Call("COUNTBLANK", (whole,)))

    def wrong(self) -> Any:
        """The condition under which a cell holds something else; a plain False without cells."""
        if not self.numbers and len(self.others) == 1:
            return Call("NOT", (self.others[0],))  # a truth alone is no number: FALSE < 1 does not hold everywhere
        held: Any = Call("COUNT", tuple(self.numbers)) if self.numbers else 0
        for other in self.others:
            held = held + other
        return held < self.cells if self.cells else False


def _option(quantity: Quantity, cell: Node) -> Any:
    """Whether the cell holds one of the options, by comparison: MATCH alone would take * and ? for wildcards."""
    if len(quantity.choices) <= LONGEST_GUARD:
        is_option: Any = False
        for choice in quantity.choices:
            is_option = is_option | (cell == choice)
        return is_option
    # A long list is looked up in the body, which gives #N/A for an unknown text; only wildcards must not get there.
    without_wildcards = _has_none_of("*?~", cell)
    if not quantity.grade:
        return without_wildcards
    parts = ops.grade_part(cell, 0) + ops.grade_part(cell, 1) + ops.grade_part(cell, 2)
    numbers = Call("AND", (Call("ISNUMBER", (parts,)), _has_none_of(" :,", cell)))  # VALUE reads 1:30 and 1,5
    return ops.where(ops.is_grade(cell), numbers, without_wildcards)


def _has_none_of(marks: str, cell: Node) -> Node:
    return Call("COUNT", tuple(Call("FIND", (mark, cell)) for mark in marks)) == 0
