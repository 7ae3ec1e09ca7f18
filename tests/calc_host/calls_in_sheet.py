"""Calls of functions in the cells of one sheet, all worked out by LibreOffice at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from openpyxl.utils import get_column_letter

from office_session import Session
from pailbook.function import WorksheetFunction

NUMBERS = {"#N/A": 32767, "#VALUE!": 519, "#NUM!": 503, "#DIV/0!": 532}  # LibreOffice's own of these errors
OMITTED = object()  # nothing stands in the call; a blank cell is None


class Calls:
    """A sheet that grows downwards: a block of rows for each call, its inputs in columns, the formula right of them."""

    def __init__(self, columns: int = 40) -> None:
        self._columns = columns
        self._rows: list[list[Any]] = []
        self._formulas: list[int] = []

    def add(self, function: WorksheetFunction, values: Sequence[Any], around: str = "{}") -> int:
        """Enters a call; a list is a range of a column. Gives the call's number."""
        first = len(self._rows) + 1
        height = max([len(value) for value in values if isinstance(value, list)], default=1)
        block: list[list[Any]] = [[None] * self._columns for _ in range(height)]
        texts = []
        for column, value in enumerate(values):
            if value is OMITTED:
                texts.append("")
                continue
            cells = value if isinstance(value, list) else [value]
            for row, one in enumerate(cells):
                block[row][column] = one
            letter = get_column_letter(column + 1)
            last = f":{letter}{first + len(cells) - 1}" if isinstance(value, list) else ""
            texts.append(f"{letter}{first}{last}")
        while texts and not texts[-1]:
            texts.pop()
        block[0][-1] = "=" + around.format(f"{function.name}({';'.join(texts)})")
        self._rows += block
        self._formulas.append(first)
        return len(self._formulas) - 1

    def type(self, formula: str) -> int:
        """Enters a formula without inputs."""
        self._rows.append([None] * (self._columns - 1) + [formula])
        self._formulas.append(len(self._rows))
        return len(self._formulas) - 1

    def worked_out(self, office: Session) -> list[Any]:
        """What each call gives: a number, a text, or an error as {"error": number}."""
        letter = get_column_letter(self._columns)
        with office.document() as name:
            office("fill", name=name, area=f"A1:{letter}{len(self._rows)}", rows=self._rows)
            shown = office("read", name=name, area=f"{letter}1:{letter}{len(self._rows)}")
        return [shown[row - 1][0] for row in self._formulas]


def omitted(function: WorksheetFunction, values: Sequence[Any]) -> list[Any]:
    """The values of a call, what is left out as left out, up to the last argument of the cell form."""
    given = [OMITTED if value is None else value for value in values]
    return given + [OMITTED] * (len(function.cell_arguments) - len(given))


def is_error(shown: Any, code: str) -> bool:
    """Whether the cell shows this error."""
    return bool(shown == {"error": NUMBERS[code]})
