"""The arguments of a call: constants, cells, ranges, and expressions, which get a cell if they are long."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from openpyxl.formula.tokenizer import Token

from pailbook.formula.patterns import Address, Constant, Given, Series
from pailbook.formula.read import Group, Pieces, text_of
from pailbook.formula.write import LONGEST_FORMULA, write
from pailbook.function import Argument
from pailbook.workbook.share.meaning import Immovable, Meaning, Range, read_range
from pailbook.workbook.share.ranges import (
    A_CALL,
    Frozen,
    Grid,
    Place,
    array_constant,
    constant_of,
    elements,
    hangs_on_row,
)
from pailbook.workbook.share.recipe import Block, Draft, marked

SHORT_EXPRESSION = 40  # characters of an argument that may stand several times in a formula
# What may give a blank cell, which a cell that refers to it would show as 0.
_MAY_BE_BLANK = frozenset({"IF", "IFERROR", "IFNA", "CHOOSE", "INDEX", "LOOKUP", "VLOOKUP", "HLOOKUP", "OFFSET",
                           "INDIRECT"})

Resolve = Callable[[Pieces, tuple[str, ...]], Pieces]


@dataclass(frozen=True)
class Cell:
    """The cell that a formula stands in; without cells for steps where `movable` is False."""

    sheet: str
    row: int = 1
    column: int = 1
    array: bool = False
    movable: bool = True


class Arguments:
    """Reads the arguments of a cell's calls; `resolve` rewrites the calls within them."""

    def __init__(self, cell: Cell, meaning: Meaning, draft: Draft, resolve: Resolve) -> None:
        self.cell, self.meaning, self.draft, self._resolve = cell, meaning, draft, resolve

    def placed(self, text: str) -> str:
        """The mark of an intermediate value. Immovable where there are no cells for any."""
        if not self.cell.movable:
            raise Immovable("there is no cell for a step")
        return self.draft.place(text)

    def moved(self, given: Given) -> Given:
        """The argument as a cell of another sheet must write it. Immovable where none can."""
        if isinstance(given, Address):
            return Address(self._elsewhere(given.text), given.atom)
        if isinstance(given, Series):
            return Series(self._elsewhere(given.text), tuple(map(self._elsewhere, given.cells)))
        return given

    def _elsewhere(self, text: str) -> str:
        return text if marked(text) else self.meaning.on_other_sheet(text, self.cell.sheet)

    def read(self, argument: Argument, pieces: Pieces, place: Place) -> Given | Grid:
        """An argument's pieces, without blanks around them, of a call that stands in that place.

        Raises
        ------
        Frozen
            When no plain formula can take it.
        """
        series = argument.quantity.series
        if not pieces:
            return None
        if (constant := constant_of(pieces)) is not None:
            return self._series_of([[constant.value]]) if series else constant
        if rows := array_constant(pieces):
            return self._series_of(rows) if series else Grid([[Constant(one) for one in row] for row in rows])
        resolved = self._resolve(pieces, (*place.within, A_CALL))
        if len(resolved) == 1 and isinstance(resolved[0], Token) and resolved[0].subtype == Token.RANGE:
            given = self._operand(resolved[0].value, argument)
            if given is not None:
                return given
        return self._expression(resolved, series, place)

    def _operand(self, text: str, argument: Argument) -> Given | Grid | None:
        """What a single operand stands for; None where it is an expression like any other."""
        series = argument.quantity.series
        if block := marked(text):
            return _marked(text, block, series)
        written = read_range(text)
        target = text if written else self.meaning.named_range(text, self.cell.sheet)
        found = written or (read_range(target) if target else None)
        if found is None or target is None:
            return None
        if found.reference.whole:
            raise Frozen(f"{text} is a whole column or row")
        self.draft.fillable = self.draft.fillable and found.keeps_its_size
        cells = found.cells()
        if series:
            return Series(target, tuple(one for row in cells for one in row))
        if found.size != (1, 1):
            return Grid([[Address(one) for one in row] for row in cells])
        if argument.name == "units" and (units := self._units(argument, found)):
            return units
        return Address(text if written is None or ":" not in text else cells[0][0])

    def _units(self, argument: Argument, found: Range) -> Constant | None:
        """The unit system that a cell holds once and for all."""
        value = self.meaning.constant(found, self.cell.sheet)
        if not isinstance(value, str) or value.casefold() not in argument.quantity.choices:
            return None
        if not all(fixed for fixed, _ in found.reference.ends):
            self.draft.fillable = False
        return Constant(value.casefold())

    def _series_of(self, rows: list[list[object]]) -> Series:
        """Constants where a range is wanted, put into cells."""
        if not self.cell.movable:
            raise Frozen("constants stand where a range of cells is needed")
        block = self.draft.place_block([[write(one) for one in row] for row in rows])
        return _series(block)

    def _expression(self, pieces: Pieces, series: bool, place: Place) -> Given | Grid:
        size, each = elements(pieces, place.array)
        if size:
            if series:
                raise Frozen(f"{text_of(pieces)} is calculated for each cell of a range")
            return Grid([[self._value(each(i, j)) for j in range(size[1])] for i in range(size[0])])
        if not series:
            return self._value(pieces)
        if len(pieces) == 1 and isinstance(pieces[0], Group) and pieces[0].name in _MAY_BE_BLANK:
            raise Frozen(f"{text_of(pieces)} may be a range that is calculated")
        given = self._value(pieces, in_cell=True)
        if not marked(given.text):
            raise Frozen(f"{given.text} stands where a range of cells is needed")
        return Series(given.text, (given.text,))

    def _value(self, pieces: Pieces, in_cell: bool = False) -> Address:
        """An expression for a single value: in a cell of its own where it is long, as it would stand several times."""
        text = text_of(pieces)
        if len(pieces) == 1 and (marked(text) or read_range(text)):
            return Address(text)
        if (len(text) > SHORT_EXPRESSION or in_cell) and not hangs_on_row(pieces):
            try:
                moved = self.meaning.on_other_sheet(text, self.cell.sheet)
                only = pieces[0]
                if len(pieces) == 1 and isinstance(only, Group) and only.name in _MAY_BE_BLANK:
                    moved = f'IF({moved}="","",{moved})' if len(moved) < LONGEST_FORMULA / 2 - 10 else moved
                return Address(self.placed(moved))
            except Immovable:
                pass
        return Address(text, atom=False)


def _series(block: Block) -> Series:
    return Series(block.mark, tuple(block.at(i, j) for i in range(block.height) for j in range(block.width)))


def _marked(text: str, block: Block, series: bool) -> Given | Grid:
    """Intermediate values as an argument."""
    if series:
        return _series(block)
    if block.height * block.width == 1:
        return Address(text)
    return Grid([[Address(block.at(i, j)) for j in range(block.width)] for i in range(block.height)])
