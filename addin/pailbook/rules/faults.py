"""What is wrong with what a cell holds: the same words in Python, in columns and in formulas."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

from pailbook import ops
from pailbook.hosts.cells import ErrorValue, as_cell_value
from pailbook.outcomes import Outcome
from pailbook.quantity import UNIT_SYSTEMS, US
from pailbook.rules.evaluation import Evaluation
from pailbook.rules.expression import UNKNOWN, BadRule, Question
from pailbook.rules.words import ERROR, MISSING, NO_CHOICE, NO_NUMBER, OUTSIDE, spelt
from pailbook.terms import international


@dataclass(frozen=True)
class NotInOrder:
    """A value that is not known and says why in full, as a clean cell does behind "? "."""

    complaint: str


def check_units(units: str) -> None:
    """BadRule for a unit system that there is not."""
    if units not in UNIT_SYSTEMS:
        raise BadRule(f"units is {units!r}; expected {' or '.join(UNIT_SYSTEMS)}")


@functools.cache
def outside(question: Question, units: str) -> tuple[Any, ...]:
    """The conditions under which a question's number is outside its limits, or not whole where it must be."""
    conditions = question.quantity.outside(question, units)
    if question.quantity.whole:
        conditions.append(question != ops.round_to(question, 0))
    return tuple(conditions)


def held(value: Any) -> Any:
    """A Python value as a cell holds it: None (blank), float, str, bool or ErrorValue; dates are serial numbers."""
    if isinstance(value, NotInOrder):
        return value
    if isinstance(value, Outcome):
        return ErrorValue(value.code)
    if value is None or type(value).__name__ in ("NAType", "NaTType") or value == "":
        return None
    if isinstance(value, float) and value != value:
        return None
    try:
        return as_cell_value(value)
    except ValueError:  # an infinite number, a list
        return str(value)


def read(question: Question, value: Any, units: str) -> Any:
    """What a question's cell holds, as `held`; a choice in US spelling as its quantity spells it."""
    found = held(value)
    return international(found) if units == US and question.takes_choice and isinstance(found, str) else found


def fault(question: Question, value: Any, units: str) -> str:
    """What is wrong with a cell's value; an empty text where nothing is, or where a blank is allowed."""
    wrong = _fault(question, value, units)
    if not wrong or question.unusable:
        return question.unusable if wrong else ""
    own = {MISSING: "", OUTSIDE: question.outside}.get(wrong, question.no_entry)
    return own or wrong


def complaint(question: Question, value: Any, units: str) -> str:
    """What is not known, with its label: "pH is no number"; an empty text where the value is in order."""
    wrong = fault(question, value, units)
    if wrong and isinstance(value, NotInOrder):
        return value.complaint
    return spelt(f"{question.label} {wrong}", units) if wrong else ""


def _fault(question: Question, value: Any, units: str) -> str:
    if value is None:
        return MISSING if question.blank == UNKNOWN else ""
    if isinstance(value, (ErrorValue, NotInOrder)):
        return ERROR
    if question.takes_text:
        return ""
    if question.takes_choice:
        known = isinstance(value, str) and value.casefold() in _folded(question)
        return "" if known else NO_CHOICE
    if isinstance(value, (bool, str)):
        return NO_NUMBER
    cell = Evaluation({question.name: value}, units)
    return OUTSIDE if any(map(cell.value, outside(question, units))) else ""


@functools.cache
def _folded(question: Question) -> frozenset[str]:
    return frozenset(choice.casefold() for choice in question.quantity.choices)
