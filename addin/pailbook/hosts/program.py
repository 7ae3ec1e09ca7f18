"""A formula's text read by `formulas` and made into a short program for a stack.

`formulas` has the grammar and the sheet functions. Its own way of running a formula turns what is left out into 0
and drops cells silently, so formulas are run here.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from formulas.parser import Parser
from formulas.ranges import Ranges
from formulas.tokens.function import Function, Lambda
from formulas.tokens.operand import Empty, Error, Operand, Range
from formulas.tokens.operator import Operator

from pailbook.function import CATALOGUE
from pailbook.hosts.references import PLACEHOLDER, Unreadable
from pailbook.hosts.sheet_functions import GIVE_RANGES, TAKE_ARRAYS, function_of, operator_of
from pailbook.outcomes import NAME

LEFT_OUT = object()  # an argument of one of our functions that is not there: F(1,,2)

_INPUT = re.compile(PLACEHOLDER + r"(\d+)")


class Step(NamedTuple):
    """What a program does next: put an operand on the stack, or put there what a function makes of those on top."""

    kind: str  # "constant", "input" (by its number), "call", or "call here" (the function wants the formula's cell)
    what: Any
    takes: int = 0  # arguments of the function
    one_by_one: bool = False  # the function must not spread over a range's cells, unless in an array formula


@dataclass(frozen=True)
class Program:
    """A formula, ready to be run."""

    steps: tuple[Step, ...]

    def run(self, inputs: Sequence[Any], here: Any) -> tuple[Any, bool]:
        """The value for ranges of the engine in place of the placeholders; `here` is the formula's own cell.

        Returns
        -------
        value, spread
            An array of objects or a single value, of the engine; and whether something was computed for each cell
            of a range, which sheets do in an array formula alone.
        """
        stack: list[Any] = []
        spread = False
        for kind, what, takes, one_by_one in self.steps:
            if kind == "constant":
                stack.append(what)
            elif kind == "input":
                stack.append(inputs[what])
            else:
                arguments = stack[len(stack) - takes:]
                del stack[len(stack) - takes:]
                result = what(here, *arguments) if kind == "call here" else what(*arguments)
                if one_by_one and getattr(result, "size", 1) > 1:
                    spread = spread or any(isinstance(a, Ranges) and a.value.size > 1 for a in arguments)
                stack.append(result)
        value = stack.pop()
        return value.value if isinstance(value, Ranges) else value, spread


@functools.lru_cache(maxsize=4096)
def read(text: str) -> Program:
    """The program of a formula whose references are placeholders.

    Raises
    ------
    Unreadable
        When it is not a formula.
    """
    try:
        return Program(tuple(_parser.ast(text)[1].steps))
    except Unreadable:
        raise
    except Exception as reason:  # an error in the library's parser costs one cell, not the workbook
        raise Unreadable("it cannot be read as a formula") from reason


class _Builder:
    """Takes the tokens in the order in which `formulas` hands them over, which is that of a stack."""

    def __init__(self, match: Any = None) -> None:
        self.match = match
        self.steps: list[Step] = []
        self._stack: list[tuple[Any, int]] = []  # an operand's token and the first of its steps

    def append(self, token: Any) -> None:
        if isinstance(token, Operand):
            self._stack.append((token, len(self.steps)))
            self.steps.append(_operand(token))
            return
        count = token.get_n_args
        if len(self._stack) < count:
            raise Unreadable(f"an operand is missing beside {token.name}")
        operands = self._stack[len(self._stack) - count:]
        del self._stack[len(self._stack) - count:]
        token.update_input_tokens(*(operand for operand, _ in operands))
        start = operands[0][1] if operands else len(self.steps)
        name = token.name.upper() if isinstance(token, Function) else ""
        if name in CATALOGUE:
            for operand, step in operands:
                if isinstance(operand, Empty):
                    self.steps[step] = Step("constant", LEFT_OUT)
        if name in TAKE_ARRAYS:
            self.steps[start:] = [step._replace(one_by_one=False) for step in self.steps[start:]]
        self.steps.append(_call(token, count))
        self._stack.append((token, start))

    def __len__(self) -> int:
        return len(self._stack)

    def finish(self) -> None:
        """Nothing is left to do."""


class _Parser(Parser):  # type: ignore[misc]
    ast_builder = _Builder


_parser = _Parser(is_cell=True)


def _operand(token: Any) -> Step:
    if isinstance(token, Range):
        if match := _INPUT.fullmatch(token.name):
            return Step("input", int(match[1]))
        return Step("constant", Error.errors[NAME])  # the name of an unknown function
    return Step("constant", token.compile())


def _call(token: Any, count: int) -> Step:
    if isinstance(token, Lambda) or token.attr.get("func_token"):
        return Step("call", token.compile(), count)
    name = token.name.upper()
    if isinstance(token, Operator):
        return Step("call", operator_of(name, token.attr.get("sum_minus", "")), count, name not in GIVE_RANGES)
    function, wants_cell = function_of(name)
    one_by_one = name not in CATALOGUE and name not in GIVE_RANGES
    return Step("call here" if wants_cell else "call", function, count, one_by_one)
