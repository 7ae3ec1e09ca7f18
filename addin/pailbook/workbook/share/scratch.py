"""The sheet "Workings" of a copy: intermediate values of long calculations, one row per formula."""

from __future__ import annotations

from dataclasses import dataclass, field

from openpyxl.utils import get_column_letter

from pailbook.hosts.areas import LAST_COLUMN, LAST_ROW
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.columns import quoted
from pailbook.workbook.share.recipe import Recipe, at_cell, with_addresses
from pailbook.workbook.share.sheet_xml import Sheet

FIRST_ROW, FIRST_COLUMN = 5, 3


@dataclass
class _Row:
    """A row: what it is for, and its formulas from the first column on."""

    place: str
    calls: str
    formulas: list[str] = field(default_factory=list)


class Scratch:
    """The rows of intermediate values, as formulas are rewritten."""

    def __init__(self, title: str) -> None:
        self.title = title
        self._rows: list[_Row] = []
        self._known: dict[str, str] = {}

    def __len__(self) -> int:
        return sum(len(row.formulas) for row in self._rows)

    def place(self, recipe: Recipe, sheet: str, row: int, column: int, in_form: bool) -> str:
        """The formula for that cell, its intermediate values put into rows of their own.

        `in_form` tells that the recipe has distances in place of addresses.
        """
        filled = at_cell(row, column) if in_form else str
        if not recipe.steps:
            return filled(recipe.text)
        place, calls = f"{sheet}!{get_column_letter(column)}{row}", ", ".join(dict.fromkeys(recipe.calls))
        addresses: list[str] = []
        blocks = {block.first + i: (block, i) for block in recipe.blocks for i in range(block.height * block.width)}
        line = _Row(place, calls)
        below: list[_Row] = []
        number = FIRST_ROW + len(self._rows)
        shared = [i not in blocks for i in range(len(recipe.steps))]
        offset = 1 if any(shared) else 0
        for k, step in enumerate(recipe.steps):
            text = with_addresses(filled(step), addresses)
            if shared[k]:
                if text not in self._known:
                    line.formulas.append(text)
                    self._known[text] = _address(number, len(line.formulas) - 1)
                addresses.append(self._known[text])
                continue
            block, i = blocks[k]
            if i % block.width == 0:
                below.append(_Row(place, f"{calls}: one value per cell"))
            below[-1].formulas.append(text)
            addresses.append(_address(number + offset + len(below) - 1, i % block.width))
        self._rows += ([line] if offset else []) + below
        if len(self._rows) > LAST_ROW - FIRST_ROW or len(line.formulas) > LAST_COLUMN - FIRST_COLUMN:
            raise WorkbookError(f"the formula in {place} needs more intermediate values than a sheet has cells")
        on_sheet = f"{quoted(self.title)}!"
        return with_addresses(filled(recipe.text), [on_sheet + address for address in addresses])

    def sheet(self) -> Sheet:
        """The sheet with its headings."""
        sheet = Sheet(self.title, widths=(28, 34), print_area="$A$1:$B$3")
        sheet.row(1, [(self.title, "title")])
        sheet.row(2, [("Intermediate values of long calculations. There is nothing to fill in here.", "text")])
        steps = max((len(row.formulas) for row in self._rows), default=0)
        headings = ["For the cell", "Calculation", *(f"step {i}" for i in range(1, steps + 1))]
        sheet.row(FIRST_ROW - 1, [(heading, "heading") for heading in headings])
        for number, row in enumerate(self._rows, FIRST_ROW):
            sheet.row(number, [(row.place, "text"), (row.calls, "text")], row.formulas)
        return sheet


def _address(row: int, across: int) -> str:
    return f"${get_column_letter(FIRST_COLUMN + across)}${row}"
