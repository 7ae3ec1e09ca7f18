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
from pailbook.rules.comparison import DECIMALS
from pailbook.rules.expression import UNKNOWN, Question
from pailbook.rules.faults import outside
from pailbook.rules.words import ERROR, FAULT, MISSING, NO_CHOICE, NO_NUMBER, OUTSIDE, spelt
from pailbook.terms import NOT_KNOWN

_OPPOSITE = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "<>": "="}


def clean(question: Question, cell: str, units: str = METRIC, assumed: str = "", factor: str = "") -> str:
    """Formula text of the clean cell beside an input, without the equals sign. It is never an error.

    Parameters
    ----------
    question : what the cell is asked for.
    cell : address of the cell that was typed into, or that calculates.
    units : the unit system of the sheet.
    assumed : formula text of what counts where the cell is blank.
    factor : address of the cell with which a number is multiplied to be in the question's unit.
    """
    at = Reference(cell)
    held: Any = Binary("*", at, Reference(factor)) if factor else at
    wrong = joined([spelt(f"{FAULT}{question.label} ", units), what_is_wrong(question, at)])
    made: Any = Call("IF", (in_order(question, at, units, held), held, wrong))
    if assumed or question.blank != UNKNOWN:
        made = Call("IF", (is_empty(at), read(assumed) if assumed else "", made))
    return write(made)


def clean_number(
    question: Question, cell: str, units: str = METRIC, factor: str = "", assumed: str = "", beyond: str = NOT_KNOWN
) -> str:
    """Formula text of a clean cell as short as can be: the number, rounded to DECIMALS, what is assumed where nothing
    was typed, or "not known".

    For tables of many rows, in which `row_entries.every_fault` says what is wrong, and for questions that are
    `Unusable`, which say it themselves. Parameters as for `clean`, and:

    beyond : what the cell says of a number outside the question's limits.
    """
    at = Reference(cell)
    held: Any = Binary("*", at, Reference(factor)) if factor else at
    within = conjunction(_within(question, units, held, typed=not factor))
    found = Call("IF", (within, Call("ROUND", (held, DECIMALS)), beyond))
    found = Call("IF", (is_number(at, held), found, NOT_KNOWN))
    return write(Call("IF", (Call("ISBLANK", (at,)), read(assumed) if assumed else "", found)))


def is_number(at: Any, held: Any = None) -> Any:
    """Whether a number was typed: to LibreOffice TRUE is one. `held` is its number in the question's unit."""
    numbers: Any = Call("ISNUMBER", (at,))
    if held is not None and held is not at:
        numbers = Binary("=", Call("COUNT", (at, held.right)), 2)
    return Call("AND", (numbers, Call("NOT", (Call("ISLOGICAL", (at,)),))))


def is_empty(at: Any) -> Any:
    """Whether nothing was typed; never an error."""
    return Call("IF", (Call("ISERROR", (at,)), False, Binary("=", at, "")))


def in_order(question: Question, at: Any, units: str, held: Any = None, typed: bool = False) -> Any:
    """Whether the cell holds what is asked for; never an error.

    Parameters
    ----------
    question, units : what is asked, and the unit system of the sheet.
    at : the cell.
    held : its number in the question's unit, where that is another one.
    typed : whether somebody typed the number, so that it can be compared with the limits as it is.
    """
    held = at if held is None else held
    if question.takes_text:
        return Call("IF", (Call("ISERROR", (at,)), False, Binary("<>", at, "")))
    if question.takes_choice:
        there = Binding({question.name: write(held)}, units).there(question)
        return Call("IF", (Call("ISTEXT", (at,)), there, False))
    numbers: Any = Call("ISNUMBER", (at,))
    if held is not at:
        numbers = Binary("=", Call("COUNT", (at, held.right)), 2)
    not_true = Call("NOT", (Call("ISLOGICAL", (at,)),))  # TRUE is a number to LibreOffice
    return Call("IF", (numbers, conjunction([not_true, *_within(question, units, held, typed)]), False))


def _within(question: Question, units: str, held: Any, typed: bool) -> list[Any]:
    """The conditions under which a number lies within the question's limits."""
    if typed:
        beyond = question.quantity.outside(held, units)
        if question.quantity.whole:
            beyond.append(Binary("<>", held, Call("ROUND", (held, 0))))
    else:
        binding = Binding({question.name: write(held)}, units)
        beyond = [binding.value(one) for one in outside(question, units)]
    return [Binary(_OPPOSITE[one.operator], one.left, one.right) for one in beyond]


def what_is_wrong(question: Question, at: Any) -> Any:
    """What is wrong with a cell that is not in order."""
    if question.unusable:
        return question.unusable
    own = question.no_entry
    if question.blank == UNKNOWN and own and (own == question.outside or question.takes_choice or question.takes_text):
        return Call("IF", (is_empty(at), MISSING, own))
    if question.takes_choice or question.takes_text or (own and own == question.outside):
        other: Any = own or NO_CHOICE
    else:
        if own and question.blank != UNKNOWN:
            return Call("IF", (is_number(at), question.outside, own))
        no_number = Call("OR", (Call("ISTEXT", (at,)), Call("ISLOGICAL", (at,))))
        other = Call("IF", (no_number, own or NO_NUMBER, question.outside or OUTSIDE))
    if question.blank == UNKNOWN:
        other = Call("IF", (Binary("=", at, ""), MISSING, other))
    elif own and isinstance(other, str):
        return own
    return Call("IF", (Call("ISERROR", (at,)), own or ERROR, other))
