"""The clean cell beside an input: the number or choice that was typed, or "? " and what is wrong with it.

Rules read clean cells only, never what was typed. One of them serves all rules that ask the same question.
"""

from __future__ import annotations

from typing import Any

from pailbook.formula.arguments import read
from pailbook.formula.tree import Binary, Call, Reference
from pailbook.formula.write import write
from pailbook.quantity import METRIC
from pailbook.rules.binding import Binding, conjunction, joined
from pailbook.rules.expression import UNKNOWN, Question
from pailbook.rules.faults import outside
from pailbook.rules.words import ERROR, FAULT, MISSING, NO_CHOICE, NO_NUMBER, OUTSIDE, spelt


def clean(question: Question, cell: str, units: str = METRIC, assumed: str = "") -> str:
    """Formula text of the clean cell beside an input, without the equals sign. It is never an error.

    Parameters
    ----------
    question : what the cell is asked for.
    cell : address of the cell that was typed into, or that calculates.
    units : the unit system of the sheet.
    assumed : formula text of what counts where the cell is blank.
    """
    at = Reference(cell)
    wrong = joined([spelt(f"{FAULT}{question.label} ", units), _what_is_wrong(question, at)])
    made: Any = Call("IF", (_in_order(question, at, cell, units), at, wrong))
    if assumed or question.blank != UNKNOWN:
        blank = Call("IF", (Call("ISERROR", (at,)), False, Binary("=", at, "")))
        made = Call("IF", (blank, read(assumed) if assumed else "", made))
    return write(made)


def _in_order(question: Question, at: Any, cell: str, units: str) -> Any:
    """Whether the cell holds what is asked for; never an error."""
    binding = Binding({question.name: cell}, units)
    if question.takes_choice:
        return Call("IF", (Call("ISTEXT", (at,)), binding.there(question), False))
    kept = [Call("NOT", (binding.value(condition),)) for condition in outside(question, units)]
    number = conjunction([Call("NOT", (Call("ISLOGICAL", (at,)),)), *kept])  # TRUE is a number to LibreOffice
    return Call("IF", (Call("ISNUMBER", (at,)), number, False))


def _what_is_wrong(question: Question, at: Any) -> Any:
    """What is wrong with a cell that is not in order."""
    if question.unusable:
        return question.unusable
    if question.takes_choice:
        other: Any = NO_CHOICE
    else:
        no_number = Call("OR", (Call("ISTEXT", (at,)), Call("ISLOGICAL", (at,))))
        other = Call("IF", (no_number, NO_NUMBER, OUTSIDE))
    return Call("IF", (Call("ISERROR", (at,)), ERROR, Call("IF", (Binary("=", at, ""), MISSING, other))))
