"""What a rule is made of: questions to cells, sentences with numbers in them, and calls of our functions.

All are nodes of the formula's tree, so that operators and `pailbook.ops` work on them. A rule's body runs once, at
import, and leaves a record of these; Python, columns and formulas are three readings of that record.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pailbook import ops
from pailbook.formula.tree import Binary, Call, Negative, Node
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.quantity import METRIC, Quantity

# What a blank makes of the rule that asks: it is not known, its rung is skipped, or the rule is not asked.
UNKNOWN, SKIPS, UNASKED = "not known", "skips", "not asked"

COMPARISONS = frozenset({"=", "<>", "<", "<=", ">", ">="})
NUMBER, TEXT, TRUTH = "a number", "a text", "a condition"


class BadRule(TypeError):
    """A rule is declared in a way that a sheet, Python or a reader could not follow."""


@dataclass(frozen=True, eq=False, repr=False)
class Question(Node):
    """A question to one cell: its name in the rule, what people know it as, what it may hold, what a blank means."""

    name: str
    label: str
    quantity: Quantity
    blank: str = UNKNOWN

    @property
    def takes_choice(self) -> bool:
        """Whether its cell holds one of its choices; otherwise it holds a number."""
        return bool(self.quantity.choices)


@dataclass(frozen=True, eq=False, repr=False)
class Say(Node):
    """Texts, numbers and choices put one behind the other."""

    parts: tuple[Any, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Shown(Node):
    """A number in a sentence, rounded to so many decimals."""

    value: Any
    digits: int


@dataclass(frozen=True, eq=False, repr=False)
class ByUnits(Node):
    """A number or text that differs between the unit systems."""

    metric: Any
    us: Any

    def of(self, units: str) -> Any:
        """The one of that unit system."""
        return self.metric if units == METRIC else self.us


@dataclass(frozen=True, eq=False, repr=False)
class Ours(Node):
    """A call of one of our functions, in the units of the sheet."""

    function: WorksheetFunction
    arguments: tuple[Any, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Listed(Node):
    """A comparison with an entry of a table: false where the table has none."""

    condition: Any


def say(*parts: Any) -> Say:
    """A sentence of texts, of numbers (through `shown`) and of questions that have choices."""
    return Say(parts)


def shown(value: Any, digits: int) -> Shown:
    """A number in a sentence, with 0 to 4 decimals; "?" where a cell that it needs holds none."""
    if not 0 <= digits <= 4:  # smaller numbers are written in other ways by other programs
        raise BadRule(f"a number in a sentence has 0 to 4 decimals, not {digits}")
    return Shown(value, digits)


def unit_of(question: Any) -> ByUnits:
    """The unit of a question's number, for a sentence."""
    _check_question(question)
    return ByUnits(question.quantity.unit, question.quantity.unit_in("us"))


def fixed(value: float, question: Any) -> ByUnits:
    """A metric number that stands in the rule itself, in the units of the question that it is compared with."""
    _check_question(question)
    return ByUnits(float(value), float(f"{question.quantity.from_metric(float(value), 'us'):.10g}"))


def _check_question(node: Any) -> None:
    if not isinstance(node, Question):
        raise BadRule("a unit is that of a question, not of what is calculated from several")


def ours(name: str, *arguments: Any) -> Ours:
    """A call of the catalogue's function of that name; numbers are in the units of the sheet.

    Raises
    ------
    BadRule
        When there is no such function, it takes ranges, or the number of arguments does not fit.
    """
    function = CATALOGUE.get(name)
    if function is None:
        raise BadRule(f"there is no function {name}")
    required = sum(argument.required for argument in function.arguments)
    if not required <= len(arguments) <= len(function.arguments):
        raise BadRule(f"{function.signature} takes {required} to {len(function.arguments)} arguments in a rule, "
                      f"not {len(arguments)}")
    if any(argument.quantity.series for argument in function.arguments[:len(arguments)]):
        raise BadRule(f"{name} takes a range, which a rule cannot give")
    return Ours(function, arguments)


def listed(condition: Any) -> Listed:
    """A comparison with an entry that a table of ours may not have: `listed(coldest < ours("SPECIES_LIMIT", ...))`.

    It is false where there is no entry. The call must take texts alone: a number could be out of its limits, and the
    error would look like an entry that is not there.
    """
    return Listed(condition)


def first_that_suffices(
    candidates: Sequence[Any], suffices: Callable[[Any], Any], words: Callable[[Any], Any], otherwise: Any
) -> Any:
    """The words of the first candidate that suffices: a remedy found by calculating again with a change.

    Parameters
    ----------
    candidates : plain values, the mildest first.
    suffices : the condition for a candidate, such as lambda share: ours(..., load * share, ...) >= limit.
    words : what to say of a candidate.
    otherwise : what to say where none suffices.
    """
    for candidate in reversed(candidates):
        otherwise = ops.where(suffices(candidate), words(candidate), otherwise)
    return otherwise


# Looking at a record ------------------------------------------------------------------------------------


def parts_of(node: Any) -> tuple[Any, ...]:
    """What a node is made of."""
    if isinstance(node, Binary):
        return node.left, node.right
    if isinstance(node, (Call, Ours)):
        return node.arguments
    if isinstance(node, Negative):
        return (node.operand,)
    if isinstance(node, Shown):
        return (node.value,)
    if isinstance(node, Say):
        return node.parts
    if isinstance(node, Listed):
        return (node.condition,)
    return ()


def walk(node: Any) -> Iterator[Any]:
    """The node and all that it is made of."""
    yield node
    for part in parts_of(node):
        yield from walk(part)


def questions_in(*nodes: Any) -> dict[str, Question]:
    """The questions in them, by name, in their order."""
    return {one.name: one for node in nodes for one in walk(node) if isinstance(one, Question)}


def sort_of(node: Any) -> str:
    """Whether a node is a number, a text or a condition; an empty text for what is none of them."""
    if isinstance(node, (bool, Listed)):
        return TRUTH
    if isinstance(node, (int, float, Negative)):
        return NUMBER
    if isinstance(node, (str, Say, Shown)):
        return TEXT
    if isinstance(node, Question):
        return TEXT if node.takes_choice else NUMBER
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
    if isinstance(node, Ours) or (isinstance(node, Call) and node.name in ("EXP", "LN", "LOG10", "SQRT", "INDEX")):
        return True
    return any(map(can_fail, parts_of(node)))

