"""The sheet "Workings" of a plain workbook: intermediate values of calls that no single formula holds."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.formula.tokenizer import Token
from openpyxl.utils import get_column_letter

from pailbook.formula.read import tokens
from pailbook.formula.steps import plain_steps
from pailbook.function import WorksheetFunction
from pailbook.workbook.columns import quoted

SHEET = "Workings"
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
