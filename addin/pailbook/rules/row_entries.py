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
from pailbook.rules.clean_cell import in_order, is_empty, what_is_wrong
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
        kept: Any = in_order(one, at, units)
        if one.name in lists:
            kept = Call("ISNUMBER", (Call("MATCH", (at, read(lists[one.name]), 0)),))
        wrong = joined([spelt(f"{FAULT}{one.label} ", units), what_is_wrong(one, at)])
        if one.blank == UNKNOWN:
            found = Call("IF", (kept, found, wrong))
        else:
            found = Call("IF", (Call("IF", (is_empty(at), True, kept)), found, wrong))
    return write(found)


def every_fault(rule: Rule, where: Mapping[str, str], units: str = METRIC) -> str:
    """Formula text for all that is wrong with what a rule asks, with commas between; NO_FAULT where nothing is.

    where : the address of the clean cell of each question, by name.
    """
    binding, pieces = Binding(where, units), []
    for one in rule.questions:
        kept = binding.there(one)
        if one.blank != UNKNOWN:
            kept = Call("IF", (kept, True, binding.blank(one)))
        wrong = (spelt(f"{BETWEEN}{one.label} {one.unusable}", units) if one.unusable
                 else Binary("&", BETWEEN, Call("MID", (binding.at(one), len(FAULT) + 1, _LONGEST))))
        pieces.append(Call("IF", (kept, "", wrong)))
    return write(joined([NO_FAULT, *pieces]))


def named_faults(cell: str) -> str:
    """Formula text for a row's reason from the cell with `every_fault`: "; not known: a, b", or an empty text."""
    said = f'"{BEFORE_REASON}{NOT_KNOWN}: "&MID({cell},{len(NO_FAULT + BETWEEN) + 1},{_LONGEST})'
    return f'IF({cell}="{NO_FAULT}","",{said})'
