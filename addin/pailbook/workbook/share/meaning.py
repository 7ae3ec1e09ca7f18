"""What the operands of a workbook's formulas mean: cells, ranges, names; and their text as another sheet writes it."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from openpyxl.formula.tokenizer import Token
from openpyxl.utils import get_column_letter

from pailbook.formula.read import Group, Pieces, Unreadable, bare, pieces_of, text_of, tokens
from pailbook.hosts.areas import Reference, address_of, read_reference, unquoted
from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.columns import quoted
from pailbook.workbook.contents import Workbook

_HERE = frozenset({"CELL", "INFO", "INDIRECT"})  # their values may depend on their own cell
_HERE_ALONE = frozenset({"ROW", "COLUMN", "SHEET"})  # it does where they have no argument


_SHEET = re.compile(r"'(?:[^'\[\]:]|'')+'|[\w.]+")


class Immovable(ValueError):
    """An expression that means something else in another cell."""


@dataclass(frozen=True)
class Range:
    """A reference to cells of one sheet, as written."""

    before: str  # the sheet's name with its mark, or ""
    rest: str  # the cells
    reference: Reference

    @property
    def size(self) -> tuple[int, int]:
        """Rows and columns."""
        (_, top), (_, left), (_, bottom), (_, right) = self.reference.ends
        return abs(bottom - top) + 1, abs(right - left) + 1

    @property
    def keeps_its_size(self) -> bool:
        """Whether it has as many cells wherever it is filled in."""
        (top, _), (left, _), (bottom, _), (right, _) = self.reference.ends
        return top == bottom and left == right

    def cells(self) -> list[list[str]]:
        """The text of each of its cells, with the dollar signs of the first."""
        (fix_row, top), (fix_column, left), (_, bottom), (_, right) = self.reference.ends
        row, column = "$" * fix_row, "$" * fix_column
        top, bottom, left, right = min(top, bottom), max(top, bottom), min(left, right), max(left, right)
        return [[f"{self.before}{column}{get_column_letter(j)}{row}{i}" for j in range(left, right + 1)]
                for i in range(top, bottom + 1)]


def read_range(text: str) -> Range | None:
    """The reference to cells that the text is; None if it is none. A row or column counts from the sheet's corner."""
    before, mark, rest = text.rpartition("!")
    if mark and not _SHEET.fullmatch(before):
        return None  # in another file, on several sheets, or no reference at all
    reference = read_reference(rest, None, 0, 0)
    return reference and Range(before + mark, rest, reference)


class Meaning:
    """The sheets, names and constants of a workbook."""

    def __init__(self, book: Workbook, contents: Mapping[str, Mapping[str, Any]]) -> None:
        self._contents = contents
        self._sheets = {title.casefold(): title for title in book.sheets}
        self._names = {((name.sheet or "").casefold(), name.name.casefold()): name.text for name in book.names}

    def named_range(self, name: str, sheet: str) -> str | None:
        """The text of the cells that a name stands for; None where it stands for something else or nothing."""
        before, _, rest = name.rpartition("!")
        scope = self._title(before) or sheet
        text = self._names.get((scope.casefold(), rest.casefold())) or self._names.get(("", rest.casefold()))
        found = read_range(text) if text else None
        return text if found and found.before and all(fixed for fixed, _ in found.reference.ends) else None

    def constant(self, reference: Range, sheet: str) -> Any:
        """The value that a single cell holds; None where it is blank or holds a formula."""
        title = self._title(reference.before[:-1]) if reference.before else sheet
        (_, row), (_, column) = reference.reference.ends[:2]
        value = self._contents.get(title or "", {}).get(address_of((row, column)))
        return None if isinstance(value, FormulaCell) else value

    def _title(self, written: str) -> str | None:
        return self._sheets.get(unquoted(written).casefold())

    def on_other_sheet(self, text: str, sheet: str) -> str:
        """An expression's text as a cell of another sheet must write it.

        Raises
        ------
        Immovable
            When it would mean something else there.
        """
        return text_of(self._moved(pieces_of(text), sheet))

    def _moved(self, pieces: Pieces, sheet: str) -> Pieces:
        moved: list[Token | Group] = []
        for piece in pieces:
            if isinstance(piece, Group):
                alone = piece.name in _HERE_ALONE and not bare(piece.arguments[0])
                if ":" in piece.head or piece.name in _HERE or alone:
                    raise Immovable(f"{text_of((piece,))} depends on the cell that it stands in")
                moved.append(Group(piece.head, tuple(self._moved(pieces, sheet) for pieces in piece.arguments)))
            elif piece.type == Token.OPERAND and piece.subtype == Token.RANGE:
                moved.append(Token(self._operand(piece.value, sheet), piece.type, piece.subtype))
            else:
                moved.append(piece)
        return tuple(moved)

    def _operand(self, text: str, sheet: str) -> str:
        if "!" in text:
            return text
        if "[" in text or text.startswith(":"):
            raise Immovable(f"{text} names cells by the row that it stands in")
        own = self._names.get((sheet.casefold(), text.casefold()))
        stands_for = self._names.get(("", text.casefold())) if own is None else own
        if stands_for is not None and _moves(stands_for):
            raise Immovable(f"the name {text} stands for cells beside the one that it is used in")
        return f"{quoted(sheet)}!{text}" if own is not None or read_range(text) else text


@functools.lru_cache(maxsize=1024)
def _moves(text: str) -> bool:
    """Whether what a name stands for depends on the cell that uses it."""
    try:
        operands = [token.value for token in tokens(text) if token.type == Token.OPERAND]
    except Unreadable:
        return False
    found = [reference for operand in operands if (reference := read_range(operand))]
    return not all(fixed or one.reference.whole for one in found for fixed, _ in one.reference.ends)
