"""The rules of a move in its sheets: verdicts as plain Python judges them, and what is faulty never decides."""

from __future__ import annotations

import random
from collections.abc import Mapping
from functools import cache
from typing import Any

import pytest

import moves
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.rules import Rule, judge
from pailbook.rules.answer import answer
from pailbook.rules.faults import fault, held
from pailbook.workbook.move_plan import checks, entries, waters
from pailbook.workbook.move_plan.rules import CHECKS
from test_move_plan_engines import random_plan
from thorough import examples

FAULTS: tuple[Any, ...] = ("abc", "5", " ", "<0.25", True, ErrorValue("#N/A"), ErrorValue("#DIV/0!"))
PLANS: dict[str, moves.Inputs] = {
    "base": moves.BASE, "demo": moves.DEMO, "blank": {},
    "read at the door": moves.DEMO | {"door_ph": 7.3, "tank_ph": 7.5, "door_temperature": 20.0, "door_oxygen": 4.0,
                                      "tank_temperature": 17.0, "tank_tan": 0.5, "door_tan": 3.0},
    **{f"random {seed}": random_plan(seed) for seed in range(12)},
}


@cache
def _asked(name: str, units: str) -> tuple[moves.Values, Mapping[str, Any]]:
    """The cells of a plan, and what stands in those that rules ask, by the names of the questions."""
    plan, inputs = moves.plan(units), moves.cells(PLANS[name], units)
    values = moves.computed(PLANS[name], units)
    typed = {f"given_{entry.key}": entry.cell for entry in entries.entries(plan) if ":" not in entry.cell}
    elsewhere = typed | {"kit_resolution_ph": waters.kit_resolution("ph")}

    def of(key: str) -> Any:
        if key == "entries":
            return 0.0  # none of these plans has a wrong entry
        place = moves.place(elsewhere.get(key) or plan[key])
        return inputs.get(place) if place in inputs else values.get(place)

    return values, {one.name: held(of(one.name)) for rule in CHECKS for one in rule.questions}


def _on_sheet(values: moves.Values, rule: Rule) -> tuple[Any, ...]:
    row = checks.FIRST + CHECKS.index(rule)
    letters = (checks.TEXT, checks.REMEDY, checks.WORD)
    text, remedy, word = (values[checks.SHEET, f"{letter}{row}"] for letter in letters)
    return text, remedy or "", word


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("name", PLANS)
def test_the_sheets_say_what_plain_python_says(name: str, units: str) -> None:
    values, asked = _asked(name, units)
    judged = [judge(rule, asked, units) for rule in CHECKS]
    for rule, one in zip(CHECKS, judged):
        assert _on_sheet(values, rule) == (one.text, one.remedy, one.outcome), rule.subject
    assert moves.named(values, "answer", units) == answer(judged, units).word


def test_the_plans_meet_every_outcome() -> None:
    words = {word for name in PLANS for word in moves.words(_asked(name, "metric")[0])}
    assert words == {"act", "watch", "fine", "not asked", "not known"}


def test_a_faulty_cell_that_decides_is_not_known() -> None:
    """Where the outcome is anything else, no value of the faulty cell could have changed it."""
    rng = random.Random(20260610)
    complete = [_asked(name, units)[1] for name in PLANS if name != "blank" for units in UNIT_SYSTEMS]
    tried = 0
    for _ in range(examples(16000)):
        rule, at = rng.choice(CHECKS), rng.randrange(len(complete))
        values, units = complete[at], UNIT_SYSTEMS[at % 2]
        one, faulty = rng.choice(rule.questions), rng.choice((*FAULTS, -1e12, None))
        if not fault(one, held(faulty), units):  # a blank that is allowed; a forecast has no limits
            continue
        tried += 1
        found = judge(rule, {**values, one.name: faulty}, units)
        if found.outcome == "not known":
            assert found.says
            assert found.urgency < 99
            continue
        for other in complete[at % 2::2]:  # of the same units
            mended = judge(rule, {**values, one.name: other[one.name]}, units)
            assert mended.outcome == found.outcome, (rule.name, one.name, faulty, values, other[one.name])
    assert tried > 500


def test_no_plan_goes_while_a_check_is_not_known() -> None:
    rng = random.Random(20260611)
    for _ in range(examples(800)):
        values = dict(_asked(rng.choice(["base", "demo", "read at the door"]), "metric")[1])
        faulty = rng.sample(list(values), rng.randint(1, 3))
        values |= {name: rng.choice(FAULTS) for name in faulty}
        judged = [judge(rule, values) for rule in CHECKS]
        words = [one.outcome for one in judged]
        if "not known" in words:
            assert answer(judged).word == ("no-go" if "act" in words else "not yet"), faulty
