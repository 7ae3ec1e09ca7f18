"""The law above all others: what is missing, broken or outside its limits never becomes fine, go or go with care."""

from __future__ import annotations

import random
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pailbook.outcomes import BadInput, ErrorInput
from pailbook.quantity import METRIC, UNIT_SYSTEMS
from pailbook.rules import judge
from pailbook.rules.answer import answer
from pailbook.rules.expression import UNKNOWN
from pailbook.rules.faults import fault, held
from pailbook.rules.words import spelt
from rule_cases import FAULTY, in_order, values_of
from rule_examples import MAINS, OPEN, RULES, SEALED, TANK
from thorough import examples

seeds = st.integers(0, 2**32)
names = st.sampled_from(list(RULES))
units_of_sheets = st.sampled_from(UNIT_SYSTEMS)


@given(names, units_of_sheets, seeds, st.sampled_from([None, *FAULTY]))
@settings(max_examples=examples(4000))
def test_a_faulty_cell_that_decides_is_not_known(name: str, units: str, seed: int, faulty: Any) -> None:
    """If the outcome is anything but "not known", no value of the faulty cell could have changed it."""
    rule, rng = RULES[name], random.Random(seed)
    values = values_of(rng, rule, units, faults=0)
    one = rng.choice(rule.questions)
    if not fault(one, held(faulty), units):  # a blank that is allowed, or "?" where any text will do
        return
    found = judge(rule, {**values, one.name: faulty}, units)
    if found.outcome == "not known":
        assert found.about == one.name
        assert found.says.startswith(spelt(one.label, units) + " is ")
        return
    for _ in range(5):
        mended = judge(rule, {**values, one.name: in_order(rng, one, units)}, units)
        assert mended.outcome == found.outcome


@given(units_of_sheets, seeds)
@settings(max_examples=examples(1500))
def test_an_answer_with_an_essential_rule_that_is_not_known_is_never_a_go(units: str, seed: int) -> None:
    rng = random.Random(seed)
    judged = [judge(rule, values_of(rng, rule, units, rng.choice((0, 0.03, 0.1))), units) for rule in RULES.values()]
    found = answer(judged)
    words = [one.outcome for one in judged]
    unknown = [one for one in judged if one.rule and one.rule.essential and one.outcome == "not known"]
    unasked = [one for one in judged if one.rule and one.rule.essential and one.outcome == "not asked"]
    if "act" in words:
        assert found.word == "no-go"
    elif unknown or unasked:  # each essential rule of these stands alone for its matter
        assert found.word == "not yet"
    elif "watch" in words or "not known" in words:
        assert found.word == "go with care"
    else:
        assert found.word == "go"
    assert len(found.reasons) == sum(word in ("act", "not known", "watch") for word in words)


# The same rules as anybody would write them, on complete inputs; exact, in tenths and hundredths.


def _oxygen(carried: str, lowest: Decimal, act_below: Decimal, watch_below: Decimal) -> str:
    if carried == SEALED:
        return "not asked"
    return "act" if lowest < act_below else "watch" if lowest < watch_below else "fine"


def _kit(here: Decimal, there: Decimal, resolution: Decimal, within: Decimal) -> str:
    gap = abs(here - there)
    return "watch" if gap > within or gap + resolution > within else "fine"


def _refill(source: str, chlorine: Decimal) -> str:
    if source == "no refill":
        return "not asked"
    return "act" if source == MAINS and chlorine > 0 else "fine"


def _alkalinity(readings: Decimal, now: Decimal, least: Decimal, fall: Decimal) -> str:
    if readings < 3:
        return "not asked"
    if now <= least:
        return "act"
    if fall <= 0:
        return "not asked"
    days = (now - least) // fall
    return "act" if days <= 3 else "watch" if days <= 14 else "fine"


def hundredths(low: float, high: float) -> st.SearchStrategy[Decimal]:
    """Numbers of two decimals."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: Decimal(n) / 100)


PLAINLY: list[tuple[Any, Any, dict[str, st.SearchStrategy[Any]]]] = [
    (RULES["oxygen_on_the_road"], _oxygen, {
        "carried": st.sampled_from((OPEN, SEALED, TANK)), "lowest": hundredths(2, 6), "act_below": hundredths(2, 6),
        "watch_below": hundredths(2, 6)}),
    (RULES["ph_kit"], _kit, {
        "here": hundredths(7.1, 7.9), "there": hundredths(7.1, 7.9), "resolution": hundredths(0.05, 0.3),
        "within": hundredths(0.05, 0.5)}),
    (RULES["refill_water"], _refill, {
        "source": st.sampled_from(("no refill", "rain or well", MAINS)), "chlorine": hundredths(0, 0.1)}),
    (RULES["alkalinity_running_out"], _alkalinity, {
        "readings": st.integers(0, 9).map(Decimal), "now": hundredths(55, 140), "least": hundredths(55, 80),
        "fall": hundredths(-1, 9)}),
]


@pytest.mark.parametrize(("rule", "plainly", "inputs"), PLAINLY, ids=[rule.name for rule, _, _ in PLAINLY])
@given(st.data())
@settings(max_examples=examples(800))
def test_on_complete_inputs_a_rule_says_what_plain_python_says(
    rule: Any, plainly: Any, inputs: dict[str, st.SearchStrategy[Any]], data: st.DataObject
) -> None:
    values = data.draw(st.fixed_dictionaries(inputs))
    typed = {name: one if isinstance(one, str) else float(one) for name, one in values.items()}
    assert judge(rule, typed).outcome == plainly(**values)


# What Python callers hand over ---------------------------------------------------------------------------


@pytest.mark.parametrize(("value", "says"), [
    (None, "is missing"), ("", "is missing"), (float("nan"), "is missing"), (ErrorInput("#N/A"), "is an error"),
    (True, "is no number"), ("4", "is no number"), (float("inf"), "is no number"), ([4], "is no number"),
    (-0.01, "is outside its limits"), (40.01, "is outside its limits"),
])
def test_what_python_hands_over(value: Any, says: str) -> None:
    values = {"carried": TANK, "lowest": value, "act_below": 3, "watch_below": None}
    found = judge(RULES["oxygen_on_the_road"], values)
    assert (found.outcome, found.says) == ("not known", f"Lowest oxygen on the road {says}")
    assert found.remedy == f"Put this right: Lowest oxygen on the road {says}"


def test_a_number_just_beyond_a_limit_by_its_last_bit_is_within() -> None:
    values = {"carried": TANK, "lowest": 40.000000000000007, "act_below": 0.1 + 0.2, "watch_below": 0.3}
    assert judge(RULES["oxygen_on_the_road"], values).outcome == "fine"
    assert judge(RULES["oxygen_on_the_road"], {**values, "lowest": 0.3}).outcome == "fine"  # 0.3 is not below 0.1 + 0.2


def test_a_question_that_is_not_there_at_all_is_told() -> None:
    with pytest.raises(BadInput, match="the values have no watch_below; expected all of: carried, lowest"):
        judge(RULES["oxygen_on_the_road"], {"carried": TANK, "lowest": 6, "act_below": 3})


def test_a_blank_limit_skips_its_rung_and_a_blank_reading_is_not_asked() -> None:
    rule = RULES["phosphate"]
    assert rule.questions[0].blank != UNKNOWN
    assert judge(rule, {"reading": 2, "low": None, "high": 18}, METRIC).outcome == "fine"
    assert judge(rule, {"reading": None, "low": 3, "high": 18}, METRIC).outcome == "not asked"
