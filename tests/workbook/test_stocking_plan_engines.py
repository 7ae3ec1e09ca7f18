"""The stocking plan in every engine and unit system, on random farms, and where something is missing."""

from __future__ import annotations

import random
import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

import calc
import stocks
from alike import alike
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import SPECIES, UNIT_SYSTEMS
from pailbook.workbook.recalc import load_model
from pailbook.workbook.stocking_plan import growth, weeks
from thorough import first


def _cases(units: str) -> dict[str, stocks.Inputs]:
    return {
        "blank": {}, "worked": stocks.typed(units),
        "setup alone": stocks.typed(units, fish=[], plants=[]),
        "fish alone": stocks.typed(units, {}, plants=[], as_of=None),
        "little known": stocks.typed(units, {"volume": 500.0, "temperature": 24.0, "plan_start": stocks.FIRST_DAY},
                                     plants=[]),
        "everything": stocks.typed(
            units, stocks.changed(stone_share=0.02, elevation=600.0, plant_share=0.5, roughness=0.05, protein=36.0,
                                  media_kind="other", specific_surface=220.0),
            temperatures={3: 8.0, 7: 27.0, 8: 39.0}),  # too cold, too warm, warmer than the data
    }


CASES = list(_cases("metric"))


def _errors(values: stocks.Values) -> list[Any]:
    """Cells with an error; the charts' data have some on purpose, which they leave out."""
    return [place for place, value in values.items() if place[0] != "Chart data" and isinstance(value, ErrorValue)]


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("case", CASES)
def test_every_formula_has_a_value_and_none_is_an_error(units: str, case: str) -> None:
    result = stocks.model(units).calculate(_cases(units)[case])
    assert set(result.values) == set(stocks.formulas(stocks.plan(units)))
    assert not _errors(result.values)
    assert not result.problems


@pytest.mark.parametrize("case", first(["everything", "blank"]))
def test_the_reference_engine_agrees(case: str, tmp_path: Path) -> None:
    inputs = _cases("us")[case]
    path = stocks.saved("us", False, inputs, tmp_path)
    reference = load_model(path, "reference").calculate().values
    values = stocks.computed("us", inputs)
    assert set(reference) == set(values)
    assert not {place for place, value in values.items() if not alike(value, reference[place])}


def test_a_blank_plan_makes_nothing_out_of_nothing() -> None:
    made, values = stocks.plan("metric"), stocks.computed("metric")
    assumed = {stocks.place(made[field.key]) for form in made.forms.values() for _, field in form.fields()
               if field.assumed is not None}
    for (sheet, address), value in values.items():
        if isinstance(value, float) and (sheet, address) not in assumed:
            column = address.rstrip("0123456789")
            assert made.book.workbook[sheet].column_dimensions[column].hidden, (sheet, address, value)


@pytest.mark.libreoffice
@pytest.mark.parametrize(
    ("units", "case"), first([("us", "everything"), ("metric", "everything"), ("us", "blank"), ("metric", "blank")]))
def test_the_plain_form_in_libreoffice_gives_what_the_functions_give(units: str, case: str) -> None:
    calc.needed()
    inputs = _cases(units)[case]
    functions, plain = stocks.computed(units, inputs), stocks.office(units, inputs)
    answer = stocks.place(stocks.plan(units).book.named("functions_answer"))
    for place, value in functions.items():
        if place != answer:
            assert alike(value, plain.get(place)), (place, value, plain.get(place))


@pytest.mark.parametrize("case", first(["everything", "blank", "little known"]))
def test_the_plain_form_equals_the_calls(case: str, tmp_path: Path) -> None:
    inputs = _cases("metric")[case]
    plain = load_model(stocks.saved("metric", True, inputs, tmp_path)).calculate().values
    for place, value in stocks.computed("metric", inputs).items():
        if place in plain:  # where a formula calls, the other one is plain; what says so is a text there
            assert alike(value, plain[place]), (place, value, plain[place])
    installed = 2  # whether the functions are installed, and what to do if not: in the plain form these are no formulas
    assert len(plain) >= len(stocks.computed("metric", inputs)) - installed


