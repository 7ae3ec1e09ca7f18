"""Where the rows and tables of a blank workbook are in the file: rows may have been added, sheets renamed."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from openpyxl.utils import get_column_letter

from pailbook.workbook.check.ours import Blank
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.log.locate import Located, locate


class Places:
    """The sheets, rows and tables of a blank workbook, found in the file."""

    def __init__(self, subject: Subject, blank: Blank) -> None:
        self.subject, self.blank = subject, blank
        self.tables = {title: replace(placed, last_row=self._last_row(placed))
                       for title, placed in locate(subject, blank.tables.values()).items()}
        self.sheets = {title: title for title in blank.formulas if title in subject.contents}
        self.sheets |= {title: placed.sheet for title, placed in self.tables.items()}

    def filled(self, placed: Located) -> frozenset[int]:
        """The rows of a table in which something is filled in."""
        letters = [placed.letters[column.key] for column in placed.table.inputs if column.key in placed.letters]
        rows = range(placed.heading_row + 1, placed.last_row + 1)
        return frozenset(row for row in rows if any(
            self.subject.value(placed.sheet, f"{letter}{row}") is not None for letter in letters))

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

    def _last_row(self, placed: Located) -> int:
        """Where the table ends: before the fixed text that follows it in the blank workbook, else at the end."""
        rows, contents, table = self.subject.rows(placed.sheet), self.subject.contents[placed.sheet], placed.table
        for row, letter, text in self.blank.labels[table.sheet]:
            if row > table.last_row:
                for one in rows:
                    if one.number > placed.heading_row and contents.get(f"{letter}{one.number}") == text:
                        return one.number - (row - table.last_row)
        return placed.last_row
