"""The sheet "Workings" of a plain workbook: intermediate values of calls that no single formula holds."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from typing import Any

from openpyxl.formula.tokenizer import Token
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.formula.read import tokens
from pailbook.formula.steps import plain_steps
from pailbook.function import WorksheetFunction
from pailbook.workbook import charts, style
from pailbook.workbook.columns import quoted

SHEET = "Workings"
NOTE = "Intermediate values of long calculations, so that each formula is short enough for any program."
_MORE = "There is nothing to fill in or read here. A pale error such as #N/A means that an input is blank."
HEADING_ROW = 4
FIRST_COLUMN = 3  # behind the call and the sheet that it stands on


class Workings:
    """Rows of intermediate values, one for each call."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, str, list[str]]] = []  # the sheet, the call, its formulas
        self._known: dict[tuple[str, str], str] = {}

    def place(self, function: WorksheetFunction, arguments: Sequence[str], sheet: str) -> str:
        """The plain formula of a call on a sheet, its intermediate values put into a row; the same call only once."""
        call = f"{function.name}({','.join(arguments)})"
        if (sheet, call) not in self._known:
            steps: list[str] = []
            row = HEADING_ROW + 1 + len(self.rows)

            def into_cell(text: str) -> str:
                steps.append(text)
                return f"{SHEET}!${get_column_letter(FIRST_COLUMN + len(steps) - 1)}${row}"

            here = [on_sheet(argument, sheet) for argument in arguments]
            self._known[sheet, call] = plain_steps(function, here, into_cell)
            if steps:
                self.rows.append((sheet, call, [text.replace(f"{SHEET}!", "") for text in steps]))
        return self._known[sheet, call]

    def write(self, sheet: Worksheet) -> None:
        """Fills the sheet: the call and the sheet that needs it, then its intermediate values."""
        style.look(sheet["A3"], "note").value = _MORE
        steps = max(len(row[2]) for row in self.rows)
        headings = ["Calculation", "For the sheet", "Are the inputs valid?", *(f"Step {n}" for n in range(1, steps))]
        for column, heading in enumerate(headings, 1):
            style.look(sheet.cell(HEADING_ROW, column), "heading").value = heading
        looks: dict[str, Any] = {}  # of thousands of cells, each made anew would take seconds
        for number, (name, call, texts) in enumerate(self.rows, HEADING_ROW + 1):
            for column, text in enumerate((call, name), 1):
                style.look(sheet.cell(number, column), "note", align="left").value = text
            for column, text in enumerate(texts, FIRST_COLUMN):
                cell = sheet.cell(number, column, f"={text}")
                shown = "General" if column == FIRST_COLUMN else "0.0000"
                if shown not in looks:
                    looks[shown] = style.look(cell, "result", shown)._style  # type: ignore[attr-defined]
                cell._style = copy(looks[shown])  # type: ignore[attr-defined]
        sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 60, 18
        sheet.column_dimensions["C"].width = 16
        for column in range(FIRST_COLUMN + 1, FIRST_COLUMN + steps):
            sheet.column_dimensions[get_column_letter(column)].width = 14
        sheet.row_dimensions[HEADING_ROW].height = 16
        sheet.freeze_panes = f"{get_column_letter(FIRST_COLUMN)}{HEADING_ROW + 1}"
        last = f"{get_column_letter(FIRST_COLUMN + steps - 1)}{HEADING_ROW + len(self.rows)}"
        charts.grey_errors(sheet, f"{get_column_letter(FIRST_COLUMN)}{HEADING_ROW + 1}:{last}")
        sheet.print_area = "A1:C3"


def on_sheet(argument: str, sheet: str) -> str:
    """The argument's text with its addresses made those of the sheet, as any other sheet must name them."""
    return "".join(
        f"{quoted(sheet)}!{token.value}"
        if token.type == Token.OPERAND and token.subtype == Token.RANGE and _is_address(token.value) else token.value
        for token in tokens(argument)
    )


def _is_address(text: str) -> bool:
    first = text.split(":")[0].replace("$", "")
    return "!" not in text and first.rstrip("0123456789").isalpha() and first[-1:].isdigit()
