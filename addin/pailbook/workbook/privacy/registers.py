"""Tables whose rows belong to a system or a client, found by their headings wherever they stand.

A register has at least four headings side by side, one of which is "System" or "Client". If the system is typed, the
rows are the user's; if it is a formula, they follow the rows of another register.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from openpyxl.utils import get_column_letter

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.farm_log import systems
from pailbook.workbook.privacy.grid import Grid
from pailbook.workbook.privacy.words import folded

SYSTEM, CLIENT = (folded(column.heading) for column in systems.COLUMNS if column.key in ("system", "client"))
_LEAST = 4  # headings side by side, which a line of a form does not have


@dataclass
class Register:
    """A table's place on its sheet."""

    grid: Grid
    heading: int  # row
    left: int
    right: int
    columns: dict[str, int]  # of the system and the client, those that it has
    last: int = 0
    calculated: set[int] = field(default_factory=set)  # columns of formulas that stay where they are
    moves: dict[int, int | None] = field(default_factory=dict)  # rows: where to, None for those taken out
    of: Register | None = None  # the register whose systems it repeats

    @property
    def rows(self) -> range:
        """The rows below the headings."""
        return range(self.heading + 1, self.last + 1)

    @property
    def span(self) -> range:
        """Its columns."""
        return range(self.left, self.right + 1)

    @property
    def defines(self) -> bool:
        """Whether it says which system is whose."""
        return len(self.columns) == 2 and not self.follows

    @property
    def follows(self) -> bool:
        """Whether it repeats the systems of another register."""
        return next(iter(self.columns.values())) in self.calculated

    def typed_in(self, row: int) -> list[Any]:
        """What the user typed in a row, formulas that stand where others type included."""
        places = [(row, column) for column in self.span]
        return [self.grid.content[place] for place in places if place in self.grid.content
                and (place[1] not in self.calculated or self.grid.typed(place) is not None)]

    def key(self, row: int, what: str) -> str:
        """The folded system or client of a row."""
        if self.of and (source := self._source(row)):
            return self.of.key(source, what)
        column = self.columns.get(what)
        return folded(self.grid.known.value(self.grid.title, (row, column))) if column else ""

    def names_someone(self, row: int) -> bool:
        """Whether a row names a system or a client."""
        return any(self.key(row, what) for what in self.columns)

    def _source(self, row: int) -> int:
        """The row of the other register that a row repeats; 0 if its formula does not show it."""
        assert self.of is not None
        column = self.of.columns[SYSTEM]
        found = re.search(rf"!\$?{get_column_letter(column)}\$?(\d+)", self.grid.formula((row, _key_column(self))))
        return int(found[1]) if found else 0


def find_registers(grid: Grid) -> Iterator[Register]:
    """The registers of a sheet, from the top."""
    headings: dict[int, dict[str, int]] = {}
    for (row, column), content in grid.content.items():
        name = folded(content) if isinstance(content, str) else ""
        if name in (SYSTEM, CLIENT) and not (grid.is_protected and not grid.is_locked((row, column))):  # not typed in
            headings.setdefault(row, {}).setdefault(name, column)
    found: list[Register] = []
    for row, columns in sorted(headings.items()):
        left = right = next(iter(columns.values()))
        while _is_heading(grid, row, left - 1):
            left -= 1
        while _is_heading(grid, row, right + 1):
            right += 1
        texts = [column for column in range(left, right + 1) if isinstance(grid.content[row, column], str)]
        if len(texts) >= _LEAST and not any(_in_row_of(register, row) for register in found):
            inside = {name: columns[name] for name in (SYSTEM, CLIENT) if left <= columns.get(name, 0) <= right}
            found.append(Register(grid, row, left, right, inside))
    for register, following in zip(found, [*found[1:], None]):
        _measure(register, following.heading - 2 if following else max((row for row, _ in grid.content), default=0))
        yield register


def _in_row_of(register: Register, row: int) -> bool:
    """Whether a row names somebody where the register above it has its systems: it is one of its rows."""
    name = folded(register.grid.content.get((row, _key_column(register))))
    return name not in ("", SYSTEM, CLIENT)


def _is_heading(grid: Grid, row: int, column: int) -> bool:
    return isinstance(grid.content.get((row, column)), (str, FormulaCell))


def _measure(register: Register, end: int) -> None:
    """Find the last row and the calculated columns: locked formulas in most rows, or formulas in all."""
    grid = register.grid
    columns = {place[1] for place in grid.content if register.heading < place[0] <= end}
    while register.right + 1 in columns:  # the user's own, without a heading
        register.right += 1
    inside = [(place, content) for place, content in grid.content.items()
              if register.heading < place[0] <= end and place[1] in register.span]
    formulas: dict[int, list[bool]] = {}
    for place, content in inside:
        if isinstance(content, FormulaCell):
            formulas.setdefault(place[1], []).append(grid.is_locked(place))
    filled = {place[0] for place, _ in inside}
    register.calculated = {column for column, which in formulas.items()
                           if 2 * sum(which) >= len(filled) or len(which) == len(filled) > 1}
    last = max(filled, default=register.heading)
    while last > register.heading and register.follows and grid.formula((last, _key_column(register))) == "":
        last -= 1  # a line below the table
    register.last = last


def _key_column(register: Register) -> int:
    return next(iter(register.columns.values()))
