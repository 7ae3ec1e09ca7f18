"""Cells of a sheet: an area of them, and a reference to one as a formula has it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import product
from typing import Any, NamedTuple

from openpyxl.utils.cell import column_index_from_string, get_column_letter

LAST_ROW, LAST_COLUMN = 1_048_576, 16_384

_ADDRESS = re.compile("([A-Za-z]{1,3})([1-9][0-9]{0,6})")
_CELLS = re.compile(r"(\$?)([A-Za-z]{1,3})(\$?)([1-9]\d{0,6})(?::(\$?)([A-Za-z]{1,3})(\$?)([1-9]\d{0,6}))?")
_COLUMNS = re.compile(r"(\$?)([A-Za-z]{1,3}):(\$?)([A-Za-z]{1,3})")
_ROWS = re.compile(r"(\$?)([1-9]\d{0,6}):(\$?)([1-9]\d{0,6})")


def address_of(place: tuple[int, int]) -> str:
    """Such as B4, for the row 4 and the column 2."""
    row, column = place
    return f"{get_column_letter(column)}{row}"


def place_at(address: str) -> tuple[int, int]:
    """Row and column of an address such as B4. ValueError if the text is not one."""
    if match := _ADDRESS.fullmatch(address):
        row, column = int(match[2]), column_index_from_string(match[1])
        if row <= LAST_ROW and column <= LAST_COLUMN:
            return row, column
    raise ValueError(f"{address!r} is not the address of a cell")


def unquoted(sheet: str) -> str:
    """A sheet's name as formulas write it before an address, without quotes."""
    return sheet[1:-1].replace("''", "'") if sheet.startswith("'") else sheet


class Area(NamedTuple):
    """Cells of one sheet, both ends included; rows and columns count from 1."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @classmethod
    def of(cls, sheet: str, text: str) -> Area:
        """The cells of a range such as A1:B4 on that sheet. ValueError if the text is not one."""
        first, _, last = text.replace("$", "").partition(":")
        return cls(sheet, *place_at(first), *place_at(last or first))

    @property
    def address(self) -> str:
        """Such as B4, or A1:B4 of several cells."""
        first = address_of((self.top, self.left))
        return first if self.single else f"{first}:{address_of((self.bottom, self.right))}"

    @property
    def single(self) -> bool:
        """Whether it is one cell."""
        return self.size == 1

    @property
    def size(self) -> int:
        """The number of its cells."""
        return (self.bottom - self.top + 1) * (self.right - self.left + 1)

    def cells(self) -> Iterator[tuple[int, int]]:
        """Row and column of each of its cells."""
        return product(range(self.top, self.bottom + 1), range(self.left, self.right + 1))

    def holds(self, row: int, column: int) -> bool:
        """Whether that cell is one of them."""
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    def meets(self, cells: set[tuple[str, int, int]]) -> bool:
        """Whether one of these cells, each with its sheet, is one of them."""
        if self.size < len(cells):
            return any((self.sheet, *cell) in cells for cell in self.cells())
        return any(sheet == self.sheet and self.holds(row, column) for sheet, row, column in cells)

    def in_use(self, last_row: int, last_column: int) -> Area:
        """Of whole columns or rows, the part that a sheet uses; the area itself otherwise."""
        return self._replace(
            bottom=last_row if (self.top, self.bottom) == (1, LAST_ROW) else self.bottom,
            right=last_column if (self.left, self.right) == (1, LAST_COLUMN) else self.right,
        )


class Reference(NamedTuple):
    """A reference as written: each end is a row or column, or an offset from the cell that holds the formula."""

    sheet: str | None  # None: the formula's own
    ends: tuple[tuple[bool, int], ...]  # top, left, bottom, right; True: fixed

    @property
    def whole(self) -> bool:
        """Whether it is a whole column or row."""
        (_, top), (_, left), (_, bottom), (_, right) = self.ends
        return (top, bottom) == (1, LAST_ROW) or (left, right) == (1, LAST_COLUMN)

    def seen_from(self, sheet: str, row: int, column: int) -> Area | None:
        """The cells meant by a formula in that cell; None where they would lie outside the sheet."""
        top, left, bottom, right = (
            number if fixed else number + origin
            for (fixed, number), origin in zip(self.ends, (row, column, row, column))
        )
        top, bottom, left, right = min(top, bottom), max(top, bottom), min(left, right), max(left, right)
        if top < 1 or left < 1 or bottom > LAST_ROW or right > LAST_COLUMN:
            return None
        return Area(self.sheet or sheet, top, left, bottom, right)


def read_reference(text: str, sheet: str | None, row: int, column: int) -> Reference | None:
    """The text as a reference, without a sheet before it; None if it is not one."""
    if match := _CELLS.fullmatch(text):
        fix_left, left, fix_top, top, fix_right, right, fix_bottom, bottom = match.groups()
        if right is None:
            fix_right, right, fix_bottom, bottom = fix_left, left, fix_top, top
    elif match := _COLUMNS.fullmatch(text):
        fix_left, left, fix_right, right = match.groups()
        fix_top = fix_bottom = "$"
        top, bottom = "1", str(LAST_ROW)
    elif match := _ROWS.fullmatch(text):
        fix_top, top, fix_bottom, bottom = match.groups()
        fix_left = fix_right = "$"
        left, right = "A", get_column_letter(LAST_COLUMN)
    else:
        return None
    ends = []
    for fixed, number, origin, last in (
        (fix_top, int(top), row, LAST_ROW), (fix_left, column_index_from_string(left), column, LAST_COLUMN),
        (fix_bottom, int(bottom), row, LAST_ROW), (fix_right, column_index_from_string(right), column, LAST_COLUMN),
    ):
        if number > last:
            return None  # a name that looks like an address
        ends.append((bool(fixed), number if fixed else number - origin))
    return Reference(sheet, tuple(ends))


def blocks(cells: Mapping[int, Mapping[int, Any]], most: int) -> Iterator[tuple[int, int, list[list[Any]]]]:
    """Cells, given by row and column, as full rectangles of at most `most` rows: first row, first column, all rows."""
    growing: dict[tuple[int, int], tuple[int, list[list[Any]]]] = {}  # by first column and width
    for row in sorted(cells):
        for column, run in _runs(cells[row]):
            place = column, len(run)
            first, rows = growing.get(place, (row, []))
            if first + len(rows) != row or len(rows) == most:
                yield first, column, rows
                first, rows = row, []
            rows.append(run)
            growing[place] = first, rows
    for (column, _), (first, rows) in growing.items():
        yield first, column, rows


def _runs(cells: Mapping[int, Any]) -> Iterator[tuple[int, list[Any]]]:
    """What stands side by side in a row: the first one's column, and all of it."""
    run: list[Any] = []
    first = 0
    for column in sorted(cells):
        if run and column != first + len(run):
            yield first, run
            run = []
        first = first if run else column
        run.append(cells[column])
    if run:
        yield first, run
