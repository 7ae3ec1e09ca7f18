"""A formula's plain form as a recipe that serves every cell into which the formula was filled."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from openpyxl.utils import get_column_letter

from pailbook.hosts.areas import LAST_COLUMN, LAST_ROW
from pailbook.hosts.references import filled_form

_MARK = re.compile("\2([0-9]+)(?:_([0-9]+)_([0-9]+))?\2")
_DISTANCE = re.compile("\1(\\$?)(-?[0-9]+)\1(\\$?)(-?[0-9]+)\1")


@dataclass(frozen=True)
class Block:
    """Intermediate values that stand beside and below each other: the first of them, and how many."""

    first: int
    height: int
    width: int

    @property
    def mark(self) -> str:
        """What stands for the range of all."""
        return mark(self.first, self.first + self.height * self.width - 1, self.width)

    def at(self, i: int, j: int) -> str:
        """What stands for the address of one; a single row or column repeats."""
        i, j = (0 if self.height == 1 else i), (0 if self.width == 1 else j)
        return mark(self.first + i * self.width + j) if i < self.height and j < self.width else "NA()"


@dataclass(frozen=True)
class Recipe:
    """What a formula becomes. In the texts a mark stands for the address of an intermediate value."""

    text: str
    steps: tuple[str, ...] = ()  # the formulas of the intermediate values, each behind those that it needs
    blocks: tuple[Block, ...] = ()
    calls: tuple[str, ...] = ()  # the names of the functions that it called
    frozen: str = ""  # why it must become a value; "" where it need not


@dataclass
class Draft:
    """A recipe in the making."""

    steps: list[str] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    calls: list[str] = field(default_factory=list)
    fillable: bool = True  # whether the same recipe holds wherever the formula is filled in
    _known: dict[str, str] = field(default_factory=dict)

    def place(self, text: str) -> str:
        """The mark of an intermediate value; the same formula is placed only once."""
        if text not in self._known:
            self.steps.append(text)
            self._known[text] = mark(len(self.steps) - 1)
        return self._known[text]

    def place_block(self, rows: Sequence[Sequence[str]]) -> Block:
        """Intermediate values beside and below each other."""
        block = Block(len(self.steps), len(rows), len(rows[0]))
        self.steps += [text for row in rows for text in row]
        self.blocks.append(block)
        return block


def mark(first: int, last: int | None = None, width: int = 1) -> str:
    """What stands for the address of an intermediate value, or of the range from one to another."""
    return f"\2{first}\2" if last is None else f"\2{first}_{last}_{width}\2"


def marked(text: str) -> Block | None:
    """The intermediate values that a mark stands for; None if the text is no mark."""
    if not (found := _MARK.fullmatch(text)):
        return None
    first, last, width = int(found[1]), int(found[2] or found[1]), int(found[3] or 1)
    return Block(first, (last - first + 1) // width, width)


def with_addresses(text: str, addresses: Sequence[str]) -> str:
    """The text with addresses in place of its marks."""
    if "\2" not in text:
        return text

    def address(match: re.Match[str]) -> str:
        first = addresses[int(match[1])]
        return first if match[2] is None else f"{first}:{addresses[int(match[2])].rpartition('!')[2]}"

    return _MARK.sub(address, text)


def in_form(recipe: Recipe, row: int, column: int) -> Recipe | None:
    """The recipe of that cell's formula with distances in place of addresses; None where they depend on the cell."""
    texts = [filled_form(text, row, column) for text in (recipe.text, *recipe.steps)]
    if any(text is None for text in texts):
        return None
    return Recipe(texts[0] or "", tuple(text or "" for text in texts[1:]), recipe.blocks, recipe.calls, recipe.frozen)


def at_cell(row: int, column: int) -> Callable[[str], str]:
    """What makes a text with distances one with addresses, in that cell."""
    def address(match: re.Match[str]) -> str:
        fix_column, across, fix_row, down = match.groups()
        left = int(across) if fix_column else int(across) + column
        top = int(down) if fix_row else int(down) + row
        if not (1 <= left <= LAST_COLUMN and 1 <= top <= LAST_ROW):
            return "#REF!"
        return f"{fix_column}{get_column_letter(left)}{fix_row}{top}"

    return lambda text: _DISTANCE.sub(address, text)
