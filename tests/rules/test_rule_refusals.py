"""What is refused when a rule is declared or written into a sheet, and how that is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

import pandas
import pytest

from pailbook import ops
from pailbook.outcomes import BadInput
from pailbook.quantities import PH, Oxygen, Salmonids, Stone, WaterTemperature
from pailbook.quantity import Quantity
from pailbook.rules import (
    BadRule,
    Rule,
    Rungs,
    Sheet,
    act,
    clean,
    fine,
    fixed,
    listed,
    not_asked,
    ours,
    rule,
    say,
    shown,
    skips,
    watch,
)
from pailbook.rules.declaration import question, same_question
from pailbook.rules.judging import judge
from rule_examples import FISH, RULES

Body = Callable[..., Any]


def declared(body: Body, **hints: Any) -> Rule:
    """A rule of that body; its questions are oxygen, pH, temperature and species unless told otherwise."""
    known = {"oxygen": Annotated[Oxygen, "Oxygen"], "ph": Annotated[PH, "pH"],
             "species": Annotated[str, FISH, "Species"], "warm": Annotated[WaterTemperature, "Water temperature"]}
    return rule("Subject", asks=known | hints)(body)


BODIES: list[tuple[Body, str]] = [
    (lambda oxygen: (act(oxygen < 3, "low", "more air"),), r"last rung must be fine\(\) or not_asked\(True\)"),
    (lambda oxygen: (act(oxygen < 3, "low", "more air"), fine(oxygen > 5)), "last rung must be"),
    (lambda oxygen: fine(), "must return its rungs"),
    (lambda oxygen: (), "must return its rungs"),
    (lambda oxygen: None, "must return its rungs"),
    (lambda oxygen, ph: (watch(oxygen < 3, "low"), fine()), "nothing uses what it asks for: pH"),
    (lambda oxygen: (fine(), watch(oxygen < 3, "low"), fine()), "holds always or never"),
    (lambda oxygen: (watch(oxygen < 3, "low") if oxygen > 0 else fine(), fine()), "neither true nor false"),
    (lambda warm: (watch(warm > fixed(30, 2 * warm), "warm"), fine()), "a unit is that of a question"),
    (lambda oxygen: (watch(oxygen, "low"), fine()), "'Oxygen', a number stands where a condition belongs"),
    (lambda oxygen: (watch(oxygen + 1, "low"), fine()), "a number stands where a condition belongs"),
    (lambda species: (watch(species == "yelow perch", "x"), fine()), "Species: 'yelow perch' is none of its choices"),
    (lambda species: (watch(species < "tilapia", "x"), fine()), "neither is the larger one"),
    (lambda species: (watch(species == 3, "x"), fine()), "'Species', a text is compared with 3"),
    (lambda oxygen, species: (watch(oxygen == species, "x"), fine()), "is compared with"),
    (lambda oxygen, species: (watch(oxygen + species > 1, "x"), fine()), "'Species', a text stands where a number"),
    (lambda warm: (watch(warm > 30, "warm"), fine()), r"another unit in US sheets: compare it with fixed\(30"),
    (lambda oxygen: (watch(oxygen < 3, say("low, ", oxygen)), fine()), "a number stands where a text belongs"),
    (lambda oxygen: (watch(oxygen < 3, say("low, ", shown(oxygen, 7))), fine()), "0 to 4 decimals, not 7"),
    (lambda oxygen: (watch(oxygen < 3, "low", urgency=0), fine()), "an urgency is 1 to 99, not 0"),
    (lambda oxygen: (watch(ops.is_number(oxygen), "x"), fine()), "a number stands where a condition belongs"),
    (lambda oxygen: (watch(ops.normal_quantile(oxygen) > 1, "x"), fine()), "a rule cannot use NORMSINV"),
    (lambda oxygen: (watch(ours("NO_SUCH", oxygen) > 1, "x"), fine()), "there is no function NO_SUCH"),
    (lambda oxygen: (watch(ours("AMMONIA_FRACTION", oxygen) > 1, "x"), fine()), "takes 2 to 3 arguments in a rule"),
    (lambda ph, warm: (watch(listed(ours("AMMONIA_FRACTION", ph, warm) > 1), "x"), fine()), "takes a number here"),
    (lambda ph: (watch(listed(ph > 1), "x"), fine()), "one comparison with a call of ours"),
    (lambda ph, species: (watch(listed(1 / ph > ours("SPECIES_LIMIT", species, "pH", "act low")), "x"), fine()),
     "only the call itself may have no answer"),
    (lambda ph: (watch((ph > 1) & 3, "x"), fine()), "3 stands where a condition belongs"),
    (lambda ph: (watch(ops.where(ph > 1, ph, "x") > 2, "x"), fine()), "'x' stands where a number belongs"),
]


@pytest.mark.parametrize(("body", "why"), BODIES)
def test_a_rule_that_cannot_be_followed_is_refused_at_import(body: Body, why: str) -> None:
    with pytest.raises(BadRule, match=f"Subject: .*{why}"):
        declared(body)


@pytest.mark.parametrize(("hint", "why"), [
    (Annotated[float, "Oxygen"], "needs a hint with a quantity and a label"), (float, "needs a hint"),
    (Oxygen, "needs a hint with a quantity and a label"),
    (Annotated[Stone, "Stone"], "one number, or for one of its choices"),
    (Annotated[Salmonids, "Trout"], "one number, or for one of its choices"),
    (Annotated[Any, Quantity("readings", series=True), "Readings"], "one number, or for one of its choices"),
])
def test_a_question_without_quantity_or_label_is_refused(hint: Any, why: str) -> None:
    with pytest.raises(BadRule, match=why):
        declared(lambda asked: (watch(asked > 1, "x"), fine()), asked=hint)


def test_a_rank_out_of_range_and_a_missing_subject_are_refused() -> None:
    with pytest.raises(BadRule, match="a rank from 1 to 999"):
        rule("Subject", rank=0)(lambda: (fine(),))
    with pytest.raises(BadRule, match="needs a subject"):
        rule("")(lambda: (fine(),))


def test_a_constant_in_its_own_unit_is_accepted() -> None:
    made = declared(lambda warm: (watch(warm > fixed(30, warm), "warm"), fine()))
    assert judge(made, {"warm": 85.9}, "us").outcome == "fine"  # 30 °C is 86 °F
    assert judge(made, {"warm": 86.1}, "us").outcome == "watch"
    assert judge(made, {"warm": 30.1}).outcome == "watch"


def many_rungs(count: int) -> Rule:
    """A rule of so many rungs, each with a long sentence and an urgency of its own."""
    def body(oxygen: Any) -> Rungs:
        rungs = [act(oxygen < i / 9, f"oxygen is below {i} mg/L" + " and falls" * 20, "more air", i)
                 for i in range(1, count)]
        return *rungs, not_asked(True)

    return declared(body)


def test_a_formula_longer_than_spreadsheets_allow_is_refused() -> None:
    assert len(Sheet({"oxygen": "C5"}).text(many_rungs(20))) < 8192
    with pytest.raises(BadRule, match="Subject: the formula would have more than the 8192 characters"):
        Sheet({"oxygen": "C5"}).text(many_rungs(60))


def test_a_formula_deeper_than_spreadsheets_allow_is_refused() -> None:
    assert Sheet({"oxygen": "C5"}).urgency(many_rungs(50))
    with pytest.raises(BadRule, match="functions within functions; 64 are allowed"):
        Sheet({"oxygen": "C5"}).urgency(many_rungs(70))


def test_a_long_text_is_cut_into_pieces_that_formulas_may_hold() -> None:
    made = declared(lambda oxygen: (watch(oxygen < 3, 300 * "a"), fine()))
    assert "a\"&\"a" in Sheet({"oxygen": "C5"}).text(made)
    assert judge(made, {"oxygen": 2}).says == 300 * "a"


def test_what_a_sheet_does_not_have_is_told() -> None:
    made = RULES["oxygen_on_the_road"]
    with pytest.raises(BadRule, match=r"no cell for watch_below \(Limit 'Oxygen: watch below'\)"):
        Sheet({"carried": "C5", "lowest": "C6", "act_below": "C7"}).text(made)
    with pytest.raises(BadRule, match="units is 'imperial'; expected metric or us"):
        Sheet({}, units="imperial")
    with pytest.raises(BadRule, match="units is 'imperial'"):
        clean(made.questions[1], "B5", "imperial")
    with pytest.raises(BadRule, match="units is 'imperial'"):
        judge(made, {}, "imperial")
    with pytest.raises(BadInput, match="the frame has no column lowest, act_below; expected: carried"):
        judge(made, pandas.DataFrame({"carried": [], "watch_below": []}))


def test_a_function_that_needs_cells_for_its_steps_is_refused_as_a_plain_formula() -> None:
    made = declared(lambda ph, warm, oxygen: (
        watch(ours("TRIP_PH", ph, 100.0, 0.5, 300.0, 8.0, 60.0, warm, oxygen) < 7, "pH falls"), fine()))
    cells = {"ph": "C5", "warm": "C6", "oxygen": "C7"}
    with pytest.raises(BadRule, match="Subject: TRIP_PH"):
        Sheet(cells).text(made)
    assert "TRIP_PH(C5" in Sheet(cells, calls=True).text(made)


def test_two_rules_that_ask_one_cell_must_ask_the_same() -> None:
    one, other = (question("ph", hint) for hint in (Annotated[PH, "pH"], Annotated[PH, "pH of the tap water"]))
    assert same_question([one, one]) == {"ph": one}
    with pytest.raises(BadRule, match="two rules ask for ph in different ways: 'pH' and 'pH of the tap water'"):
        same_question([one, other])
    with pytest.raises(BadRule, match="declare its hint once"):
        same_question([one, question("ph", Annotated[PH, "pH", skips])])
