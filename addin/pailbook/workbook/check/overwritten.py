"""Formulas that somebody typed over, changed or cleared: against the blank workbook, and against their neighbours."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import column_index_from_string, coordinate_to_tuple

from pailbook.hosts.cells import FormulaCell
from pailbook.hosts.references import filled_form
from pailbook.terms import ACT, WATCH
from pailbook.workbook import workings
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.places import Places
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.log.locate import Located
from pailbook.workbook.share import about

TYPED_OVER, CHANGED, CLEARED = "formula typed over", "formula changed", "formula missing"
FEWEST = 4  # alike formulas that make a column one of formulas; common practice, no source
MOST_TYPED = 1 / 3  # share of such a column that may be typed and still be a slip; common practice, no source
_SHORT = 160  # characters of a formula that is shown in full
_LARGE = 1000  # a row's number that hardly stands for anything else in a formula
_ADDRESS = re.compile("([!:]?)\1([$]?)(-?\\d+)\1([$]?)(-?\\d+)\1")  # as `filled_form` writes it


class _Cell(NamedTuple):
    row: int
    content: Any  # a value, a formula or None

    @property
    def typed(self) -> bool:
        return self.content is not None and not isinstance(self.content, FormulaCell)


class _Usual(NamedTuple):
    """The formula of a column."""

    row: int  # in which it stands
    odd: list[_Cell]  # the cells with another formula


def against_blank(places: Places) -> Iterator[Finding]:
    """Findings in a Pailbook workbook."""
    # A copy with values in place of formulas has a sheet that says so.
    with_values = any(title.startswith(about.TITLE) for title in places.subject.contents)
    for placed in places.tables.values():
        filled = places.filled(placed)
        for column in placed.table.columns:
            if not column.is_input and column.key in placed.letters:
                yield from _in_table(places, placed, column.key, filled, with_values)
    for title, sheet in places.sheets.items():
        if not with_values:
            yield from _outside_tables(places, title, sheet)


def against_neighbours(subject: Subject, sheets: Iterable[str]) -> Iterator[Finding]:
    """Numbers among alike formulas of a column, in any workbook."""
    for sheet in sheets:
        columns: dict[int, list[_Cell]] = defaultdict(list)
        contents, filled = subject.contents[sheet], subject.book.worksheets[sheet].arrays
        for row in subject.rows(sheet):
            for cell in row.cells:
                content = contents.get(cell.address)
                if content is not None and not any(area.holds(row.number, cell.column) for area, _ in filled):
                    columns[cell.column].append(_Cell(row.number, content))
        for number, cells in columns.items():
            yield from _among_alike(sheet, number, cells)


def _among_alike(sheet: str, number: int, cells: Sequence[_Cell]) -> Iterator[Finding]:
    letter = get_column_letter(number)
    numbers = [cell.row for cell in cells if isinstance(cell.content, float)]
    rows: dict[str, list[int]] = defaultdict(list)
    for cell in cells if numbers else ():
        if isinstance(cell.content, FormulaCell):
            text = cell.content.text
            rows[filled_form(text, cell.row, number) or text].append(cell.row)
    for alike in rows.values():
        typed = [row for row in numbers if alike[0] < row < alike[-1]]
        if len(alike) >= FEWEST and typed and len(typed) <= MOST_TYPED * len(alike):
            for first, last in _runs(typed):
                yield Finding(sheet, _range(letter, first, last), WATCH, TYPED_OVER,
                              f"{_values(first, last)} typed among the {len(alike)} formulas of this column",
                              f"If that was a slip, copy the formula back from {letter}{_nearest(alike, first)}.")


def _in_table(
    places: Places, placed: Located, key: str, filled: frozenset[int], with_values: bool
) -> Iterator[Finding]:
    sheet, letter, table = placed.sheet, placed.letters[key], placed.table
    contents, heading = places.subject.contents[sheet], table.column(key).heading.split("\n")[0]
    example = places.blank.formulas[table.sheet].get((table.first_row, _number(table.letter(key))), "")
    cells = [_Cell(row, contents.get(f"{letter}{row}")) for row in range(placed.heading_row + 1, placed.last_row + 1)]
    usual = _usual(letter, cells, form_of(example, table.first_row, _number(table.letter(key))))
    remedy = (f"Copy the formula back from {letter}{usual.row}." if usual else
              f"Take the formula from a blank {places.blank.kind}{_in_full(example)}.")
    if usual or not with_values:
        for first, last in _runs([cell.row for cell in cells if cell.typed]):
            yield Finding(sheet, _range(letter, first, last), ACT, TYPED_OVER,
                          f'{_values(first, last)} typed over the formula of "{heading}", which no longer follows the '
                          "readings", remedy)
    if usual:
        filled_down = _alike(places, table.sheet, table.first_row, table.last_row, table.letter(key))
        for cell in usual.odd if filled_down else ():
            if workings.SHEET in cell.content.text:
                continue  # of a plain copy: each row has its own intermediate values
            yield Finding(sheet, f"{letter}{cell.row}", WATCH, CHANGED,
                          f'the formula of "{heading}" differs from that in the other rows', remedy)
        for first, last in _runs([cell.row for cell in cells if cell.content is None and cell.row in filled]):
            yield Finding(sheet, _range(letter, first, last), WATCH, CLEARED,
                          f'the formula of "{heading}" is missing, although the row is filled in', remedy)


def _alike(places: Places, title: str, first: int, last: int, letter: str) -> bool:
    """Whether a column of the blank table has the same formula in every row."""
    number, formulas = _number(letter), places.blank.formulas[title]
    return len({form_of(formulas.get((row, number), ""), row, number) for row in range(first, last + 1)}) == 1


def _outside_tables(places: Places, title: str, sheet: str) -> Iterator[Finding]:
    contents, blank = places.subject.contents[sheet], places.blank
    labels = {row: text for row, _, text in blank.labels[title]}
    not_asked = _question_of_a_plain_copy(places, sheet)
    for row, column, address in places.formulas(title):
        content, text = contents.get(address), blank.formulas[title][row, column]
        if isinstance(content, FormulaCell) or address in not_asked:
            continue
        remedy = f"Take the formula from a blank {blank.kind}{_in_full(text)}."
        what = f' of "{labels[row]}"' if row in labels else ""
        if content is None:
            yield Finding(sheet, address, WATCH, CLEARED, f"the formula{what} is missing", remedy)
        else:
            yield Finding(sheet, address, WATCH if isinstance(content, str) else ACT, TYPED_OVER,
                          f"{_shown(content)} was typed over the formula{what}, which no longer calculates", remedy)


def _question_of_a_plain_copy(places: Places, sheet: str) -> set[str]:
    """The cells of a plain workbook's sheet where one with calls shows whether they are installed, and what to do."""
    title, address = places.subject.names.get("functions_answer", ("", ""))
    if title != sheet or not isinstance(places.subject.contents[sheet].get(address), str):
        return set()
    row, column = coordinate_to_tuple(address)
    return {address, f"{get_column_letter(column + 1)}{row}"}


