"""What the stocking plan says: the verdict first, what is short, and what it would take."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

import stocks
from pailbook.workbook.stocking_plan import areas, cohorts, weeks


def said(name: str, units: str = "metric", **setup: Any) -> str:
    """A verdict of the worked case with some of its setup changed."""
    return str(stocks.named(stocks.computed(units, stocks.typed(units, stocks.changed(**setup))), units, name))


def test_a_filter_that_is_short() -> None:
    # By hand: 700 g of feed a day at most need 427 L; 300 L take 300/427 of that.
    words = said("filter_verdict", media_volume=300.0)
    assert words == ("act: filter media short from week 9, by up to 127 L in week 15: add that much, or feed no more "
                     "than 491 g a day then")
    assert said("change_first", media_volume=300.0, air_flow=300.0) == words.removeprefix("act: ")
    assert said("filter_verdict", media_volume=450.0) == "watch: the filter has little in hand in week 15"
    assert said("filter_verdict", media_volume=None) == (
        "not yet: enter the media on Setup; needed: 427 L")
    assert said("filter_verdict", media_kind=None) == "not yet: pick the kind of media on Setup"
    assert said("filter_verdict") == "fine: 273 L in hand in the fullest week"


def test_a_filter_that_is_short_in_us_units() -> None:
    # 127 L are 4.5 ft³; 491 g are 17.3 oz.
    assert said("filter_verdict", "us", media_volume=300.0) == (
        "act: filter media short from week 9, by up to 4.5 ft³ in week 15: add that much, or feed no more than 17.3 oz "
        "a day then")


def test_air_that_is_short_and_air_that_cannot() -> None:
    assert said("air_verdict").startswith("act: air short from week 1, by up to 112.3 L/min in week 15: a larger pump")
    assert said("air_verdict", air_flow=200.0).startswith("fine: 27.7 L/min in hand")
    assert said("air_verdict", oxygen_keep=8.5).startswith("act: air cannot keep that much oxygen")
    assert said("air_verdict", stone_depth=None).startswith("not yet: enter the depth")


def test_weeks_say_what_is_near_its_limit_and_what_is_beyond() -> None:
    # By hand: 172.3 L/min are needed in week 15, 700 g of feed where plants take 400 g.
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(air_flow=175.0)))
    assert stocks.column(values, "metric", weeks.SHEET, "state")[14] == (
        "watch: little air in hand, more feed than the plants take")
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(media_volume=300.0)))
    assert stocks.column(values, "metric", weeks.SHEET, "state")[14] == "act: filter too small, too little air"


def test_plants_take_less_than_the_fish_bring_or_starve() -> None:
    # 400 g of feed for 8 m²; 699 g would want 14 m².
    assert said("plants_verdict") == (
        "watch: more feed than the plants take from week 4: 6 m² more plants by week 15, or feed no more than 400 g a "
        "day; else nitrate builds up: change water")
    many = stocks.typed("metric", plants=[{"crop": "leafy", "area": 60.0}])
    words = stocks.named(stocks.computed("metric", many), "metric", "plants_verdict")
    assert words == ("watch: even the most feed carries only 15.5 m² of 60 m² of plants: they will go short: more "
                     "fish, fewer plants, or dose")
    right = stocks.typed("metric", plants=[{"crop": "fruiting", "area": 14.0}])
    assert stocks.named(stocks.computed("metric", right), "metric", "plants_verdict") == (
        "fine: they take up to 910 g of feed a day")


def test_too_many_fish_for_the_water() -> None:
    words = said("density_verdict", volume=2000.0)
    assert words.startswith("act: too dense from week ")
    # 51.4 kg at most, where 2000 L take 40 kg.
    assert "by up to 11.4 kg of fish in week 15" in words
    assert said("density_verdict") == "fine: at most 17.1 kg/m³"


def test_alkalinity_and_the_base_that_replaces_it() -> None:
    words = said("alkalinity_use_verdict")
    # 20.57 g of N take 147 g of CaCO3; potassium bicarbonate gives half its weight.
    assert words.startswith("watch: at most 147 g a day, 49 mg/L: about 294 g of potassium bicarbonate replaces it")
    # The third week, 382 g of feed: 11.26 g of N take 80.4 g, 26.8 mg/L a day; 60 mg/L are there above 20.
    assert words.endswith("unreplaced, what there is now is down to 20 mg/L in about 2 days")
    assert said("alkalinity_use_verdict", alkalinity=60.0).endswith("in a day")
    assert said("alkalinity_use_verdict", alkalinity=18.0).startswith("act: alkalinity is used up")
    assert said("alkalinity_use_verdict", alkalinity=None).endswith("; test it weekly")
    # Plants that take all nitrate give half back.
    assert said("alkalinity_use_verdict", plant_share=1.0).startswith("watch: at most 74 g a day")


def test_small_systems_are_warned_of() -> None:
    assert said("small_verdict") == "fine"
    assert said("small_system_warning", volume=800.0).startswith("watch: little water swings fast")
    assert said("small_system_warning", volume=150.0).startswith("watch: very little water")
    assert said("plants_verdict", volume=150.0).startswith("watch: so small a system is planned by its fish")
    # Half the density of a large system: 10 kg/m³ of 800 L are 8 kg.
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(volume=800.0)))
    assert values[stocks.place(stocks.plan("metric")["density_most"])] == 10


def test_pump_and_turnover() -> None:
    assert said("pump_verdict", pump_head=1.0).startswith("act: the pump lacks 0.52 m at that flow")
    assert said("pump_verdict", pump_head=None).startswith("watch: compare with the curve")
    assert said("turnover_verdict", flow=2000.0) == "watch: 1000 L/h short: clean pump and pipes, or fit a larger pump"


@pytest.mark.parametrize(("setup", "words"), [
    ({"plan_start": None}, "not yet: enter the first day of the plan on Setup"),
    ({"volume": None}, "not yet: enter volume and temperature of the water on Setup"),
    ({"temperature": None}, "not yet: enter volume and temperature of the water on Setup"),
])
def test_what_is_missing_is_asked_for(setup: dict[str, Any], words: str) -> None:
    assert said("answer", **setup) == words
    assert said("change_first", **setup) == words.removeprefix("not yet: ")


def test_the_answer_follows_the_worst() -> None:
    good = stocks.changed(air_flow=250.0, plant_share=0.9)
    fish = [stocks.COHORTS[0]]
    plants = [{"crop": "fruiting", "area": 12.0}]
    with_care = stocks.computed("metric", stocks.typed("metric", good, fish, plants))
    assert stocks.named(with_care, "metric", "answer") == "watch: the system carries this plan, with care"
    assert str(stocks.named(with_care, "metric", "change_first")).startswith("at most ")  # the alkalinity
    carried = stocks.typed("metric", good | {"alkalinity": 900.0}, fish, plants)
    assert stocks.named(stocks.computed("metric", carried), "metric", "answer") == "fine: the system carries this plan"
    assert stocks.named(stocks.computed("metric", carried), "metric", "change_first") == "nothing"
    assert said("answer").startswith("act: the system cannot carry this plan")
    assert said("not_judged", media_volume=None, pump_head=None) == "filter"
    unjudged = stocks.computed("metric", stocks.typed("metric", good | {"media_volume": None}, fish, plants))
    assert stocks.named(unjudged, "metric", "answer") == "not yet: some of it is not judged yet, see below"
    assert str(stocks.named(unjudged, "metric", "change_first")).startswith("enter the media on Setup; needed: ")
    assert stocks.named(with_care, "metric", "not_judged") == "none"


def test_a_row_that_is_begun_is_asked_for_and_counted() -> None:
    good = stocks.changed(air_flow=250.0, plant_share=0.9)
    fish = [stocks.COHORTS[0], {"species": "tilapia", "count": 30.0}]
    values = stocks.computed("metric", stocks.typed("metric", good, fish, [{"crop": "fruiting", "area": 12.0}]))
    assert stocks.named(values, "metric", "change_first") == "Cohorts, row 2: enter their mean weight"
    assert stocks.named(values, "metric", "cohorts_to_put_right") == "1, see the sheet Cohorts"


@pytest.mark.parametrize(("change", "words"), [
    ({"species": None}, "not yet: pick the species"),
    ({"count": None}, "not yet: enter how many"),
    ({"mass": None}, "not yet: enter their mean weight"),
    ({"coefficient": None}, "not yet: enter a growth coefficient, or an earlier weighing"),
    ({"coefficient": None, "earlier_mass": 200.0, "earlier_days": 20.0, "earlier_temperature": 26.0},
     "act: they lost weight: find out why before you plan"),
    ({"species": "rainbow trout"}, "act: the water is too warm for this species"),
    ({"species": "goldfish"}, "fine"),
    ({"target": 5000.0}, "watch: does not reach its harvest weight within the plan"),
    ({"stocked": stocks.FIRST_DAY + timedelta(days=400)}, "watch: arrives after the plan's end"),
    ({"target": None}, "fine: no harvest is planned; enter from which weight"),
    ({}, "fine"),
])
def test_what_a_cohort_lacks(change: dict[str, Any], words: str) -> None:
    fish = [{key: value for key, value in (stocks.COHORTS[0] | change).items() if value is not None}]
    values = stocks.computed("metric", stocks.typed("metric", fish=fish))
    assert stocks.column(values, "metric", cohorts.SHEET, "state")[0] == words


def test_water_too_cold_to_feed() -> None:
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(temperature=15.0)))
    assert stocks.column(values, "metric", cohorts.SHEET, "state")[0] == (
        "act: the water is too cold: they neither feed nor grow")
    assert set(stocks.column(values, "metric", weeks.SHEET, "feed")) == {0.0}
    assert stocks.named(values, "metric", "alkalinity_use_verdict") == "fine: no feed, none used"


def test_the_count_grows_stale() -> None:
    for days, words in ((-3, "the plan begins in 3 days"), (16, "yes: 16 days old"), (60, "watch: counted and weigh")):
        values = stocks.computed("metric", stocks.typed("metric", as_of=stocks.FIRST_DAY + timedelta(days=days)))
        assert str(stocks.named(values, "metric", "count_fresh")).startswith(words)
    values = stocks.computed("metric", stocks.typed("metric", as_of=None))
    assert stocks.named(values, "metric", "count_fresh") == "enter today's date above"
    assert stocks.named(values, "metric", "feed_now") == ""


def test_areas_say_what_they_lack() -> None:
    plants: list[dict[str, Any]] = [{"crop": "leafy"}, {"area": 2.0}, {"crop": "leafy", "area": 1.0, "ratio": 150.0}]
    values = stocks.computed("metric", stocks.typed("metric", plants=plants))
    assert stocks.column(values, "metric", areas.SHEET, "state")[:4] == [
        "not yet: enter the area", "not yet: pick the crop", "watch: above all published ratios", ""]
