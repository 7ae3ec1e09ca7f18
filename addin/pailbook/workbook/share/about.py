"""The sheet "About this copy": what became plain formulas, and which cells hold a value in place of a formula."""

from __future__ import annotations

from collections import Counter

from pailbook.workbook.share.formulas import Found
from pailbook.workbook.share.rules import Elsewhere
from pailbook.workbook.share.sheet_xml import Sheet

TITLE = "About this copy"
_HEADING_ROW = 10


def about_sheet(title: str, found: Found, elsewhere: Elsewhere, workings: str, on_purpose: bool) -> Sheet:
    """The sheet; `workings` is the title of the sheet of intermediate values, "" if there is none."""
    sheet = Sheet(title, widths=(22, 14, 90))
    lines = [
        "This copy needs no add-in, and there is nothing to install.",
        "It should work in any program with the functions of Excel 2007; it was checked in LibreOffice.",
        "" if on_purpose else "Type in the boxes; the results change at once.",
        f'The sheet "{workings}" holds intermediate values of long calculations. You need not look at it.'
        if workings else "",
        _frozen_line(found, on_purpose),
        "The results are for information, not professional advice. Labels, your vet and local rules come first.",
    ]
    sheet.row(1, [(title, "title")])
    for number, line in enumerate(filter(None, lines), 3):
        sheet.row(number, [(line, "text")])
    if found.frozen or elsewhere.dropped:
        sheet.row(_HEADING_ROW, [("Sheet", "heading"), ("Cell", "heading"), ("What it holds now, and why", "heading")])
    rows = [(cell.sheet, cell.cells, f"a fixed value: {cell.reason}") for cell in found.frozen]
    if on_purpose:
        sheets = Counter(cell.sheet for cell in found.frozen)
        rows = [(name, "", f"fixed values in place of {count} formulas") for name, count in sheets.items()]
    for number, row in enumerate([*rows, *(("", "", line) for line in elsewhere.dropped)], _HEADING_ROW + 1):
        sheet.row(number, [(text, style) for text, style in zip(row, ("text", "text", "wrapped"))])
    return sheet


def _frozen_line(found: Found, on_purpose: bool) -> str:
    if not found.frozen:
        return ""
    count = f"{found.frozen_calls} calculation{'' if found.frozen_calls == 1 else 's'}"
    became = "became a fixed value and does" if found.frozen_calls == 1 else "became fixed values and do"
    how = "As asked" if on_purpose else "With a yellow fill"
    return f"{how}, {count} {became} not follow what you type; see the list below."
