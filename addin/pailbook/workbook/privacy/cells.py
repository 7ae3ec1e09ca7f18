"""Words about others in cells that stay: emptied, with what stands beside them if it is about them too."""

from __future__ import annotations

import re
from collections.abc import Collection

from pailbook.formula.call_names import function_name
from pailbook.formula.read import Unreadable, tokens
from pailbook.function import CATALOGUE
from pailbook.hosts.areas import address_of
from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.privacy.grid import Grid
from pailbook.workbook.privacy.registers import Register
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.privacy.rows import clear_around
from pailbook.workbook.privacy.whose import Whose
from pailbook.workbook.privacy.words import Words, folded, together
from pailbook.workbook.splice import Place

_LABEL = 60  # characters of a text that may be the label of the numbers beside it
_ELSEWHERE = re.compile(r"![\w.]+\(")
_LINKED_CALL = re.compile(r"""("(?:[^"]|"")*")|(?:'(?:[^']|'')*'|\[\d+\]|[^\W\d][\w.]*)!([\w.]+)\(""")


def scrub_cells(
    grid: Grid, registers: Collection[Register], named: Collection[tuple[str, str]], whose: Whose, words: Words,
    removed: Removed,
) -> None:
    """Empty the cells of a sheet that name others or hold their texts.

    A cell with a defined name that shows somebody else's system gets the client's first system instead. On a sheet that
    the user added, what stands in the same row of a list, or beside a cell with just somebody else's name, goes too.
    """
    registers = [register for register in registers if register.grid is grid]
    before = set(grid.content)
    for place in sorted(grid.content):
        value = grid.typed(place)  # nothing where it was emptied meanwhile
        if not isinstance(value, str) or not whose.is_other(value) or folded(value).isdigit() or words.is_label(value):
            continue
        if (grid.title, address_of(place)) in named and whose.systems:
            grid.put(place, next(iter(whose.systems.values())))
            removed.reset.append(grid.address(place))
        elif any(place[0] in register.rows and place[1] in register.span for register in registers):
            grid.clear(place)
            removed.cells.append(grid.address(place))
        else:
            _clear_neighbours(grid, place, before, whose, removed)
    _clear_found(grid, words, removed)
    hints = [grid.address(place) for place in sorted(grid.content)
             if isinstance(text := grid.typed(place), str) and not whose.is_name(text) and words.hinted(text)]
    if hints:
        removed.notes.append("read these cells before you send the copy; a word in them is part of somebody else's "
                             f"name: {', '.join(hints)}")


def _clear_neighbours(grid: Grid, place: Place, before: set[Place], whose: Whose, removed: Removed) -> None:
    """Empty the row of a list, or what stands to the right of a cell and below it; `before`: all that was filled."""
    top = place[0]
    while (top - 1, place[1]) in before:
        top -= 1
    heading = grid.typed((top, place[1]))
    beside = [column for column in (place[1] - 1, place[1] + 1) if (top, column) in before]
    if top < place[0] and isinstance(heading, str) and not whose.is_name(heading) and beside:
        left = right = place[1]
        while (top, left - 1) in before:
            left -= 1
        while (top, right + 1) in before:
            right += 1
        for column in range(left, right + 1):
            grid.clear((place[0], column))
        removed.rows[grid.title] += 1
    else:
        emptied = clear_around(grid, place, lambda other: whose.is_name(grid.typed(other)))
        removed.cells += map(grid.address, emptied)


def _clear_found(grid: Grid, words: Words, removed: Removed) -> None:
    texts = {place: content.text if isinstance(content, FormulaCell) else content
             for place, content in grid.content.items() if isinstance(content, (str, FormulaCell))}
    if not words.found(together(texts.values())):
        return
    checked: dict[str, bool] = {}
    for place, text in texts.items():
        if text not in checked:
            checked[text] = bool(words.found(text))
        if checked[text]:
            if grid.is_protected or len(text) > _LABEL or place not in grid.content:
                grid.clear(place)
                emptied = [place]
            else:  # the numbers that it may be the label of are about others too
                heads = (place[0] - 1, place[1]) not in texts
                emptied = clear_around(grid, place, lambda one: isinstance(grid.typed(one), str), below=heads)
            removed.cells += [grid.address(one) for one in emptied if grid.address(one) not in removed.cells]


def cut_links(grid: Grid, words: Words, removed: Removed) -> None:
    """Formulas without other workbooks: the add-in's functions by their bare names, anything else by its value."""
    for place, content in list(grid.content.items()):
        if not isinstance(content, FormulaCell):
            continue
        text = grid.formula(place)
        if _ELSEWHERE.search(text) and (bare := _LINKED_CALL.sub(_bare_call, text)) != text:
            grid.change_formula(place, bare)
            text = bare
        if ("[" in text or "|" in text or _ELSEWHERE.search(text)) and _is_linked(text):
            _turn_to_value(grid, place, words, removed)


def _turn_to_value(grid: Grid, place: Place, words: Words, removed: Removed) -> None:
    value = grid.taken(place)
    if value is None or (isinstance(value.content, str) and words.found(value.content)):
        removed.cells.append(grid.address(place))
        return
    grid.put(place, value)
    removed.turned.append(grid.address(place))


def _bare_call(match: re.Match[str]) -> str:
    return f"{match[2]}(" if match[2] and function_name(match[2]) in CATALOGUE else match[0]


def _is_linked(formula: str) -> bool:
    """Whether a formula refers to another workbook or program."""
    try:
        items = tokens(formula)
    except Unreadable:
        return True
    for token in items:
        sheet, mark, _ = token.value.rpartition("!")
        if token.type == "OPERAND" and token.subtype == "RANGE" and mark and ("[" in sheet or "|" in sheet):
            return True
        if token.type == "FUNC" and token.subtype == "OPEN" and mark:
            return True
    return False
