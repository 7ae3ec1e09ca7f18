"""Averages of pH. It is a logarithm and water buffers it, so its mean is not a pH that any water has."""

from __future__ import annotations

from collections.abc import Iterator

from openpyxl.formula.tokenizer import Token
from openpyxl.utils import column_index_from_string

from pailbook.formula.read import Group, Pieces, Unreadable, groups, pieces_of
from pailbook.hosts.cells import FormulaCell
from pailbook.terms import WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.log.locate import Located
from pailbook.workbook.readings.fields import MEASURED

AVERAGED = "pH averaged"
_AVERAGES = frozenset({"AVERAGE", "AVERAGEA", "AVERAGEIF", "AVERAGEIFS"})


def averages(log: FarmLog) -> Iterator[Finding]:
    """Formulas of the user that average a column of pH."""
    columns = [(placed, key) for placed in log.places.tables.values() for key in placed.letters
               if placed.table.column(key).quantity is MEASURED["ph"].quantity]
    for sheet, cells in log.subject.contents.items():
        for address, content in cells.items():
            if isinstance(content, FormulaCell) and "AVERAGE" in content.text.upper() and any(
                    _meets(log, sheet, operand, columns) for operand in _averaged(content.text)):
                yield Finding(sheet, address, WATCH, AVERAGED, "this formula averages pH, which is a logarithm: the "
                              "mean pH of two waters is not the pH of their mixture, and the mean of several days is "
                              "not what the fish lived in",
                              "Show the lowest and the highest pH, or the median. For a mixture use PH_MIX.")


def _averaged(formula: str) -> Iterator[str]:
    """The ranges that a formula averages."""
    try:
        found = [group for group in groups(pieces_of(formula)) if group.name in _AVERAGES]
    except Unreadable:
        return
    for group in found:
        conditional = group.name == "AVERAGEIF" and len(group.arguments) > 2
        arguments = group.arguments[2:3] if conditional else (
            group.arguments[:1] if group.name in ("AVERAGEIF", "AVERAGEIFS") else group.arguments)
        for argument in arguments:
            yield from _ranges(argument)


def _ranges(pieces: Pieces) -> Iterator[str]:
    return (piece.value for piece in pieces if not isinstance(piece, Group) and piece.subtype == Token.RANGE)


def _meets(log: FarmLog, sheet: str, operand: str, columns: list[tuple[Located, str]]) -> bool:
    area = log.subject.area(sheet, operand)
    return area is not None and any(
        area.sheet == placed.sheet and area.top <= placed.last_row and area.bottom > placed.heading_row
        and area.left <= column_index_from_string(placed.letters[key]) <= area.right for placed, key in columns)
