"""The record of a rule calculated in plain Python, as a sheet calculates it."""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Mapping
from typing import Any

from pailbook.formula.tree import ArrayConstant, Binary, Call, Negative
from pailbook.hosts.call import call
from pailbook.outcomes import NotInTable, NotPossible, Outcome
from pailbook.quantity import US
from pailbook.rounding import half_up
from pailbook.rules.comparison import DECIMALS, numbers_compare, texts_compare
from pailbook.rules.expression import COMPARISONS, ByUnits, IsBlank, Listed, Needs, Ours, Question

NO_ANSWER = (Outcome, ArithmeticError, ValueError)  # what working out a record may raise

_ARITHMETIC: dict[str, Callable[[Any, Any], Any]] = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv, "^": operator.pow,
}
_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "MIN": min, "MAX": max, "ABS": abs, "ROUND": half_up, "INT": lambda x: math.floor(half_up(x, DECIMALS)),
    "EXP": math.exp, "LN": math.log, "LOG10": math.log10, "SQRT": math.sqrt,
    "AND": lambda *truths: all(truths), "OR": lambda *truths: any(truths), "NOT": operator.not_,
}


class Evaluation:
    """A record calculated on the values of questions, which must be in order."""

    def __init__(self, values: Mapping[str, Any], units: str) -> None:
        self.values, self.units = values, units

    def value(self, node: Any) -> Any:
        """The node's number, text or truth. Raises one of NO_ANSWER where a sheet would show an error."""
        if isinstance(node, Question):
            return self.values[node.name]
        if isinstance(node, Binary):
            return self._binary(node)
        if isinstance(node, Negative):
            return -self.value(node.operand)
        if isinstance(node, Call):
            return self._call(node)
        if isinstance(node, ByUnits):
            return node.of(self.units)
        if isinstance(node, Ours):
            return self._ours(node)
        if isinstance(node, IsBlank):
            return self.values[node.question.name] is None
        if isinstance(node, Needs):
            return False
        if isinstance(node, Listed):
            try:
                return self.value(node.condition)
            except Outcome:  # its call takes texts alone: there is no entry for them
                return False
        return node

    def _binary(self, node: Binary) -> Any:
        left, right = self.value(node.left), self.value(node.right)
        if node.operator in COMPARISONS:
            compare = texts_compare if isinstance(left, str) else numbers_compare
            return compare(node.operator, left, right)
        result = _ARITHMETIC[node.operator](float(left), float(right))
        if isinstance(result, complex) or not math.isfinite(result):
            raise NotPossible("these values have no finite answer")
        return result

    def _call(self, node: Call) -> Any:
        if node.name == "IF":
            return self.value(node.arguments[1 if self.value(node.arguments[0]) else 2])
        if node.name == "INDEX":
            return self._entry(*node.arguments)
        return _FUNCTIONS[node.name](*map(self.value, node.arguments))

    def _entry(self, table: ArrayConstant, row: int, match: Call) -> Any:
        """An entry of ops.pick."""
        key, keys = match.arguments[:2]
        sought = str(self.value(key)).casefold()
        for name, entry in zip(keys.items, table.items):
            if name.casefold() == sought:
                return entry
        raise NotInTable(f"the table has no entry for {sought}")

    def _ours(self, node: Ours) -> Any:
        given = list(map(self.value, node.arguments))
        if node.function.has_units and self.units == US:
            given += [None] * (len(node.function.arguments) - len(given)) + [US]
        return call(node.function, given)
