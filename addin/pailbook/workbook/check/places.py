"""Where the rows and tables of a blank workbook are in the file: rows may have been added, sheets renamed."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from openpyxl.utils import get_column_letter

from pailbook.terms import international
from pailbook.workbook.check.ours import Blank
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.columns import Table
from pailbook.workbook.readings.log_rows import folded

_DEEPEST = 40  # rows in which a table's headings are looked for
_ENOUGH = 0.6  # share of a table's headings that must be there
_TEXT_FIRST = re.compile(r'"((?:[^"]|"")*)"')
Record = dict[str, Any]  # what a row's cells show, by the key of their column


@dataclass(frozen=True)
class Placed:
    """A Pailbook table as the file has it."""

    subject: Subject
    table: Table
    sheet: str
    heading_row: int
    last_row: int
    letters: Mapping[str, str]  # by the key of a column

    def cell(self, key: str, row: int) -> str:
        """The address of a column's cell in a row."""
        return f"{self.letters[key]}{row}"

    @cached_property
    def records(self) -> dict[int, Record]:
        """By row, what those rows show that have something filled in."""
        found = {}
        inputs = [(c.key, self.letters[c.key]) for c in self.table.inputs if c.key in self.letters]
        results = [(c.key, self.letters[c.key])
                   for c in self.table.columns if not c.is_input and c.key in self.letters]
        contents, value = self.subject.contents[self.sheet], self.subject.value
        for row in range(self.heading_row + 1, self.last_row + 1):
            if any(f"{letter}{row}" in contents for _, letter in inputs):
                record = {key: value(self.sheet, f"{letter}{row}") for key, letter in inputs}
                if any(one is not None for one in record.values()):
                    record |= {key: value(self.sheet, f"{letter}{row}") for key, letter in results}
                    found[row] = record
        return found


class Places:
    """The sheets, rows and tables of a blank workbook, found in the file."""

    def __init__(self, subject: Subject, blank: Blank) -> None:
        self.subject, self.blank = subject, blank
        self.tables = {title: placed for title, table in blank.tables.items()
                       if (placed := self._placed(title, table)) is not None}
        self.sheets = {title: title for title in blank.formulas if title in subject.contents}
        self.sheets |= {title: placed.sheet for title, placed in self.tables.items()}

    def formulas(self, title: str) -> Iterator[tuple[int, int, str]]:
        """Of each formula outside tables of a blank sheet: its row and column there, and its address in the file."""
        anchors = self._anchors(title)
        starts = [row for row, _ in anchors]
        table = self.blank.tables.get(title)
        for row, column in self.blank.formulas[title]:
            if table is None or not table.first_row <= row <= table.last_row:
                before = bisect_right(starts, row) - 1
                offset = anchors[before][1] - anchors[before][0] if before >= 0 else 0
                yield row, column, f"{get_column_letter(column)}{row + offset}"

    def _anchors(self, title: str) -> list[tuple[int, int]]:
        """Rows of the blank sheet with a fixed text that the file has too, and the row of the file that has it."""
        wanted = self.blank.labels[title]
        contents = self.subject.contents[self.sheets[title]]
        letters = {(letter, text) for _, letter, text in wanted}
        there: dict[tuple[str, str], list[int]] = defaultdict(list)
        for line in self.subject.rows(self.sheets[title]):
            for cell in line.cells:
                if cell.formula is None and cell.kind != "n":
                    text = contents.get(cell.address)
                    if isinstance(text, str) and (place := (get_column_letter(cell.column), text)) in letters:
                        there[place].append(line.number)
        found, last, offset = [], 0, 0
        for row, letter, text in wanted:
            rows = [at for at in there[letter, text] if at > last]
            if rows:
                last = row + offset if row + offset in rows else rows[0]
                offset = last - row
                found.append((row, last))
        return found

    def _placed(self, title: str, table: Table) -> Placed | None:
        best, sheet, heading_row, letters = 0, "", 0, dict[str, str]()
        others = (other for other in self.subject.contents if other != title)
        for candidate in (title, *others) if title in self.subject.contents else others:
            for row, found in self._headings(candidate).items():
                own = _letters(table, found)
                if len(own) > best:
                    best, sheet, heading_row, letters = len(own), candidate, row, own
            if candidate == title and best >= _ENOUGH * len(table.columns):
                break
        if best < _ENOUGH * len(table.columns):
            return None
        last_row = self._last_row(title, table, sheet, heading_row)
        return Placed(self.subject, table, sheet, heading_row, last_row, letters)

    @cached_property
    def _known_headings(self) -> dict[str, dict[int, dict[str, list[str]]]]:
        return {}

    def _headings(self, sheet: str) -> dict[int, dict[str, list[str]]]:
        """The letters of the columns by the texts of a sheet's first rows."""
        if sheet not in self._known_headings:
            rows = self._known_headings[sheet] = {}
            for row in self.subject.rows(sheet):
                if row.number > _DEEPEST:
                    break
                for cell in row.cells:
                    if text := self._heading(sheet, cell.address):
                        rows.setdefault(row.number, {}).setdefault(text, []).append(get_column_letter(cell.column))
        return self._known_headings[sheet]

    def _heading(self, sheet: str, address: str) -> str:
        value = self.subject.value(sheet, address)
        if not isinstance(value, str):
            first = _TEXT_FIRST.match(self.subject.formula(sheet, address) or "")
            value = first[1].replace('""', '"') if first else ""
        return _plain(value)

    def _last_row(self, title: str, table: Table, sheet: str, heading_row: int) -> int:
        """Where the table ends: before the fixed text that follows it in the blank workbook, else at the end."""
        rows = self.subject.rows(sheet)
        for row, letter, text in self.blank.labels[title]:
            if row > table.last_row:
                for one in rows:
                    if one.number > heading_row and self.subject.contents[sheet].get(f"{letter}{one.number}") == text:
                        return one.number - (row - table.last_row)
        return rows[-1].number if rows else heading_row


def _letters(table: Table, found: Mapping[str, list[str]]) -> dict[str, str]:
    """The letters of the table's columns in a row with these headings; columns of one heading come in order."""
    keys: dict[str, list[str]] = defaultdict(list)
    for column in table.columns:
        keys[_plain(column.heading)].append(column.key)
    return {key: letter for heading, own in keys.items() for key, letter in zip(own, found.get(heading, ()))}


def _plain(text: str) -> str:
    """A heading without its unit, folded, in international English."""
    return folded(international(text.split("\n")[0]))
