"""What a rule needs though nothing compares it, what may be left blank, and decimals that differ between the units."""

from __future__ import annotations

from typing import Annotated, Any

import pytest

from pailbook import ops
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.quantities import Alkalinity, Depth, FishDensity, Volume
from pailbook.quantity import Quantity
from pailbook.rules import (
    BadRule,
    Rungs,
    Sheet,
    by_units,
    clean,
    fine,
    is_blank,
    judge,
    needs,
    not_asked,
    rule,
    say,
    shown,
    skips,
    watch,
)
from rule_forms import Case, Cells, calculated, differences, in_columns, in_engine, in_python

FISH = Quantity("fish", low=0, high=1e6)


@rule("Fish and the air for them")
def air(
    fish: Annotated[float, FISH, "Fish"],
    depth: Annotated[Depth, "Depth of the stones"],
    volume: Annotated[Volume, "Water volume"],
    density: Annotated[FishDensity, "Stocking density"],
    alkalinity: Annotated[Alkalinity, "Alkalinity", skips],
) -> Rungs:
    """Needs the depth, which nothing compares; a blank alkalinity is watched."""
    litres = volume * by_units(1, 3.785411784)
    return (
        not_asked(fish == 0),
        needs(depth, volume),
        watch(is_blank(alkalinity), "alkalinity was not tested", "Test it"),
        watch(density > 100 * alkalinity, "never"),
        fine(True, say("at most ", shown(density, 1, us=3), " in ", shown(litres, 0), " L"), "Weigh some fish"),
    )


FULL: dict[str, Any] = {"fish": 70.0, "depth": 0.5, "volume": 819.0, "density": 0.1234, "alkalinity": 100.0}
CASES: list[tuple[dict[str, Any], str]] = [
    ({}, "fine: at most 0.123 in 3100 L"),
    ({"fish": 0.0, "depth": ErrorValue("#N/A")}, "not asked"),
    ({"depth": None}, "not known: Depth of the stones is missing"),
    ({"depth": "deep", "volume": None}, "not known: Depth of the stones is no number"),
    ({"volume": ErrorValue("#REF!")}, "not known: Water volume is an error"),
    ({"alkalinity": None}, "watch: alkalinity was not tested"),
    ({"alkalinity": "soft"}, "not known: Alkalinity is no number"),
    ({"alkalinity": ErrorValue("#N/A")}, "not known: Alkalinity is an error"),
]


def test_every_form_knows_what_is_needed_and_what_may_be_blank() -> None:
    cases: list[Case] = [(air, "us", FULL | change) for change, _ in CASES]
    found = in_python(cases)
    assert [one[0] for one in found] == [text for _, text in CASES]
    assert found[0][2] == "Weigh some fish"
    for form in (in_columns(cases), in_engine(cases, FAST), in_engine(cases, REFERENCE)):
        assert not differences(cases, found, form)
    assert judge(air, FULL | {"volume": 3100.0}).says == "at most 0.1 in 3100 L"


@pytest.mark.parametrize(("fish", "text"), [(0.0, ""), (1.0, "not known: Depth of the stones is missing")])
def test_a_sheet_may_be_silent_where_nothing_is_asked(fish: float, text: str) -> None:
    cells: Cells = {"A1": fish}
    cells |= {f"B{i}": FormulaCell(clean(one, f"A{i}")) for i, one in enumerate(air.questions, start=1)}
    sheet = Sheet({one.name: f"B{i}" for i, one in enumerate(air.questions, start=1)})
    cells["C1"] = FormulaCell(sheet.text(air, unasked=""))
    assert calculated(cells, FAST)["S", "C1"] == text


def test_what_cannot_be_needed_or_blank_is_refused() -> None:
    with pytest.raises(BadRule, match=r"needs\(...\) takes questions"):
        needs(3)
    with pytest.raises(BadRule, match=r"needs\(...\) takes questions"):
        needs()
    with pytest.raises(BadRule, match="takes a question that `skips`"):
        is_blank(air.questions[0])
    with pytest.raises(BadRule, match="0 to 4 decimals, not 5"):
        shown(3, 1, us=5)


@rule("Harvest")
def harvest(ready: Annotated[float, FISH, "Week of the harvest", skips]) -> Rungs:
    """Asks only whether it is blank."""
    return watch(is_blank(ready), "no harvest within the plan"), fine()


@pytest.mark.parametrize(("ready", "text"), [
    (None, "watch: no harvest within the plan"), (3.0, "fine"),
    (ErrorValue("#N/A"), "not known: Week of the harvest is an error"),
    ("soon", "not known: Week of the harvest is no number"),
])
def test_what_is_not_in_order_is_not_taken_for_typed(ready: Any, text: str) -> None:
    cases: list[Case] = [(harvest, "metric", {"ready": ready})]
    assert [form[0][0] for form in (in_python(cases), in_columns(cases), in_engine(cases, FAST))] == [text] * 3


def test_a_body_may_take_all_questions_that_it_asks() -> None:
    def of_all(**q: Any) -> Rungs:
        return watch(q["fish"] > q["most"], "too many fish"), fine()

    made = rule("Fish", asks={"fish": Annotated[float, FISH, "Fish"], "most": Annotated[float, FISH, "Most"]})(of_all)
    assert [one.name for one in made.questions] == ["fish", "most"]
    assert judge(made, {"fish": 3, "most": 2}).text == "watch: too many fish"


@rule("Dose")
def dose(day: Annotated[float, FISH, "Day", skips], low: Annotated[float, FISH, "Low"]) -> Rungs:
    """Chooses its words by whether the day is blank."""
    return fine(low == 0), fine(True, say(ops.where(is_blank(day), "some day", say("day ", shown(day, 0)))))


@pytest.mark.parametrize(("day", "text"), [(None, "fine: some day"), (3.0, "fine: day 3")])
def test_a_sentence_may_choose_its_words_by_what_is_blank(day: Any, text: str) -> None:
    cases: list[Case] = [(dose, "metric", {"day": day, "low": 1})]
    assert [form[0][0] for form in (in_python(cases), in_columns(cases), in_engine(cases, FAST))] == [text] * 3
