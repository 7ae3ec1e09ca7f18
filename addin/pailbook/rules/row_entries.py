"""One cell that stands for several entries of a row: 1 where all are in order, else "? " and what is wrong.

Where a row's rules need all its entries before anything else, this one cell takes the place of a clean cell for each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pailbook.formula.arguments import read
from pailbook.formula.tree import Binary, Call
from pailbook.formula.write import write
from pailbook.quantity import METRIC
from pailbook.rules.binding import Binding, joined
from pailbook.rules.clean_cell import in_order, is_empty, is_number, what_is_wrong
from pailbook.rules.declaration import Rule
from pailbook.rules.expression import UNKNOWN, Question
from pailbook.rules.words import BEFORE_REASON, FAULT, spelt
from pailbook.terms import NOT_KNOWN

BETWEEN, NO_FAULT = ", ", "?"  # of the faults of one row
_LONGEST = 999


@dataclass(frozen=True)
class Entries:
    """Entries of a row that one cell stands for.

    cell : its address.
    names : the questions whose cells it stands for: what was typed.
    """

    cell: str
    names: frozenset[str] = field(default_factory=frozenset)


def is_usable(question: Question, cell: str, units: str = METRIC) -> str:
    """Formula text for whether an entry is there and in order; never an error."""
    return write(in_order(question, read(cell), units, typed=True))


def first_fault(
    questions: Sequence[Question], where: Mapping[str, str], units: str = METRIC,
    lists: Mapping[str, str] | None = None,
) -> str:
    """Formula text: 1 where all these entries are in order, else "? " and what is wrong with the first that is not.

    Parameters
    ----------
    questions : what is asked of the entries, in the order in which they are looked at.
    where : the address of what was typed for each, by name.
    units : the unit system of the sheet.
    lists : by name, the range of which an entry must be one.
    """
    lists = lists or {}
    found: Any = 1
    for one in reversed(questions):
        at: Any = read(where[one.name])
        kept: Any = in_order(one, at, units, typed=True)
        if one.name in lists:
            kept = Call("ISNUMBER", (Call("MATCH", (at, read(lists[one.name]), 0)),))
        wrong = joined([spelt(f"{FAULT}{one.label} ", units), what_is_wrong(one, at)])
        if one.blank == UNKNOWN:
            found = Call("IF", (kept, found, wrong))
        else:
            found = Call("IF", (Call("IF", (is_empty(at), True, kept)), found, wrong))
    return write(found)


def every_fault(
    rule: Rule, where: Mapping[str, str], units: str = METRIC, *, typed: Mapping[str, str] | None = None,
    together: Sequence[Entries] = (), sentences: Mapping[str, str] | None = None, beyond: str = "",
) -> str:
    """Formula text for all that is wrong with what a rule asks, with commas between; NO_FAULT where nothing is.

    Parameters
    ----------
    rule : its questions, in the order in which they are named.
    where : the address of the clean cell of each question, by name.
    units : the unit system of the sheet.
    typed : by name, where something was typed; that is where what is wrong is looked for, as clean cells need not say
        it. A question that has no other cell has no clean one.
    together : questions for which one cell stands, as `first_fault` makes it.
    sentences : by what is said of a question, the cells that hold it, so that many rows need not repeat it.
    beyond : what clean cells say of a number outside its limits, see `clean_cell.clean_number`.
    """
    typed, sentences = typed or {}, sentences or {}
    binding, pieces = Binding(where, units), []
    stood_for = {name: entries for entries in together for name in entries.names}
    done: set[str] = set()
    for one in rule.questions:
        if entries := stood_for.get(one.name):
            if entries.cell not in done:
                at: Any = read(entries.cell)
                behind = Call("MID", (at, len(FAULT) + 1, _LONGEST))
                pieces.append(Call("IF", (Call("ISNUMBER", (at,)), "", Binary("&", BETWEEN, behind))))
            done.add(entries.cell)
            continue
        at = read(typed[one.name]) if one.name in typed else binding.at(one)
        if one.name in where:
            kept = binding.there(one)
            if one.blank != UNKNOWN:
                kept = Call("OR", (kept, binding.blank(one)))
        else:
            kept = in_order(one, at, units, typed=True)
            if one.blank != UNKNOWN:
                kept = Call("IF", (is_empty(at), True, kept))
        wrong = joined([spelt(f"{BETWEEN}{one.label} ", units), what_is_wrong(one, at)])
        cells = [sentences.get(said_of(one, end, units)) for end in (one.outside, one.no_entry)]
        if cells[0] and cells[1]:
            is_beyond = Binary("=", binding.at(one), beyond) if beyond and one.name in where else is_number(at)
            wrong = Call("IF", (is_beyond, read(cells[0]), read(cells[1])))
        if one.name not in typed and not one.unusable:
            wrong = Binary("&", BETWEEN, Call("MID", (at, len(FAULT) + 1, _LONGEST)))
        pieces.append(Call("IF", (kept, "", wrong)))
    return write(joined([NO_FAULT, *pieces]))


def said_of(question: Question, wrong: str, units: str) -> str:
    """What `every_fault` says of a question, with the comma before it."""
    return spelt(f"{BETWEEN}{question.label} {wrong}", units)


def named_faults(cell: str) -> str:
    """Formula text for a row's reason from the cell with `every_fault`: "; not known: a, b", or an empty text."""
    said = f'"{BEFORE_REASON}{NOT_KNOWN}: "&MID({cell},{len(NO_FAULT + BETWEEN) + 1},{_LONGEST})'
    return f'IF({cell}="{NO_FAULT}","",{said})'
