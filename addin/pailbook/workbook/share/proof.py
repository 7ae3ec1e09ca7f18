"""The proof that a copy gives its original's values: both are calculated, and each formula's value is compared."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pailbook.hosts.cells import ErrorValue

AGREEMENT = 1e-9  # relative
SMALLEST = 1e-12  # below which a number counts as 0

Values = Mapping[tuple[str, str], Any]


@dataclass(frozen=True)
class Difference:
    """A cell that shows another value in the copy."""

    sheet: str
    cell: str
    original: Any
    copy: Any

    def __str__(self) -> str:
        return f"{self.sheet}!{self.cell}: {_shown(self.original)} in the original, {_shown(self.copy)} in the copy"


def agree(one: Any, other: Any) -> bool:
    """Whether two values of a cell mean the same; any two errors do, and so do a blank and an empty text."""
    if isinstance(one, ErrorValue) or isinstance(other, ErrorValue):
        return isinstance(one, ErrorValue) and isinstance(other, ErrorValue)
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=AGREEMENT, abs_tol=SMALLEST)
    return bool(("" if one is None else one) == ("" if other is None else other))


def differences(original: Values, copy: Values) -> list[Difference]:
    """The cells of the original whose value in the copy does not agree with it."""
    return [
        Difference(sheet, cell, value, copy.get((sheet, cell)))
        for (sheet, cell), value in original.items() if not agree(value, copy.get((sheet, cell)))
    ]


def _shown(value: Any) -> str:
    return f"{value:.10g}" if isinstance(value, float) else "a blank" if value in (None, "") else str(value)
