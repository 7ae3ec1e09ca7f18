"""Numbers compared as six decimals show them, in every reader of a rule.

Whether 0.1 + 0.2 is above 0.3 differs between spreadsheets: LibreOffice takes nearly equal numbers for equal, others
compare the last bit. So it is the rounded difference that is compared with 0, whether a number was typed or calculated.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from typing import Any

from pailbook.formula.tree import Binary, Call, Node
from pailbook.rounding import half_up

DECIMALS = 6

_HOLDS: dict[str, Callable[[Any, Any], bool]] = {
    "=": operator.eq, "<>": operator.ne, "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
}


def numbers_compare(sign: str, left: float, right: float) -> bool:
    """Whether the comparison of two numbers holds."""
    difference = left - right
    return _HOLDS[sign](half_up(difference, DECIMALS) if abs(difference) < 1 else difference, 0)


def texts_compare(sign: str, left: str, right: str) -> bool:
    """Whether two texts are the same, or not: capital and small letters are alike, as in sheets."""
    return _HOLDS[sign](left.casefold(), right.casefold())


def numbers_in_sheet(sign: str, left: Any, right: Any) -> Node:
    """The comparison of two numbers in a formula."""
    difference = left if isinstance(right, (int, float)) and right == 0 else Binary("-", left, right)
    return Binary(sign, Call("ROUND", (difference, DECIMALS)), 0)
