"""What a rule is made of: questions to cells, sentences with numbers in them, and calls of our functions.

All are nodes of the formula's tree, so that operators and `pailbook.ops` work on them. A rule's body runs once, at
import, and leaves a record of these; Python, columns and formulas are three readings of that record.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pailbook import ops
from pailbook.formula.tree import Node
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.quantity import METRIC, Quantity

# What a blank makes of the rule that asks: it is not known, its rung is skipped, or the rule is not asked.
UNKNOWN, SKIPS, UNASKED = "not known", "skips", "not asked"

COMPARISONS = frozenset({"=", "<>", "<", "<=", ">", ">="})
NUMBER, TEXT, TRUTH = "a number", "a text", "a condition"


ANY_TEXT = Quantity("text", "Any text")  # of a cell that sentences name things by; nothing compares it


class BadRule(TypeError):
    """A rule is declared in a way that a sheet, Python or a reader could not follow."""


@dataclass(frozen=True, eq=False, repr=False)
class Question(Node):
    """A question to one cell: its name in the rule, what people know it as, what it may hold, what a blank means."""

    name: str
    label: str
    quantity: Quantity
    blank: str = UNKNOWN
    unusable: str = ""  # what is wrong with a cell that is not in order, in place of the usual words
    no_entry: str = ""  # the same, where the cell holds something, but no number or none of the choices
    outside: str = ""  # the same, where its number is outside its limits

    @property
    def takes_choice(self) -> bool:
        """Whether its cell holds one of its choices; otherwise it holds a number, or any text."""
        return bool(self.quantity.choices)

    @property
    def takes_text(self) -> bool:
        """Whether its cell holds any text."""
        return self.quantity is ANY_TEXT


@dataclass(frozen=True, eq=False, repr=False)
class Say(Node):
    """Texts, numbers and choices put one behind the other."""

    parts: tuple[Any, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Shown(Node):
    """A number in a sentence, rounded to so many decimals, in US units to so many."""

    value: Any
    digits: int
    us_digits: int

    def digits_in(self, units: str) -> int:
        """The decimals in that unit system."""
        return self.digits if units == METRIC else self.us_digits


@dataclass(frozen=True, eq=False, repr=False)
class Dated(Node):
    """A date in a sentence, as year-month-day."""

    value: Any


@dataclass(frozen=True, eq=False, repr=False)
class ByUnits(Node):
    """A number or text that differs between the unit systems."""

    metric: Any
    us: Any

    def of(self, units: str) -> Any:
        """The one of that unit system."""
        return self.metric if units == METRIC else self.us


@dataclass(frozen=True, eq=False, repr=False)
class IsBlank(Node):
    """Whether nothing was typed where a question may be left blank; what is not in order is not blank."""

    question: Question


@dataclass(frozen=True, eq=False, repr=False)
class Needs(Node):
    """A condition that never holds; what it asks must be in order all the same."""

    questions: tuple[Question, ...]


@dataclass(frozen=True, eq=False, repr=False)
class IfKnown(Node):
    """The condition of a rung that is passed over where something that it compares is not known."""

    condition: Any


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


def shown(value: Any, digits: int, us: int | None = None) -> Shown:
    """A number in a sentence, with 0 to 4 decimals; "?" where a cell that it needs holds none.

    us : the decimals in US units, where the size of the number differs.
    """
    for count in (digits, us or 0):
        if not 0 <= count <= 4:  # smaller numbers are written in other ways by other programs
            raise BadRule(f"a number in a sentence has 0 to 4 decimals, not {count}")
    return Shown(value, digits, digits if us is None else us)


def dated(value: Any) -> Dated:
    """A date in a sentence, as year-month-day; "?" where a cell that it needs holds none."""
    return Dated(value)


def unit_of(question: Any) -> ByUnits:
    """The unit of a question's number, for a sentence."""
    _check_question(question)
    return ByUnits(question.quantity.unit, question.quantity.unit_in("us"))


def fixed(value: float, question: Any) -> ByUnits:
    """A metric number that stands in the rule itself, in the units of the question that it is compared with."""
    _check_question(question)
    return ByUnits(float(value), float(f"{question.quantity.from_metric(float(value), 'us'):.10g}"))


def by_units(metric: Any, us: Any) -> ByUnits:
    """A number or text that differs between the unit systems, such as the litres of a unit of volume."""
    return ByUnits(metric, us)


def is_blank(question: Any) -> IsBlank:
    """Whether nothing was typed; of a question that skips its rungs where it is blank.

    Raises
    ------
    BadRule
        When a blank means something else to the question.
    """
    if not isinstance(question, Question) or question.blank != SKIPS:
        raise BadRule("is_blank(...) takes a question that `skips`")
    return IsBlank(question)


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

    It is false where there is no entry. The call must take texts alone: a number could be outside its limits, and the
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
