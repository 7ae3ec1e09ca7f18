"""What every workbook has to be on paper."""

from __future__ import annotations

from typing import Any

from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.workbook import lines

LETTER, A4 = 1, 9
BOLD = 1.15  # how much wider bold letters are
UPRIGHT = 125  # columns' widths that still read well on an upright page


def check_paper(made: Any, units: str) -> None:
    """The sheets of a log or plan fit a page's width on its country's paper; wide tables lie across, headings stay."""
    for sheet in made.book.workbook.worksheets:
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.page_setup.paperSize == (LETTER if units == "us" else A4)
        assert sheet.print_area, sheet.title
    for table in made.tables.values():
        sheet = made.book.workbook[table.sheet]
        assert str(sheet.freeze_panes).lstrip("ABCDEFGH") == str(table.first_row)
        width = sum(column.width for column in table.columns if not column.hidden)
        assert sheet.page_setup.orientation == "landscape" or width <= UPRIGHT, (table.sheet, width)


def check_nothing_cut_off(text: str) -> None:
    """In what was printed no number is too wide for its column, and no cell shows an error."""
    for wrong in ("##", "#NAME?", "#VALUE!", "#REF!", "#DIV/0!", "#NUM!", "Err:"):
        assert wrong not in text, wrong


def check_texts_find_room(sheet: Worksheet) -> None:
    """No written text on a sheet's page is longer than its box, or than the empty cells beside it.

    Texts that formulas make are left to what is printed.
    """
    left, top, right, bottom = _boundaries(str(sheet.print_area).split("!")[-1].replace("$", ""))
    merged = {str(span).split(":")[0]: _boundaries(str(span))[2] for span in sheet.merged_cells.ranges}
    for number, row in enumerate(sheet.iter_rows(top, bottom, left, right), top):
        if sheet.row_dimensions[number].hidden:
            continue  # on no page
        for cell in row:
            if not isinstance(cell.value, str) or cell.value.startswith("="):
                continue
            last = merged.get(cell.coordinate, cell.column)
            while not cell.alignment.wrap_text and last < right and not sheet.cell(cell.row, last + 1).value:
                last += 1
            wide = sum(float(sheet.column_dimensions[get_column_letter(column)].width)
                       for column in range(cell.column, last + 1))
            size = cell.font.sz or 11
            letters = (1 / lines.SMALL if size == 9 else size / 10) * (BOLD if cell.font.b else 1)
            needs = lines.lines_of(cell.value, wide / letters)
            if not cell.alignment.wrap_text:
                assert needs == 1 + cell.value.count("\n"), (sheet.title, cell.coordinate, cell.value)
            height = sheet.row_dimensions[cell.row].height
            if cell.alignment.wrap_text and height is not None:
                room = height / (lines.POINTS * size / 10)
                assert needs <= room + 0.2, (sheet.title, cell.coordinate, cell.value, needs, height)


def _boundaries(span: str) -> tuple[int, int, int, int]:
    first, _, last = span.partition(":")
    (left, top), (right, bottom) = (coordinate_to_tuple(address)[::-1] for address in (first, last or first))
    return left, top, right, bottom
