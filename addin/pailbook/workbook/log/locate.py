"""Where a log's tables are in a file: found by their headings, wherever they stand.

Sheets may be renamed, columns moved or added, rows added or sorted, and another program may have saved the file.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from openpyxl.utils import get_column_letter

from pailbook.terms import international
from pailbook.workbook.columns import Table
from pailbook.workbook.log.cells import Shown

_DEEPEST = 40  # rows in which a table's headings are looked for
_ENOUGH = 0.6  # share of the headings of what is typed that must be there, of all where nothing is typed
_TEXT_FIRST = re.compile(r'"((?:[^"]|"")*)"')
Letters = Mapping[str, list[str]]  # of the columns, by the text of their heading


@dataclass(frozen=True)
class Located:
    """A table as the file has it."""

    table: Table
    sheet: str
    heading_row: int
    last_row: int
    letters: Mapping[str, str]  # by the key of a column; those that the file has
    further: Mapping[str, str]  # the next column with the same heading, by key; where there is one more than there were
    copies: tuple[str, ...] = ()  # other sheets with as many of its headings

    def cell(self, key: str, row: int) -> str:
        """The address of a column's cell in a row."""
        return f"{self.letters[key]}{row}"


def locate(cells: Shown, tables: Iterable[Table]) -> dict[str, Located]:
    """The tables that the file has, by the names of their sheets in a blank workbook."""
    known = {sheet: dict(_headings(cells, sheet)) for sheet in cells.contents}
    candidates = sorted((
        (score, table.sheet == sheet, len(_letters(table, found)[0]), table.sheet, sheet, row)
        for table in tables for sheet, rows in known.items() for row, found in rows.items()
        if (score := _share(table, found)) >= _ENOUGH), reverse=True)
    of = {table.sheet: table for table in tables}
    located: dict[str, Located] = {}
    taken: set[tuple[str, int]] = set()
    for *_, name, sheet, row in candidates:
        if name not in located and (sheet, row) not in taken:
            taken.add((sheet, row))
            located[name] = Located(of[name], sheet, row, _last_row(cells, of[name], sheet, row),
                                    *_letters(of[name], known[sheet][row]))
    for score, _, _, name, sheet, row in candidates:
        if name in located and (sheet, row) not in taken and sheet != (found := located[name]).sheet \
                and score == _share(found.table, known[found.sheet][found.heading_row]):
            located[name] = replace(found, copies=(*found.copies, sheet))
    return located


def plain(text: str) -> str:
    """A heading without its unit, in international English, in lower case, with single blanks."""
    return folded(international(text.split("\n")[0]))


def folded(name: object) -> str:
    """A name for comparing: in lower case, with single blanks."""
    text = f"{name:.15g}" if isinstance(name, float) else str(name or "")
    return " ".join(text.split()).casefold()


def _headings(cells: Shown, sheet: str) -> Iterator[tuple[int, Letters]]:
    """Of each of a sheet's first rows, the letters of its columns by their texts."""
    contents = cells.contents[sheet]
    for row in cells.rows(sheet):
        if row.number > _DEEPEST:
            return
        found: dict[str, list[str]] = defaultdict(list)
        for cell in row.cells:
            text = contents.get(cell.address)
            if not isinstance(text, str):  # a heading with a unit that the user chooses begins with its own text
                first = _TEXT_FIRST.match((cells.formula(sheet, cell.address) or "").removeprefix("="))
                text = first[1].replace('""', '"') if first else ""
            if text := plain(text):
                found[text].append(get_column_letter(cell.column))
        if found:
            yield row.number, found


def _share(table: Table, found: Letters) -> float:
    headings = {plain(column.heading) for column in table.inputs or table.columns}
    return len(headings & found.keys()) / len(headings)


def _letters(table: Table, found: Letters) -> tuple[dict[str, str], dict[str, str]]:
    """The letters of the table's columns in a row with these headings, and those of further columns of a heading.

    Columns of one heading come in order.
    """
    keys: dict[str, list[str]] = defaultdict(list)
    for column in table.columns:
        keys[plain(column.heading)].append(column.key)
    letters = {key: letter for heading, own in keys.items() for key, letter in zip(own, found.get(heading, ()))}
    further = {key: found[heading][len(own)] for heading, own in keys.items()
               if len(own) < len(found.get(heading, ())) for key in own}
    return letters, further


def _last_row(cells: Shown, table: Table, sheet: str, heading_row: int) -> int:
    """The last row before what follows the table, else that of the sheet."""
    last = heading_row
    for row in cells.rows(sheet):
        if row.number > heading_row:
            if table.followed_by and any(cells.contents[sheet].get(cell.address) == table.followed_by
                                         for cell in row.cells):
                break
            last = row.number
    return last