def _usual(letter: str, cells: Sequence[_Cell], blank_form: str) -> _Usual | None:
    """The formula that a column has in most rows, or that of the blank workbook if a row has it."""
    formulas = [cell for cell in cells if isinstance(cell.content, FormulaCell)]
    if not formulas:
        return None
    roughly = [rough_form(cell.content.text, cell.row) for cell in formulas]  # only those that differ are taken apart
    common = Counter(roughly).most_common(1)[0][0]
    number = _number(letter)
    first = formulas[roughly.index(common)]
    forms = {"": form_of(first.content.text, first.row, number)}
    others = [(cell, form_of(cell.content.text, cell.row, number))
              for cell, rough in zip(formulas, roughly) if rough != common]
    counts = Counter(form for _, form in others)
    counts[forms[""]] += len(formulas) - len(others)
    wanted = blank_form if blank_form in counts else counts.most_common(1)[0][0]
    if wanted != forms[""]:
        first = next(cell for cell, form in others if form == wanted)
        others += [(cell, forms[""]) for cell, rough in zip(formulas, roughly) if rough == common]
    return _Usual(first.row, [cell for cell, form in others if form != wanted])


def rough_form(text: str, row: int) -> str:
    """A formula without its own row's number: the same text wherever it was filled down, and found fast."""
    if row >= _LARGE:  # such a number hardly stands for anything else
        return text.replace(str(row), "#")
    return re.sub(rf"(?<=[A-Z]){row}(?!\d)", "#", text)


def form_of(text: str, row: int, column: int) -> str:
    """A formula as distances from its cell, without what changes when rows are added on its own sheet or on others."""
    def kept(match: re.Match[str]) -> str:
        before, fix_column, left, fix_row, top = match.groups()
        return f"{before}[{fix_column}{left},{'' if before or fix_row else top}]"

    return _ADDRESS.sub(kept, filled_form(text, row, column) or text)


def _runs(rows: Iterable[int]) -> Iterator[tuple[int, int]]:
    """First and last of rows that follow each other."""
    first = last = 0
    for row in rows:
        if first and row == last + 1:
            last = row
            continue
        if first:
            yield first, last
        first = last = row
    if first:
        yield first, last


def _range(letter: str, first: int, last: int) -> str:
    return f"{letter}{first}" if first == last else f"{letter}{first}:{letter}{last}"


def _values(first: int, last: int) -> str:
    return "a value is" if first == last else f"{last - first + 1} values are"


def _nearest(rows: Sequence[int], row: int) -> int:
    return min(rows, key=lambda one: abs(one - row))


def _number(letter: str) -> int:
    return column_index_from_string(letter)


def _in_full(text: str) -> str:
    return f": ={text}" if text and len(text) <= _SHORT else ""


def _shown(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else f'"{value}"' if isinstance(value, str) else str(value)
