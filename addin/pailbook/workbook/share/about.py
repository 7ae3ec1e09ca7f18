"""The sheet "About this copy": what was made plain, and what holds a value in place of a formula."""

from __future__ import annotations

from collections import Counter

from pailbook.workbook.share.formulas import Found
from pailbook.workbook.share.rules import Elsewhere
from pailbook.workbook.share.sheet_xml import Sheet

TITLE = "About this copy"
_HEADING_ROW = 9


def about_sheet(title: str, found: Found, elsewhere: Elsewhere, workings: str, on_purpose: bool) -> Sheet:
    """The sheet; `workings` is the title of the sheet of intermediate values, "" where there is none."""
    sheet = Sheet(title, widths=(22, 14, 90))
    replaced = found.replaced + elsewhere.replaced
    lines = [
        "Every formula in this copy is a plain one: it works in any spreadsheet program, with nothing to install.",
        f"Calculations made plain: {replaced}. Fill in what is yours to fill in; the results follow.",
        f'Intermediate values of long calculations stand on the sheet "{workings}".' if workings else "",
        _frozen_line(found, on_purpose),
        "The results inform. They do not replace licensed practice, a label, a vet or local rules.",
    ]
    sheet.row(1, [(title, "title")])
    for number, line in enumerate(filter(None, lines), 3):
        sheet.row(number, [(line, "text")])
    if found.frozen or elsewhere.dropped:
        sheet.row(_HEADING_ROW, [("Sheet", "heading"), ("Cell", "heading"), ("What it is now, and why", "heading")])
    rows = [(cell.sheet, cell.cells, f"a value: {cell.reason}") for cell in found.frozen]
    if on_purpose:
        sheets = Counter(cell.sheet for cell in found.frozen)
        rows = [(name, "", f"values in place of {count} formulas") for name, count in sheets.items()]
    for number, row in enumerate([*rows, *(("", "", line) for line in elsewhere.dropped)], _HEADING_ROW + 1):
        sheet.row(number, [(text, style) for text, style in zip(row, ("text", "text", "wrapped"))])
    return sheet


def _frozen_line(found: Found, on_purpose: bool) -> str:
    if not found.frozen:
        return "No calculation had to become a fixed value."
    count = f"{found.frozen_calls} calculation{'' if found.frozen_calls == 1 else 's'}"
    if on_purpose:
        return f"On purpose {count} became fixed values, listed below. They do not follow what is filled in."
    return f"Listed below, with a yellow fill: {count} that became fixed values and do not follow what is filled in."
