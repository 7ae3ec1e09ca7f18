"""The move plan in every engine: all cells have values, calls and plain formulas agree, unit systems decide alike."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import pytest

import calc
import moves
from pailbook.demo import scenario
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook import workings
from pailbook.workbook.move_plan import answers, road_table
from pailbook.workbook.move_plan.rules import CHECKS
from thorough import first, thorough

PLANS: dict[str, tuple[moves.Inputs, tuple[float, ...]]] = {
    "blank": ({}, ()), "base": (moves.BASE, ()), "demo": (moves.DEMO, moves.DEMO_READINGS),
}
PARTLY: moves.Inputs = {"from_ph": 7.6, "from_temperature": 19.0, "fish_count": 9.0, "vessel_volume": 60.0}


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, (int, float)) and not isinstance(other, bool):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return (one or None) == (other or None)


def _errors(values: Mapping[tuple[str, str], Any]) -> list[Any]:
    return [(place, value) for place, value in values.items()
            if place[0] != workings.SHEET and not isinstance(value, (float, str, bool))]


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("name", PLANS)
def test_every_formula_has_a_value_and_none_is_an_error(units: str, name: str) -> None:
    inputs, readings = PLANS[name]
    values = moves.computed(inputs, units, readings)
    formulas = {
        (sheet.title, cell.coordinate) for sheet in moves.plan(units).book.workbook.worksheets
        for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str) and cell.value.startswith("=")
    }
    assert set(values) == formulas
    assert not _errors(values)


@pytest.mark.parametrize(("units", "name"), first([("metric", "demo"), *(
    (units, name) for name in PLANS for units in UNIT_SYSTEMS if (units, name) != ("metric", "demo"))], 1))
def test_plain_formulas_and_calls_agree(units: str, name: str) -> None:
    inputs, readings = PLANS[name]
    calls, plain = moves.computed(inputs, units, readings), moves.computed(inputs, units, readings, plain=True)
    assert not _errors(plain)
    sheet, installed = moves.place(moves.plan(units).book.named("functions_answer"))
    row = {(sheet, f"{letter}{installed[1:]}") for letter in "CD"}  # whether the functions are installed
    assert [place for place, value in calls.items() if place not in row and not _alike(value, plain[place])] == []


@pytest.mark.libreoffice
@pytest.mark.parametrize(("units", "name"), first([("metric", "demo"), ("us", "base"), ("metric", "blank")]))
def test_another_program_agrees(units: str, name: str) -> None:
    calc.needed()
    inputs, readings = PLANS[name]
    ours = moves.computed(inputs, units, readings, plain=True)
    theirs = moves.office(inputs, units, readings)
    assert len(ours) > 5000
    off = [
        (place, value, theirs.get(place)) for place, value in ours.items()
        if place[0] != workings.SHEET and not isinstance(theirs.get(place), datetime)
        and not _alike(value, theirs.get(place))
    ]
    assert off == []


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_a_blank_plan_guides_and_a_partly_filled_one_says_what_is_missing(units: str) -> None:
    blank = moves.computed({}, units)
    assert moves.named(blank, "answer", units) == "not yet"
    for words in ("pH where the fish are now", "number of fish", "volume of one vessel", "minutes on the road"):
        assert words in moves.named(blank, "reason", units)
    for key in ("key_oxygen", "key_nh3", "key_vessels", "trip_hours", "minutes_without_air", "survival", "exchanges"):
        assert moves.named(blank, key, units) == "", key
    assert not [value for value in moves.words(blank) if value in ("act", "watch")]
    partly = moves.computed(PARTLY, units)
    assert moves.named(partly, "answer", units) == "not yet"
    assert moves.named(partly, "reason", units) == (
        "fill in: pH at the destination, water temperature at the destination, total weight of the fish, "
        "number of vessels, minutes on the road")


@pytest.mark.parametrize("missing", answers.REQUIRED)
def test_none_of_the_eight_answers_is_guessed(missing: str) -> None:
    values = moves.computed({key: value for key, value in moves.BASE.items() if key != missing})
    assert moves.named(values, "answer") == "not yet"
    assert moves.named(values, "reason").startswith("fill in: ")
    assert "," not in moves.named(values, "reason")
    assert not _errors(values)


def random_plan(seed: int) -> moves.Inputs:
    """Wider than the water and fish of the invented farm, so that every kind of verdict is met."""
    draw = random.Random(seed)
    inputs: moves.Inputs = {
        "from_ph": draw.uniform(6, 8.4), "from_temperature": draw.uniform(12, 30),
        "fish_count": float(draw.randint(1, 80)), "vessel_count": float(draw.randint(1, 8)),
        "vessel_volume": draw.uniform(15, 250), "road_minutes": draw.uniform(10, 240),
        "to_volume": draw.uniform(200, 4000), "resident_weight": draw.uniform(0, 40), "to_tan": draw.uniform(0, 0.4),
        "to_nitrite": draw.uniform(0, 0.4), "feed_now": draw.uniform(0, 500),
    }
    inputs["to_ph"] = min(8.8, max(5.6, inputs["from_ph"] + draw.uniform(-0.9, 0.9)))
    inputs["to_temperature"] = inputs["from_temperature"] + draw.uniform(-6, 6)
    inputs["fish_weight"] = inputs["fish_count"] * draw.uniform(0.01, 0.4)
    options: moves.Inputs = {
        "air_flow": draw.uniform(0.5, 15), "air_depth": draw.uniform(15, 60), "stone": draw.choice(("fine", "coarse")),
        "start_tan": draw.uniform(0, 4), "from_alkalinity": draw.uniform(15, 200), "elevation": draw.uniform(0, 2000),
        "to_alkalinity": draw.uniform(15, 200), "air_temperature": draw.uniform(-5, 38),
        "species": draw.choice((*scenario.SPECIES, "rainbow trout", "any fish")),
        "pump_off_minutes": draw.choice((0.0, 15.0)), "carried": draw.choice(("with an air stone", "without air")),
        "salt": draw.choice((0.0, 2.0)), "hours_fasted": draw.uniform(0, 60), "filter_area": draw.uniform(5, 300),
        "calendar_volume": draw.uniform(200, 4000), "limit_co2_watch": draw.uniform(10, 30),
    }
    return inputs | {key: value for key, value in options.items() if draw.random() < 0.6}


def test_both_unit_systems_decide_alike() -> None:
    answers = set()
    for seed in range(40 if thorough() else 15):
        inputs = random_plan(seed)
        metric, us = moves.computed(inputs, "metric"), moves.computed(inputs, "us")
        assert moves.words(metric) == moves.words(us), (seed, inputs)
        for name in ("answer", "vessels_needed", "vessels_least", "vessels_by", "first_limit", "worst_limit",
                     "exchanges",
                     "calendar_which", "calendar_left", "more_fish", "fish_each", "if_warmer", "if_half_air"):
            assert moves.named(metric, name) == moves.named(us, name, "us"), (seed, name)
        for name in ("lowest_oxygen", "highest_nh3", "highest_co2", "minutes_without_air", "end_ph",
                     "calendar_overshoot",
                     "tan_load", "salt_brought"):
            one, other = moves.named(metric, name), moves.named(us, name, "us")
            assert _alike(one, other) or math.isclose(one, other, rel_tol=1e-6), (seed, name, one, other)
        answers.add(moves.named(metric, "answer"))
    assert {"no-go", "go with care"} <= answers


def test_each_check_of_the_list_can_say_more_than_fine() -> None:
    labels = [rule.subject for rule in CHECKS]
    assert len(set(labels)) == len(labels)
    seen = {label for seed in range(40) for label, word in zip(labels, moves.words(moves.computed(random_plan(seed))))
            if word in ("act", "watch")}
    assert len(seen) >= 14, sorted(set(labels) - seen)


def test_the_road_table_ends_where_the_trip_does() -> None:
    values = moves.computed(moves.DEMO)
    minutes = [values[moves.place(road_table.at("minute", n))]
               for n in range(road_table.ON_TRIP + road_table.IN_DELAY + 1)]
    assert minutes[0] == 0
    assert minutes[road_table.ON_TRIP] == 50 + 10 + 10
    assert minutes[-1] == 50 + 10 + 10 + 30
    assert minutes == sorted(minutes)
    assert max(b - a for a, b in zip(minutes, minutes[1:])) <= 10
