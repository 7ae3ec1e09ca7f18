"""What every workbook has to be on paper."""

from __future__ import annotations

from typing import Any

LETTER, A4 = 1, 9


def check_paper(made: Any, units: str) -> None:
    """The sheets of a log or plan fit a page's width on the paper of its country; tables lie across, headings stay."""
    for sheet in made.book.workbook.worksheets:
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.page_setup.paperSize == (LETTER if units == "us" else A4)
        assert sheet.print_area, sheet.title
    for table in made.tables.values():
        sheet = made.book.workbook[table.sheet]
        assert str(sheet.freeze_panes).lstrip("ABCDEFGH") == str(table.first_row)
        assert sheet.page_setup.orientation == "landscape"


def check_nothing_cut_off(text: str) -> None:
    """In what was printed no number is too wide for its column, and no cell shows an error."""
    for wrong in ("##", "#NAME?", "#VALUE!", "#REF!", "#DIV/0!", "#NUM!", "Err:"):
        assert wrong not in text, wrong
