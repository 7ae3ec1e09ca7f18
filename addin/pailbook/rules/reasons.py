"""The reasons of a row in plain Python, as the formulas of `Sheet.reason` and `row_entries` give them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pailbook.quantity import METRIC
from pailbook.rules.declaration import Rule
from pailbook.rules.expression import UNKNOWN, Needs
from pailbook.rules.faults import complaint, fault, read
from pailbook.rules.in_python import judge
from pailbook.rules.record import questions_in
from pailbook.rules.row_entries import BETWEEN
from pailbook.rules.words import reasoned
from pailbook.terms import ACT, NOT_KNOWN, WATCH


def reason(rule: Rule, values: Mapping[str, Any], units: str = METRIC, named: frozenset[str] = frozenset()) -> str:
    """What `Sheet.reason` says of these values."""
    kept = dict(values)
    needed = questions_in(*(rung.condition for rung in rule.rungs if isinstance(rung.condition, Needs)))
    for one in rule.questions:
        if one.name in named and fault(one, read(one, kept[one.name], units), units):
            kept[one.name] = None
            if one.blank == UNKNOWN or one.name in needed:
                return ""
    judged = judge(rule, kept, units)
    return reasoned(judged.outcome, judged.says) if judged.outcome in (ACT, NOT_KNOWN, WATCH) else ""


def faults(
    rule: Rule, values: Mapping[str, Any], units: str = METRIC, together: Sequence[frozenset[str]] = ()
) -> str:
    """What `named_faults` says of `every_fault` of these values; of questions that stand together, the first alone."""
    found: list[str] = []
    done: set[frozenset[str]] = set()
    for one in rule.questions:
        group = next((names for names in together if one.name in names), frozenset((one.name,)))
        wrong = complaint(one, read(one, values[one.name], units), units)
        if wrong and group not in done:
            found.append(wrong)
            done.add(group)
    return reasoned(NOT_KNOWN, BETWEEN.join(found)) if found else ""
