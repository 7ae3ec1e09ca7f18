"""What a verdict rests on: rungs that say "not known" and name the value that is missing or cannot be used.

Each rung is (condition, text), as `first_that_holds` takes them. They stand before the rungs that compare, so that a
blank, a text or an error never becomes a verdict.
"""

from __future__ import annotations

import re

from pailbook.quantities import METRIC, Quantity
from pailbook.terms import NOT_KNOWN
from pailbook.workbook.form import Field, Plan
from pailbook.workbook.texts import first_that_holds

Rung = tuple[str, str]


def field(plan: Plan, key: str) -> Field:
    """The field of that key."""
    return next(item for form in plan.forms.values() for _, item in form.fields() if item.key == key)


def label(plan: Plan, key: str) -> str:
    """What a field's value is called, without the number of a question on Start."""
    return re.sub(r"^\d+[ab]?\s+", "", field(plan, key).label)


def in_a_sentence(words: str) -> str:
    """A label within a sentence: its first letter is small unless it begins an abbreviation."""
    return words if words[1:2].isupper() else words[0].lower() + words[1:]


def _outside(cell: str, quantity: Quantity, units: str) -> list[str]:
    """Conditions, one for each limit of the quantity, that hold where the number in the cell lies outside it."""
    low, high = quantity.limits(units)
    found = [] if low is None else [f"{cell}{'<=' if quantity.above else '<'}{low:.12g}"]
    return found if high is None else [*found, f"{cell}{'>=' if quantity.below else '>'}{high:.12g}"]


def number(cell: str, name: str, quantity: Quantity | None = None, units: str = METRIC) -> Rung:
    """Says "not known" until that cell holds a number, within the limits of its quantity where one is given."""
    outside = _outside(cell, quantity, units) if quantity else []
    beyond = f'IF(ISNUMBER({cell})," is out of its limits"," is not a number")' if outside else '" is not a number"'
    why = f'IF(ISERROR({cell})," is an error",IF({cell}=""," is missing",{beyond}))'
    wrong = f"NOT(ISNUMBER({cell}))"
    if outside:
        wrong = f"IF(ISNUMBER({cell}),OR({','.join(outside)}),TRUE)"
    return wrong, f'"{NOT_KNOWN}: \'{name}\'"&{why}'


def numbers(plan: Plan, keys: str) -> list[Rung]:
    """Says "not known" until all those values (keys, with spaces between) are numbers; names the first that is not.

    A value that the user enters must lie within its limits too.
    """
    found = []
    for key in keys.split():
        item = field(plan, key)
        limits = item.quantity if item.result is None and item.kind == "number" else None
        found.append(number(plan[key], label(plan, key), limits, plan.book.units))
    return found


def one_of(cell: str, choices: tuple[str, ...], name: str) -> Rung:
    """Says "not known" until that cell holds one of the choices."""
    held = ",".join(f'{cell}="{choice}"' for choice in choices)
    return f"NOT(IFERROR(OR({held}),FALSE))", f'"{NOT_KNOWN}: \'{name}\' is none of the choices"'


def choice(plan: Plan, key: str) -> Rung:
    """Says "not known" until that value is one of its field's choices."""
    return one_of(plan[key], field(plan, key).choices, label(plan, key))


def trip(plan: Plan) -> Rung:
    """Says "not known" until the trip can be calculated."""
    ready = plan["road_ready"]
    return f'IF(ISERROR({ready}),TRUE,{ready}<>"yes")', f'"{NOT_KNOWN}: the trip cannot be calculated yet; see Start"'


def shown(cell: str) -> str:
    """Formula text for a result on another sheet: blank where it is, never an error."""
    return first_that_holds(((f"ISERROR({cell})", f'"{NOT_KNOWN}"'), (f'{cell}=""', '""')), cell)