def _without_amounts(text: str) -> str:
    return re.sub(r"-?[\d.]+ (L/h|US gal/h|kg/m³|lb/US gal|L|ft³|g|oz|kg|lb|m²|ft²|m|ft)\b", "#", text)


@pytest.mark.parametrize("case", CASES)
def test_both_unit_systems_decide_alike(case: str) -> None:
    metric, us = (stocks.computed(units, _cases(units)[case]) for units in ("metric", "us"))
    for place, value in metric.items():
        if isinstance(value, str):
            assert _without_amounts(str(us[place])) == _without_amounts(value), (case, place)
    for sheet, key in (("Weeks", "fish"), ("Weeks", "tan"), ("Weeks", "air"), ("Weeks", "alkalinity"),
                       ("Cohorts", "ready"), ("Cohorts", "growth")):
        for one, other in zip(stocks.column(metric, "metric", sheet, key), stocks.column(us, "us", sheet, key)):
            assert other == (pytest.approx(one, rel=1e-9) if isinstance(one, float) else one), (case, key)


def _farm(seed: int, more: float = 1.0) -> stocks.Inputs:
    """A farm of any species, size and warmth, for what holds in all of them; `more` multiplies its fish."""
    dice = random.Random(seed)
    fish: list[dict[str, Any]] = [{
        "species": dice.choice(SPECIES), "count": float(more * dice.randint(20, 400)), "mass": dice.uniform(5, 300),
        "coefficient": dice.uniform(0.3, 2.0), "target": dice.choice((None, dice.uniform(200, 600))),
        "per_week": dice.choice((None, 15.0)),
        "stocked": dice.choice((None, stocks.FIRST_DAY + timedelta(days=dice.randint(0, 150)))),
    } for _ in range(dice.randint(1, 4))]
    setup = stocks.changed(volume=dice.uniform(300, 10000), temperature=dice.uniform(8, 32),
                           media_volume=dice.uniform(50, 2000), air_flow=dice.uniform(10, 300))
    return stocks.typed("metric", setup, [{k: v for k, v in one.items() if v is not None} for one in fish])


@pytest.mark.parametrize("seed", range(6))
def test_more_fish_never_need_less(seed: int) -> None:
    few, many = (stocks.computed("metric", _farm(seed, more)) for more in (1.0, 2.0))
    assert not _errors(few)
    assert not _errors(many)
    for key in ("feed", "tan", "media", "alkalinity", "nitrate", "density", "use", "air"):
        less, greater = (stocks.column(values, "metric", weeks.SHEET, key) for values in (few, many))
        assert all(isinstance(value, float) for value in (*less, *greater)), key
        assert all(two >= one * (1 - 1e-9) for one, two in zip(less, greater)), key
    assert max(stocks.column(many, "metric", weeks.SHEET, "density")) > 1.5 * max(
        stocks.column(few, "metric", weeks.SHEET, "density"))


@pytest.mark.parametrize("seed", range(4))
def test_no_fish_shrinks_and_none_is_lost_or_won(seed: int) -> None:
    values = stocks.computed("metric", _farm(seed))
    for number in range(6):
        masses = [m for m in stocks.column(values, "metric", growth.SHEET, f"mass_{number}") if m != ""]
        assert masses == sorted(masses)
        fish, taken, dead = (stocks.column(values, "metric", growth.SHEET, f"{key}_{number}")
                             for key in ("fish", "taken", "dead"))
        there = [row for row in zip(fish, taken, dead) if row[0] != ""]
        for (here, out, lost), (after, _, _) in zip(there, there[1:]):
            assert after == pytest.approx(here - out - lost, rel=1e-9)
