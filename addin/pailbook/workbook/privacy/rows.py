"""Rows about others taken out of a register; the others move up, and formulas stay where they are."""

from __future__ import annotations

from collections.abc import Callable

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.privacy.grid import Grid, Payload
from pailbook.workbook.privacy.registers import SYSTEM, Register
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.splice import Place

_OF_ROW = ("ht", "customHeight", "hidden", "collapsed")  # what a row looked like that now holds another


def keep_rows(
    register: Register, is_own: Callable[[int], bool], is_label: Callable[[str], bool], removed: Removed
) -> list[str]:
    """Empty the rows that are not the client's, and move the others up; returns the texts that were taken out.

    What was typed moves, even if it was typed over a formula; the register's own formulas stay in their rows. A row
    that names nobody and has only the workbook's own words is a line below the table and stays.
    """
    grid = register.grid
    filled = [row for row in register.rows if (typed := register.typed_in(row)) and (
        register.names_someone(row) or not all(isinstance(one, str) and is_label(one) for one in typed))]
    kept = [row for row in (register.rows if register.follows else filled) if is_own(row)]
    others = register.rows if register.follows else filled
    gone = [row for row in others if row not in kept and (not register.follows or register.key(row, SYSTEM))]
    if not gone:
        return []
    texts = [content for row in gone for content in register.typed_in(row) if isinstance(content, str)]
    if not register.follows:
        removed.rows[grid.title] += len(gone)
        removed.unnamed[grid.title] += sum(not register.names_someone(row) for row in gone)
    targets = list(register.rows)[: len(kept)] if _may_move(register.of or register) else kept
    register.moves = {**dict.fromkeys(gone), **dict(zip(kept, targets))}
    rows = {row: _take_row(register, row, removed) for row in filled}
    _restore_formulas(register)
    for row, target in zip(kept, targets):
        for column, payload in rows.get(row, {}).items():
            grid.put((target, column), payload)
    for row in register.rows:
        if (element := grid.rows.get(row)) is not None:
            for name in _OF_ROW:
                element.attrib.pop(name, None)
    return texts


def _take_row(register: Register, row: int, removed: Removed) -> dict[int, Payload]:
    """What is typed in a row, taken out of it, by column."""
    grid, found = register.grid, {}
    for column in register.span:
        place = row, column
        if column in register.calculated and grid.typed(place) is None:
            continue
        if isinstance(grid.content.get(place), FormulaCell) and (target := register.moves.get(row)):
            removed.turned.append(grid.address((target, column)))
        if payload := grid.taken(place):
            found[column] = payload
    return found


def _restore_formulas(register: Register) -> None:
    """Where something was typed over one of the register's own formulas, the formula again."""
    grid = register.grid
    for column in register.calculated:
        known = [row for row in register.rows if grid.formula((row, column))]
        prepared = set(known) | {row for row in register.rows if _prepared(register, row)}
        for row in sorted(prepared - set(known)) if known else ():
            nearest = min(known, key=lambda other: abs(other - row))
            grid.put_formula((row, column), grid.moved_formula((nearest, column), (row, column)))


def _prepared(register: Register, row: int) -> bool:
    """Whether the row has a formula in any other calculated column."""
    return any(register.grid.formula((row, column)) for column in register.calculated)


def _may_move(register: Register) -> bool:
    """Whether the typed cells are single cells, so that they can be moved."""
    grid = register.grid
    areas = [*grid.sheet.merged, *(area for area, _ in grid.sheet.arrays if not area.single)]
    return not any(area.top <= register.last and area.bottom > register.heading
                   and area.left <= register.right and area.right >= register.left for area in areas)


def clear_around(grid: Grid, place: Place, stops: Callable[[Place], bool], below: bool = True) -> list[Place]:
    """Empty a cell and what stands to its right and below it, up to a blank or a stop; returns the emptied cells."""
    emptied = [place]
    for down, right in ((0, 1), (1, 0)) if below else ((0, 1),):
        row, column = place[0] + down, place[1] + right
        while (row, column) in grid.content and not stops((row, column)):
            emptied.append((row, column))
            row, column = row + down, column + right
    for one in emptied:
        grid.clear(one)
    return emptied
