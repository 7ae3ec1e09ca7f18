"""A value that is not known can say why in full, as a clean cell does."""

from __future__ import annotations

from pailbook.rules import judge
from pailbook.rules.faults import NotInOrder, complaint
from pailbook.rules.reasons import faults
from pailbook.terms import NOT_KNOWN
from pailbook.workbook.farm_log import water_rules
from rule_examples import RULES

WHY = "the meter was not calibrated"


def test_the_complaint_takes_the_place_of_label_and_usual_words() -> None:
    for rule in RULES.values():
        first = next(one for one in rule.steps[0].new)
        values = {one.name: NotInOrder(WHY) for one in rule.questions}
        found = judge(rule, values)
        assert (found.outcome, found.says, found.about) == (NOT_KNOWN, WHY, first.name)
        assert found.remedy == f"Put this right: {WHY}"
        assert complaint(first, NotInOrder(WHY), "us") == WHY
        assert complaint(first, "?", "metric") != WHY


def test_it_is_one_of_the_faults_of_a_row() -> None:
    rule = water_rules.entries
    values = {one.name: NotInOrder(f"{one.name} {WHY}") for one in rule.questions}
    found = faults(rule, values)
    assert found.startswith(f"; {NOT_KNOWN}: ")
    assert all(f"{one.name} {WHY}" in found for one in rule.questions)
