"""Writing a recorded calculation as formula text that every spreadsheet reads the same way.

In a sheet unary minus binds tighter than ^, and ^ is left-associative: powers within powers, and a minus at a
power, are put in parentheses. The right side at an equal level keeps its parentheses, so that the order of
evaluation stays Python's. Numbers have up to 15 digits; exponents are written 1E+3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from pailbook.formula.tree import ArrayConstant, Binary, Call, Negative, Node, NotTraceable, Reference

# Limits of spreadsheets.
LONGEST_FORMULA = 8192  # characters
DEEPEST_FORMULA = 64  # functions within functions

_COMPARE, _JOIN, _SUM, _PRODUCT, _POWER, _MINUS, ATOM = range(1, 8)
_LEVELS = {
    "=": _COMPARE, "<>": _COMPARE, "<": _COMPARE, "<=": _COMPARE, ">": _COMPARE, ">=": _COMPARE,
    "&": _JOIN, "+": _SUM, "-": _SUM, "*": _PRODUCT, "/": _PRODUCT, "^": _POWER,
}


@dataclass(frozen=True, eq=False)
class Written(Node):
    """A part whose text is known already, with the level at which it binds and how deep its functions go."""

    text: str
    level: int = ATOM
    functions: int = 0


def write(node: Any) -> str:
    """The formula's text, without the leading equals sign.

    Raises
    ------
    NotTraceable
        When it would be longer or deeper than spreadsheets allow.
    """
    try:
        text, levels = _write(node)[0], depth(node)
    except RecursionError:
        raise NotTraceable("the formula would have too many operations within operations") from None
    if levels > DEEPEST_FORMULA:
        raise NotTraceable(f"the formula would have {levels} functions within functions; {DEEPEST_FORMULA} are allowed")
    return text


def depth(node: Any) -> int:
    """How many sheet functions stand within each other."""
    if isinstance(node, Written):
        return node.functions
    if isinstance(node, Call):
        return 1 + max(map(depth, node.arguments), default=0)
    if isinstance(node, Binary):
        return max(depth(node.left), depth(node.right))
    return depth(node.operand) if isinstance(node, Negative) else 0


def _write(node: Any) -> tuple[str, int]:
    """The text and the level at which it binds.

    It stops at the first part that is too long: what is shared in the record is written again wherever it is used, so
    that a few steps of an iteration would already fill all memory.
    """
    text, level = text_of(node)
    if len(text) > LONGEST_FORMULA:
        raise NotTraceable(f"the formula would have more than the {LONGEST_FORMULA} characters that are allowed")
    return text, level


def text_of(node: Any) -> tuple[str, int]:
    """The text of a node and the level at which it binds."""
    if isinstance(node, Written):
        return node.text, node.level
    if isinstance(node, Reference):
        return node.text, ATOM if node.atom else 0
    if isinstance(node, Call):
        return f"{node.name}({','.join(_write(argument)[0] for argument in node.arguments)})", ATOM
    if isinstance(node, ArrayConstant):
        return "{" + ",".join(_write(item)[0] for item in node.items) + "}", ATOM
    if isinstance(node, Negative):
        return "-" + _within(node.operand, ATOM), _MINUS
    if isinstance(node, Binary):
        level = _LEVELS[node.operator]
        left = _within(node.left, ATOM if level == _POWER else level)
        right = _within(node.right, ATOM if level == _POWER else level + 1, right=True)
        return f"{left}{node.operator}{right}", level
    if isinstance(node, bool):
        return ("TRUE" if node else "FALSE"), ATOM
    if isinstance(node, (int, float)):
        return number(node), ATOM if node >= 0 else _MINUS
    if isinstance(node, str):
        return '"' + node.replace('"', '""') + '"', ATOM
    raise NotTraceable(f"a formula cannot hold {node!r}")


def _within(node: Any, least: int, right: bool = False) -> str:
    text, level = _write(node)
    if level < least or (right and text.startswith("-")):
        return f"({text})"
    return text


def number(value: float) -> str:
    """A number as formulas hold it: up to 15 digits, a dot, an exponent with its sign and at least one digit."""
    if not math.isfinite(value):
        raise NotTraceable(f"a formula cannot hold {value!r}")
    text = f"{value:.15g}"
    if "e" in text:
        mantissa, _, exponent = text.partition("e")
        text = f"{mantissa}E{int(exponent):+d}"
    return text
