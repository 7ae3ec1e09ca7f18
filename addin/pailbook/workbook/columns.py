"""A sheet's table: its columns, and where each of its cells is.

A column says what it holds (a quantity, a date, a text, a choice); headings, units, limits, widths, formats and
drop-downs follow from that. A table knows addresses, so that other sheets can refer to it before it is written.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from openpyxl.utils import get_column_letter

from pailbook.quantities import Quantity

Kind = Literal["number", "date", "time", "text", "choice", "result"]


@dataclass(frozen=True)
class Column:
    """A column of a table.

    key : its name in code; never shown.
    heading : what people read, without the unit.
    quantity : of a number, typed or calculated, else None.
    kind : what may be typed; "result" is calculated and locked.
    basis : the defined name of the setting with the basis of the numbers, where there is one.
    choices : texts to pick from; `choices_from` is the range that holds them instead. Other texts are refused.
    help : the input message, where the quantity's own help does not say enough.
    format : a number format, where the kind's own does not do.
    hidden : a column for other formulas, not for people.
    """

    key: str
    heading: str
    quantity: Quantity | None = None
    kind: Kind = "number"
    width: float = 9
    basis: str = ""
    choices: tuple[str, ...] = ()
    choices_from: str = ""
    help: str = ""
    format: str = ""
    hidden: bool = False

    @property
    def is_input(self) -> bool:
        """Whether the user fills it in."""
        return self.kind != "result"

    def unit(self, units: str) -> str:
        """The unit's name in a unit system; of a gallon, what it is in litres too."""
        if self.quantity is None:
            return ""
        unit = self.quantity.unit_in(units)
        return "US gal (3.785 L)" if unit == "US gal" else unit


@dataclass(frozen=True)
class Table:
    """Columns from A on, a heading row and `rows` prepared rows below it.

    followed_by : the text below it with which something else begins; empty where nothing follows.
    """

    sheet: str
    columns: tuple[Column, ...]
    rows: int
    heading_row: int = 4
    followed_by: str = ""

    @property
    def first_row(self) -> int:
        """The first prepared row."""
        return self.heading_row + 1

    @property
    def last_row(self) -> int:
        """The last prepared row."""
        return self.heading_row + self.rows

    @property
    def inputs(self) -> tuple[Column, ...]:
        """The columns that the user fills in, in order."""
        return tuple(column for column in self.columns if column.is_input)

    def column(self, key: str) -> Column:
        """The column of that key."""
        return self.columns[self._position(key)]

    def letter(self, key: str) -> str:
        """The column's letter."""
        return get_column_letter(self._position(key) + 1)

    def cell(self, key: str, row: int) -> str:
        """A cell as formulas in the same row name it: the column fixed, the row not."""
        return f"${self.letter(key)}{row}"

    def span(self, first: str, last: str, row: int) -> str:
        """The cells of a row from one column to another."""
        return f"${self.letter(first)}{row}:${self.letter(last)}{row}"

    def range(self, key: str) -> str:
        """All prepared cells of a column, as any sheet may name them."""
        letter = self.letter(key)
        return f"{quoted(self.sheet)}!${letter}${self.first_row}:${letter}${self.last_row}"

    def at(self, key: str, position: str) -> str:
        """The column's value in the row of that position, which is counted from 1."""
        return f"INDEX({self.range(key)},{position})"

    def _position(self, key: str) -> int:
        return next(i for i, column in enumerate(self.columns) if column.key == key)


def picking(columns: Iterable[Column], key: str, source: str) -> tuple[Column, ...]:
    """The columns, the texts of one of them picked from that range."""
    return tuple(replace(column, choices_from=source) if column.key == key else column for column in columns)


def quoted(sheet: str) -> str:
    """A sheet's name as formulas write it: in quotes, unless it can be read as a word and nothing else."""
    if sheet.isalpha() and sheet.upper() not in ("R", "C", "RC", "TRUE", "FALSE"):
        return sheet
    return "'" + sheet.replace("'", "''") + "'"
