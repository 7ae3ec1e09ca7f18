"""The first sheet's question whether the functions are installed: a copy says that no add-in is needed."""

from __future__ import annotations

from pathlib import Path

from openpyxl.utils.cell import coordinate_to_tuple

from pailbook.workbook.contents import Workbook
from pailbook.workbook.front import NONE_NEEDED
from pailbook.workbook.recalc import own_cells
from pailbook.workbook.splice import spliced

ANSWER = "functions_answer"  # the key of the cell with the answer; a note on what to do stands right of it


def without_question(book: Workbook, target: Path) -> Workbook:
    """The workbook with the text of a plain one in place of the answer and its note, written to the target.

    A workbook without such a question is returned as it is.
    """
    title, address = own_cells(book).get(ANSWER, ("", ""))
    cell = next((cell for cell in book.worksheets[title].cells() if cell.address == address), None) if title else None
    if cell is None or cell.formula is None:
        return book
    sheet, row, column = book.worksheets[title], *coordinate_to_tuple(address)
    data = spliced(sheet, {(row, column): NONE_NEEDED, (row, column + 1): None})
    note = next((area for area in sheet.merged if (area.top, area.left) == (row, column + 1)), None)
    if note is not None:  # the text takes the room of the note too
        both = note._replace(left=column)
        data = data.replace(f' ref="{note.address}"'.encode(), f' ref="{both.address}"'.encode())
    book.save(target, {sheet.part: data})
    return Workbook(target)
