"""The texts between a call's commas, read as constants, references and ranges."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.utils import column_index_from_string, get_column_letter

from pailbook.formula.tree import NotTraceable, Reference
from pailbook.function import WorksheetFunction

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_TEXT = re.compile(r'"(?:[^"]|"")*"')
_REFERENCE = re.compile(r"(?:(?:'(?:[^']|'')+'|[\w.]+)!)?\$?[A-Za-z]{1,3}\$?\d+")
_RANGE = re.compile(
    r"((?:'(?:[^']|'')+'|[\w.]+)!)?\$?([A-Za-z]{1,3})\$?(\d+)(?::\$?([A-Za-z]{1,3})\$?(\d+))?"
)


@dataclass(frozen=True)
class Cells:
    """A range that a function takes whole: its text and its cells, row by row."""

    text: str
    cells: tuple[Reference, ...]


def check_count(function: WorksheetFunction, arguments: Sequence[Any]) -> None:
    """NotTraceable where a call has more arguments than the function takes."""
    if len(arguments) > len(function.cell_arguments):
        raise NotTraceable(f"{function.name} takes at most {len(function.cell_arguments)} arguments")


def read_all(function: WorksheetFunction, arguments: Sequence[str]) -> dict[str, Any]:
    """The values of a call's argument texts, by the argument's name, as `trace` takes them.

    Raises
    ------
    NotTraceable
        When there are too many of them, or a range is none.
    """
    check_count(function, arguments)
    return {
        a.name: read_range(text) if a.quantity.series and text.strip() else read(text)
        for a, text in zip(function.cell_arguments, arguments)
    }


def read_range(text: str) -> Cells:
    """A range's text as its cells, row by row; a single cell is a range too."""
    found = _RANGE.fullmatch(text.strip())
    if found is None:
        raise NotTraceable(f"{text} is not a range of cells")
    sheet, left, top, right, bottom = found.groups()
    columns = range(column_index_from_string(left), column_index_from_string(right or left) + 1)
    rows = range(int(top), int(bottom or top) + 1)
    return Cells(text.strip(), tuple(
        Reference(f"{sheet or ''}${get_column_letter(column)}${row}") for row in rows for column in columns
    ))


def read(text: str) -> Any:
    """An argument's text as a constant, None where it is left out, or a reference."""
    text = text.strip()
    if not text:
        return None
    if _NUMBER.fullmatch(text):
        return float(text)
    if _TEXT.fullmatch(text):
        return text[1:-1].replace('""', '"')
    if text.upper() in ("TRUE", "FALSE"):
        return text.upper() == "TRUE"
    return Reference(text, atom=bool(_REFERENCE.fullmatch(text)))
