"""The user's formulas that point to single rows of a register, after its rows have moved."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from openpyxl.utils import column_index_from_string

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.privacy.grid import Grid
from pailbook.workbook.privacy.parcel import drop
from pailbook.workbook.privacy.registers import Register
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.privacy.rows import clear_around
from pailbook.workbook.privacy.whose import Whose
from pailbook.workbook.splice import Place

_REFERENCE = re.compile(
    r"""(?P<text>"(?:[^"]|"")*")|(?<![\w.$!\\\]])(?:(?P<sheet>'(?:[^']|'')*'|[^\W\d][\w.]*)!)?"""
    r"""(?P<left>\$?[A-Za-z]{1,3})\$?(?P<top>[1-9]\d{0,6})(?::(?P<right>\$?[A-Za-z]{1,3})\$?(?P<bottom>[1-9]\d{0,6}))?"""
    r"""(?![\w.(!])""")


class Pointers:
    """Where the rows of registers went, by the sheet's title in lower case."""

    def __init__(self, registers: Iterable[Register]) -> None:
        self.registers: dict[str, list[Register]] = {}
        for register in registers:
            if register.moves:
                self.registers.setdefault(register.grid.title.casefold(), []).append(register)

    def changed(self, formula: str, title: str) -> tuple[str | None, bool]:
        """The formula of a cell on that sheet, pointing to where its rows are now, and whether it needs a look.

        None where a row is gone. A range over several rows stays; one over a part of a register needs a look.
        """
        gone = look = False

        def moved(match: re.Match[str]) -> str:
            nonlocal gone, look
            if match["text"]:
                return match[0]
            sheet = (match["sheet"] or title).strip("'").replace("''", "'").casefold()
            top, bottom = int(match["top"]), int(match["bottom"] or match["top"])
            left = column_index_from_string(match["left"].lstrip("$"))
            for register in self.registers.get(sheet, []):
                if left not in register.span or bottom not in register.rows:
                    continue
                if top != bottom:
                    look |= top in register.rows and (top, bottom) != (register.rows[0], register.last)
                    continue
                target = register.moves.get(top, top)
                if target is None:
                    gone = True
                elif target != top:
                    return re.sub(rf"(?<=[A-Za-z$]){top}(?=:|$)", str(target), match[0])
            return match[0]

        text = _REFERENCE.sub(moved, formula)
        return (None if gone else text), look


def follow_rows(grids: Mapping[str, Grid], registers: list[Register], whose: Whose, removed: Removed) -> Pointers:
    """Let the user's formulas point to where the rows are now; empty those whose row is gone.

    If such a formula showed somebody else's name, the numbers typed to its right are theirs too and go with it.
    The workbook's own formulas, locked or in a register, mean rows by their place and stay.
    """
    pointers = Pointers(registers)
    for grid in grids.values() if pointers.registers else ():
        own = [register for register in registers if register.grid is grid]
        for place, content in list(grid.content.items()):
            fixed = grid.is_protected and grid.is_locked(place) if isinstance(content, FormulaCell) else True
            if not fixed and not any(_holds(register, place) for register in own):
                _follow(grid, place, pointers, whose, removed)
    return pointers


def follow_in(pointers: Pointers, root: Any, title: str = "") -> None:
    """The same for the series of charts and the small charts in cells; those whose row is gone go."""
    for series in [*root.iter("{*}ser"), *root.iter("{*}sparkline")] if pointers.registers else ():
        for element in series.iter("{*}f"):
            new, _ = pointers.changed(element.text or "", title)
            if new is None:
                drop(series)
                break
            element.text = new


def _holds(register: Register, place: Place) -> bool:
    """Whether a cell lies in the register."""
    return place[0] in register.rows and place[1] in register.span


def _is_typed_number(grid: Grid, place: Place) -> bool:
    return isinstance(grid.typed(place), float)


def _follow(grid: Grid, place: Place, pointers: Pointers, whose: Whose, removed: Removed) -> None:
    text = grid.formula(place)
    new, look = pointers.changed(text, grid.title)
    showed_other = bool(text) and whose.is_other(grid.known.value(grid.title, place))
    if new is None and showed_other:
        emptied = clear_around(grid, place, lambda one: not _is_typed_number(grid, one), below=False)
        removed.cells += map(grid.address, emptied)
    elif new is None:
        grid.clear(place)
        removed.cells.append(grid.address(place))
    elif new != text:
        grid.change_formula(place, new)
    if new is not None and showed_other:
        removed.notes.append(f"check {grid.address(place)}: it showed somebody else's name, and what was typed beside "
                             "it may be about them")
    if look:
        removed.notes.append(f"check {grid.address(place)}: it uses part of a table whose rows have moved up")
