"""Pieces of formula text that every workbook needs."""

from __future__ import annotations

from collections.abc import Sequence

from pailbook.formula.call_names import may_call


def blank_or(reference: str) -> str:
    """Formula text for the cell's value, blank where the cell is."""
    return f'IF({reference}="","",{reference})'


def first_that_holds(ladder: Sequence[tuple[str, str]], otherwise: str) -> str:
    """Formula text for the value of the first condition that holds; each rung is (condition, value)."""
    for condition, value in reversed(ladder):
        if may_call(condition):  # an array to LibreOffice, in whose IF no other may stand; AND makes it one value
            condition = f"AND({condition})"
        otherwise = f"IF({condition},{value},{otherwise})"
    return otherwise


def with_numbers(cells: Sequence[str], text: str, otherwise: str = '""') -> str:
    """Formula text that is calculated only where every one of the cells holds a number."""
    return f"IF(COUNT({','.join(cells)})<{len(cells)},{otherwise},{text})"


def counted(word: str, cells: str) -> str:
    """Formula text for how many verdicts in a range of texts, such as "act: overdue by 3 days", have that word."""
    # No array formula: LibreOffice may calculate one that asks for ISERROR before the cells that it counts.
    return f'SUMPRODUCT((LEFT({cells}&":",{len(word) + 1})="{word}"&":")*1)'
