"""A rule on single values, in plain Python."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from pailbook.formula.tree import Call
from pailbook.outcomes import BadInput
from pailbook.quantity import METRIC
from pailbook.rounding import half_up
from pailbook.rules.declaration import Rule
from pailbook.rules.evaluation import NO_ANSWER, Evaluation
from pailbook.rules.expression import UNASKED, Dated, IfKnown, Question, Say, Shown
from pailbook.rules.faults import check_units, complaint, fault, read
from pailbook.rules.record import compared_in, questions_in
from pailbook.rules.words import NO_URGENCY, NOT_KNOWN_URGENCY, PUT_RIGHT, UNCALCULATED, UNSHOWN, spelt, texted
from pailbook.terms import NOT_ASKED, NOT_KNOWN

_DAY_0 = date(1899, 12, 30)  # of the serial numbers of sheets, from March 1900 on


@dataclass(frozen=True)
class Judged:
    """What a rule says of one subject."""

    outcome: str
    says: str = ""
    remedy: str = ""
    urgency: int = NO_URGENCY  # 1 is the most urgent
    about: str = ""  # the name of the question whose cell is not in order
    rule: Rule | None = field(default=None, compare=False, repr=False)

    @property
    def text(self) -> str:
        """As a cell shows it: "act: oxygen falls to 2.9 mg/L"."""
        return texted(self.outcome, self.says)


def judge(rule: Rule, values: Mapping[str, Any], units: str = METRIC) -> Judged:
    """What the rule says of these values.

    Parameters
    ----------
    rule : the rule.
    values : what each question's cell holds, by its name: None (blank), number, text, truth value, date, ErrorValue,
        an Outcome or faults.NotInOrder; numbers in units of the unit system.
    units : "metric" or "us".

    Raises
    ------
    BadInput
        When a question of the rule is not among the values at all: a blank one must be there as None.
    """
    check_units(units)
    if absent := [one.name for one in rule.questions if one.name not in values]:
        raise BadInput(f"{rule.subject}: the values have no {', '.join(absent)}; expected all of: "
                       f"{', '.join(one.name for one in rule.questions)} (None for a blank cell)")
    return judge_held(rule, {one.name: read(one, values[one.name], units) for one in rule.questions}, units)


def judge_held(rule: Rule, values: Mapping[str, Any], units: str) -> Judged:
    """What the rule says of values that `faults.read` has read."""
    cells = Evaluation(values, units)
    for step in rule.steps:
        if not _holds(step.rung.only, cells):
            continue
        if any(one.blank == UNASKED and values[one.name] is None for one in step.new):
            return Judged(NOT_ASKED, rule=rule)
        for one in step.new:
            if wrong := complaint(one, values[one.name], units):
                return _not_known(rule, wrong, one.name)
        rung = step.rung
        try:
            holds = _holds(rung.condition, cells)
        except NO_ANSWER:
            return _not_known(rule, spelt(f"{rule.subject} {UNCALCULATED}", units), "")
        if holds:
            says, remedy = (spelt(_text(node, cells), units) for node in (rung.says, rung.remedy))
            return Judged(rung.outcome, says, remedy, rung.urgency, rule=rule)
    raise AssertionError("the last rung always holds")


def _not_known(rule: Rule, what: str, about: str) -> Judged:
    return Judged(NOT_KNOWN, what, PUT_RIGHT + what, NOT_KNOWN_URGENCY, about, rule)


def _holds(condition: Any, cells: Evaluation) -> bool:
    """Whether a rung's condition holds: a blank that is allowed skips it."""
    if condition is True:
        return True
    if isinstance(condition, IfKnown):
        condition = condition.condition
        if not all(_shows(one, cells) for one in questions_in(condition).values()):
            return False
    return all(cells.values[name] is not None for name in compared_in(condition)) and bool(cells.value(condition))


def _text(node: Any, cells: Evaluation) -> str:
    """A sentence, with "?" for what cannot be shown."""
    if isinstance(node, Say):
        return "".join(_text(part, cells) for part in node.parts)
    chooses = isinstance(node, Call)  # ops.where: a sentence in each branch
    asked = compared_in(node.arguments[0] if chooses else node)
    if not all(_shows(one, cells) for one in asked.values()):
        return UNSHOWN
    try:
        if isinstance(node, Shown):
            return f"{half_up(cells.value(node.value), node.digits_in(cells.units)):.15g}"
        if isinstance(node, Dated):
            return (_DAY_0 + timedelta(days=math.floor(cells.value(node.value)))).isoformat()
        if chooses:
            return _text(node.arguments[1 if cells.value(node.arguments[0]) else 2], cells)
        found = cells.value(node)
        return f"{found:.15g}" if isinstance(found, float) else str(found)
    except NO_ANSWER:
        return UNSHOWN


def _shows(question: Question, cells: Evaluation) -> bool:
    value = cells.values[question.name]
    return value is not None and not fault(question, value, cells.units)
