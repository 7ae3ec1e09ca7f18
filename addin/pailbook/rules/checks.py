"""What is refused when a rule is declared, so that no user ever meets it."""

from __future__ import annotations

from typing import Any

from pailbook.formula.tree import ArrayConstant, Binary, Call, Negative
from pailbook.quantity import Quantity
from pailbook.rules.expression import (
    COMPARISONS,
    NUMBER,
    TEXT,
    TRUTH,
    BadRule,
    ByUnits,
    Dated,
    Listed,
    Ours,
    Question,
    Say,
    Shown,
)
from pailbook.rules.record import can_fail, parts_of, sort_of, walk

# The sheet functions that all readers of a rule know, and of what they are made.
_OF_NUMBERS = frozenset({"MIN", "MAX", "ABS", "INT", "ROUND", "EXP", "LN", "LOG10", "SQRT"})
_OF_CONDITIONS = frozenset({"AND", "OR", "NOT"})


def check_quantity(label: str, quantity: Quantity) -> None:
    """BadRule for what a question cannot ask for."""
    if quantity.flag or quantity.series or quantity.grade or (quantity.choices and quantity.takes_number):
        raise BadRule(f"{label}: a rule asks for one number, or for one of its choices; a truth value, a range, or a "
                      f"number beside choices is neither")


def check(node: Any, sort: str) -> None:
    """BadRule where the node is not of that sort, or something in it cannot be read in Python and in a sheet alike."""
    if sort_of(node) != sort:
        raise BadRule(f"{_named(node)} stands where {sort} belongs")
    if isinstance(node, Binary):
        (_check_comparison if node.operator in COMPARISONS else _check_arithmetic)(node)
    elif isinstance(node, Call):
        _check_call(node)
    elif isinstance(node, Negative):
        check(node.operand, NUMBER)
    elif isinstance(node, ByUnits):
        check(node.us, sort)
    elif isinstance(node, (Shown, Dated)):
        check(node.value, NUMBER)
    elif isinstance(node, Say):
        for part in node.parts:
            check(part, TEXT)
    elif isinstance(node, Listed):
        _check_listed(node)
    elif isinstance(node, Ours):
        for argument, given in zip(node.function.arguments, node.arguments):
            check(given, TEXT if argument.quantity.choices and not argument.quantity.takes_number else NUMBER)


def _check_arithmetic(node: Binary) -> None:
    if node.operator == "&":
        raise BadRule("texts are joined with say(...)")
    check(node.left, NUMBER)
    check(node.right, NUMBER)


def _check_comparison(node: Binary) -> None:
    sort = sort_of(node.left)
    if sort not in (NUMBER, TEXT) or sort_of(node.right) != sort:
        raise BadRule(f"{_named(node.left)} is compared with {_named(node.right)}; two numbers or two texts can be")
    check(node.left, sort)
    check(node.right, sort)
    if sort == TEXT and node.operator not in ("=", "<>"):
        raise BadRule("of two texts neither is the larger one: only == and != can be asked")
    for question, constant in ((node.left, node.right), (node.right, node.left)):
        if not isinstance(question, Question):
            continue
        if isinstance(constant, str):
            if constant.casefold() not in (choice.casefold() for choice in question.quantity.choices):
                raise BadRule(f"{question.label}: {constant!r} is none of its choices")
        elif isinstance(constant, (int, float)) and question.quantity.converts and (
            constant != 0 or question.quantity.us_offset
        ):
            raise BadRule(f"{question.label} has another unit in US sheets: compare it with fixed({constant:g}, ...)")


def _check_call(node: Call) -> None:
    if node.name == "IF":
        condition, then, otherwise = node.arguments
        check(condition, TRUTH)
        check(then, sort_of(then) or NUMBER)
        check(otherwise, sort_of(then))
    elif node.name in _OF_CONDITIONS:
        for argument in node.arguments:
            check(argument, TRUTH)
    elif node.name == "INDEX" and isinstance(node.arguments[0], ArrayConstant):  # an entry of ops.pick
        check(node.arguments[2].arguments[0], TEXT)
    elif node.name in _OF_NUMBERS:
        for argument in node.arguments:
            check(argument, NUMBER)
    else:
        raise BadRule(f"a rule cannot use {node.name}")


def _check_listed(node: Listed) -> None:
    check(node.condition, TRUTH)
    calls = [one for one in walk(node.condition) if isinstance(one, Ours)]
    if not isinstance(node.condition, Binary) or not calls:
        raise BadRule("listed(...) takes one comparison with a call of ours")
    for call in calls:
        if any(sort_of(argument) != TEXT for argument in call.arguments):
            raise BadRule(f"listed(...): {call.function.name} takes a number here, whose error would look like an "
                          f"entry that is not there")
    if _fails_besides(node.condition):
        raise BadRule("listed(...): only the call itself may have no answer")


def _fails_besides(node: Any) -> bool:
    """Whether something but a call of ours can have no answer."""
    if isinstance(node, Ours):
        return False
    parts = parts_of(node)
    return any(map(_fails_besides, parts)) if any(isinstance(one, Ours) for one in walk(node)) else can_fail(node)


def _named(node: Any) -> str:
    if isinstance(node, Question):
        return f"{node.label!r}, {sort_of(node)}"
    return repr(node) if isinstance(node, (str, int, float)) else sort_of(node) or f"{type(node).__name__}, of no use,"
