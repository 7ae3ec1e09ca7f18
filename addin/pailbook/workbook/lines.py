"""How many lines a text takes in a cell, so that its row is high enough in every program."""

from __future__ import annotations

import textwrap

from openpyxl.worksheet.worksheet import Worksheet

LETTERS = 1.18  # letters that fit in a unit of a column's width; a wide font still finds room
POINTS = 13.5  # that a line takes
SMALL = 1.22  # how much wider a column is to the small letters of notes, and to plain letters than to bold


def lines_of(text: str, width: float) -> int:
    """The lines that a text takes in a column (or merged columns) of that width, words kept whole."""
    return sum(len(textwrap.wrap(part, max(1, int(width * LETTERS)))) or 1 for part in text.split("\n"))


def set_height(sheet: Worksheet, row: int, lines: int) -> None:
    """Makes a row high enough for that number of lines."""
    sheet.row_dimensions[row].height = POINTS * lines + 2
