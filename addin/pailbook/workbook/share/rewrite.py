"""A formula with calls of the add-in's functions rewritten as plain formulas, in line if short, else in steps."""

from __future__ import annotations

from openpyxl.formula.tokenizer import Token

from pailbook.formula.patterns import Given, in_cells, in_line
from pailbook.formula.read import Group, Pieces, Unreadable, bare, calls_ours, levels, pieces_of, text_of
from pailbook.formula.tree import NotTraceable
from pailbook.formula.write import DEEPEST_FORMULA, LONGEST_FORMULA
from pailbook.function import WorksheetFunction
from pailbook.hosts.sheet_functions import TAKE_ARRAYS
from pailbook.workbook.share.arguments import Arguments, Cell
from pailbook.workbook.share.meaning import Immovable, Meaning
from pailbook.workbook.share.ranges import Frozen, Grid, Place, one_or_all
from pailbook.workbook.share.recipe import Draft, Recipe

IN_LINE = 1000  # characters of a plain formula above which intermediate values get cells
SHORT = 120  # characters of a call that stays in line even in a formula that is too long
MOST_ELEMENTS = 5000  # of a call over ranges


def rewritten(formula: str, cell: Cell, meaning: Meaning) -> tuple[Recipe, bool] | None:
    """The recipe for a formula that calls the add-in's functions, and whether it serves wherever it is filled in.

    Parameters
    ----------
    formula : its text, without the equals sign.
    cell : where it stands.
    meaning : of the names in it.

    Returns
    -------
    recipe, fillable
        None if it calls none of the add-in's functions.
    """
    try:
        pieces = pieces_of(formula)
    except Unreadable as reason:
        return Recipe("", frozen=str(reason)), False
    if not calls_ours(pieces):
        return None
    draft = Draft()
    for longest in (IN_LINE, SHORT, 0):
        draft = Draft()
        try:
            text = text_of(_Rewriting(cell, meaning, draft, longest).resolved(pieces, ()))
        except (Frozen, NotTraceable, Immovable) as reason:
            return Recipe("", calls=tuple(draft.calls), frozen=str(reason)), False
        short = len(text) <= max(IN_LINE, len(formula))
        if not cell.movable or (short and levels(pieces_of(text)) <= DEEPEST_FORMULA):
            break
    if len(text) > LONGEST_FORMULA:
        return Recipe("", calls=tuple(draft.calls), frozen=f"it would have {len(text)} characters"), False
    return Recipe(text, tuple(draft.steps), tuple(draft.blocks), tuple(draft.calls)), draft.fillable


class _Rewriting:
    def __init__(self, cell: Cell, meaning: Meaning, draft: Draft, longest: int) -> None:
        self.cell, self.draft, self.longest = cell, draft, longest
        self.arguments = Arguments(cell, meaning, draft, self.resolved)

    def resolved(self, pieces: Pieces, within: tuple[str, ...]) -> Pieces:
        """The pieces without such calls; `within` are the functions around them, from the outermost."""
        done: list[Token | Group] = []
        alone = len(bare(pieces)) == 1
        for piece in pieces:
            if not isinstance(piece, Group):
                done.append(piece)
            elif piece.ours:
                text, atom = self._call(piece, piece.ours, Place(within, alone, self._in_array(within)))
                done.append(Token(text if atom or alone else f"({text})", Token.OPERAND, Token.RANGE))
            else:
                inner = (*within, piece.name)
                done.append(Group(piece.head, tuple(self.resolved(argument, inner) for argument in piece.arguments)))
        return tuple(done)

    def _in_array(self, within: tuple[str, ...]) -> bool:
        return self.cell.array or not TAKE_ARRAYS.isdisjoint(within)

    def _call(self, group: Group, function: WorksheetFunction, place: Place) -> tuple[str, bool]:
        self.draft.calls.append(function.name)
        if len(group.arguments) > len(function.cell_arguments):
            raise NotTraceable(f"{function.name} takes at most {len(function.cell_arguments)} arguments")
        arguments = [self.arguments.read(argument, bare(pieces), place)
                     for argument, pieces in zip(function.cell_arguments, group.arguments)]
        grids = [argument for argument in arguments if isinstance(argument, Grid)]
        if not grids:
            return self._single(function, [one for one in arguments if not isinstance(one, Grid)])
        height, width = max(grid.height for grid in grids), max(grid.width for grid in grids)
        if height * width > MOST_ELEMENTS:
            raise Frozen(f"{function.name} is called on a range of {height} x {width} cells")
        rows = [
            [self._element(function, [one.at(i, j) if isinstance(one, Grid) else one for one in arguments])
             for j in range(width)]
            for i in range(height)
        ]
        block = self.draft.place_block(rows)
        return (block.mark if one_or_all(function.name, place) else block.at(0, 0)), True

    def _single(self, function: WorksheetFunction, arguments: list[Given]) -> tuple[str, bool]:
        found = in_line(function, arguments)
        if found and len(found[0]) <= self.longest:
            return found
        try:
            return self.arguments.placed(self._in_cell(function, arguments)), True
        except Immovable as reason:
            if found:
                return found
            raise Frozen(f"{function.name} needs cells for its steps, and {reason}") from None

    def _element(self, function: WorksheetFunction, arguments: list[Given]) -> str:
        try:
            return self._in_cell(function, arguments)
        except Immovable as reason:
            raise Frozen(f"{function.name} needs cells for the values of a range, and {reason}") from None

    def _in_cell(self, function: WorksheetFunction, arguments: list[Given]) -> str:
        """The formula of a cell on another sheet that gives the call's value."""
        moved = [self.arguments.moved(argument) for argument in arguments]
        found = in_line(function, moved)
        return found[0] if found and len(found[0]) <= IN_LINE else in_cells(function, moved, self.arguments.placed)
