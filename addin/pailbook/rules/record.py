"""Looking at the record of a rule: what it is made of, which questions it asks, what sort of value it has."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pailbook.formula.tree import Binary, Call, Negative
from pailbook.rules.expression import (
    COMPARISONS,
    NUMBER,
    TEXT,
    TRUTH,
    ByUnits,
    Dated,
    IsBlank,
    Listed,
    Needs,
    Ours,
    Question,
    Say,
    Shown,
)


def parts_of(node: Any) -> tuple[Any, ...]:
    """What a node is made of."""
    if isinstance(node, Binary):
        return node.left, node.right
    if isinstance(node, (Call, Ours)):
        return node.arguments
    if isinstance(node, Negative):
        return (node.operand,)
    if isinstance(node, (Shown, Dated)):
        return (node.value,)
    if isinstance(node, Say):
        return node.parts
    if isinstance(node, Listed):
        return (node.condition,)
    if isinstance(node, IsBlank):
        return (node.question,)
    return node.questions if isinstance(node, Needs) else ()


def walk(node: Any) -> Iterator[Any]:
    """The node and all that it is made of."""
    yield node
    for part in parts_of(node):
        yield from walk(part)


def questions_in(*nodes: Any) -> dict[str, Question]:
    """The questions in them, by name, in their order."""
    return {one.name: one for node in nodes for one in walk(node) if isinstance(one, Question)}


def compared_in(*nodes: Any) -> dict[str, Question]:
    """The questions whose numbers or choices they use; not those of which they only ask whether they are blank."""
    found: dict[str, Question] = {}
    for node in nodes:
        if isinstance(node, Question):
            found.setdefault(node.name, node)
        elif not isinstance(node, IsBlank):
            found |= compared_in(*parts_of(node))
    return found


def sort_of(node: Any) -> str:
    """Whether a node is a number, a text or a condition; an empty text for what is none of them."""
    if isinstance(node, (bool, Listed, IsBlank, Needs)):
        return TRUTH
    if isinstance(node, (int, float, Negative)):
        return NUMBER
    if isinstance(node, (str, Say, Shown, Dated)):
        return TEXT
    if isinstance(node, Question):
        return TEXT if node.takes_choice or node.takes_text else NUMBER
    if isinstance(node, ByUnits):
        return sort_of(node.metric)
    if isinstance(node, Ours):
        return TEXT if node.function.result.choices else NUMBER
    if isinstance(node, Binary):
        return TRUTH if node.operator in COMPARISONS else NUMBER
    if isinstance(node, Call):
        if node.name == "IF":
            return sort_of(node.arguments[1])
        return TRUTH if node.name in ("AND", "OR", "NOT") else NUMBER
    return ""


def can_fail(node: Any) -> bool:
    """Whether it can have no answer though all that it asks for is in order."""
    if isinstance(node, Listed):
        return False
    if isinstance(node, Binary) and node.operator in "/^":
        power = node.right
        harmless = isinstance(power, (int, float)) and power > 0 and (node.operator == "/" or float(power).is_integer())
        return not harmless or can_fail(node.left)
    fails = isinstance(node, Call) and node.name in ("EXP", "LN", "LOG10", "SQRT", "INDEX")
    if fails or isinstance(node, (Ours, Dated)):
        return True
    return any(map(can_fail, parts_of(node)))
