"""What the stocking plan says: the verdict first, what is short, and what would be enough."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

import stocks
from pailbook.workbook.stocking_plan import areas, cohorts, weeks


def found(name: str, units: str = "metric", **setup: Any) -> str:
    """A verdict of the worked case with some of its setup changed."""
    return str(stocks.named(stocks.computed(units, stocks.typed(units, stocks.changed(**setup))), units, name))


def test_a_filter_that_is_short() -> None:
    # By hand: 307 g of feed a day at most need 70 L; 50 L take 50/70 of that.
    words = found("filter_verdict", media_volume=50.0)
    assert words == ("act: the filter is too small from week 5 on; in week 5 it lacks 20 L of media: add 20 L, or feed "
                     "no more than 221 g a day that week")
    assert found("change_first", media_volume=50.0) == words.removeprefix("act: ")
    assert found("filter_verdict", media_volume=75.0) == "watch: the filter has little to spare in week 5"
    assert found("filter_verdict", media_volume=None) == (
        "not known: Filter media, grow beds included (Setup) is missing")
    assert found("filter_verdict", media_kind=None) == (
        "not known: Kind of media, or its specific surface (Setup) is missing")
    assert found("filter_verdict") == "fine: 80 L to spare in the fullest week"


def test_a_filter_that_is_short_in_us_units() -> None:
    # 20 L are 0.7 ft³; 221 g are 7.8 oz.
    assert found("filter_verdict", "us", media_volume=50.0) == (
        "act: the filter is too small from week 5 on; in week 5 it lacks 0.7 ft³ of media: add 0.7 ft³, or feed no "
        "more than 7.8 oz a day that week")


def test_air_that_is_short_and_air_that_cannot() -> None:
    # 62.4 L/min are needed in week 5, with 307 g of feed; 40 L/min carry 40/62.4 of that.
    assert found("air_verdict", air_flow=40.0) == (
        "act: the air pump is too small from week 2 on; in week 5 it lacks 22.4 L/min: use a larger one, finer or "
        "deeper stones, or feed no more than 197 g a day that week")
    assert found("air_verdict").startswith("fine: 12.6 L/min to spare")
    assert found("air_verdict", oxygen_keep=8.5).startswith("act: in water this warm, air cannot keep the oxygen")
    assert found("air_verdict", stone_depth=None) == "not known: Depth of the stones (Setup) is missing"


def test_weeks_say_what_is_near_its_limit_and_what_is_beyond() -> None:
    # By hand: 62.4 L/min are needed in week 5, and 307 g of feed where plants take 270 g.
    near = stocks.typed("metric", stocks.changed(air_flow=65.0), plants=stocks.AREAS[:1])
    assert stocks.column(stocks.computed("metric", near), "metric", weeks.SHEET, "state")[4] == (
        "watch: little air to spare, more feed than the plants can use")
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(media_volume=50.0, air_flow=40.0)))
    assert stocks.column(values, "metric", weeks.SHEET, "state")[4] == "act: filter too small, too little air"


def test_a_temperature_that_is_no_number_is_not_known() -> None:
    inputs = stocks.typed("metric", temperatures={2: 20.0})
    where = next(place for place, value in inputs.items() if place[0] == weeks.SHEET and value == 20.0)
    values = stocks.computed("metric", inputs | {where: "cooler"})
    assert stocks.column(values, "metric", weeks.SHEET, "state")[1] == (
        "not known: Temperature, if not as usual is no number")


def test_plants_take_less_than_the_fish_bring_or_starve() -> None:
    # 6 m² of leafy plants take 270 g of feed; 307 g would want 6.8 m².
    few = stocks.computed("metric", stocks.typed("metric", plants=stocks.AREAS[:1]))
    assert stocks.named(few, "metric", "plants_verdict") == (
        "watch: the plants cannot use all the feed from week 5 on, and nitrate builds up: plant 0.8 m² more by week 5, "
        "feed no more than 270 g a day, or change water")
    many = stocks.typed("metric", plants=[{"crop": "leafy", "area": 60.0}])
    words = stocks.named(stocks.computed("metric", many), "metric", "plants_verdict")
    assert words == ("watch: even the highest daily feed is enough for only 6.8 m² of your 60 m² of plants: stock more "
                     "fish, grow fewer plants, or dose nutrients")
    right = stocks.typed("metric", plants=[{"crop": "fruiting", "area": 5.0}])
    assert stocks.named(stocks.computed("metric", right), "metric", "plants_verdict") == (
        "fine: the plants can use up to 325 g of feed a day")


def test_too_many_fish_for_the_water() -> None:
    # 21.9 kg at most, where 1000 L take 20 kg.
    assert found("density_verdict", volume=1000.0) == (
        "act: the stocking density is too high from week 5 on; in week 5 there are 1.9 kg of fish too many: harvest "
        "sooner or stock fewer fish")
    assert found("density_verdict") == "fine: at most 7 kg/m³"


def test_alkalinity_and_the_base_that_replaces_it() -> None:
    words = found("alkalinity_use_verdict")
    # 307 g of feed bring 9.05 g of N, which take 64.7 g of CaCO3; potassium bicarbonate gives half its weight.
    assert words.startswith("watch: the filter uses up to 65 g of alkalinity a day (20.9 mg/L); about 129 g a day of "
                            "potassium bicarbonate replaces it, in small doses")
    # The third week, 205 g of feed: 6.02 g of N take 43 g, 13.9 mg/L a day; 70 are 50 above 20 mg/L.
    assert words.endswith("Without it, alkalinity falls to 20 mg/L in about 3 days")
    # Less alkalinity than in the scenario, so that it lasts a day, or is at its limit.
    assert found("alkalinity_use_verdict", alkalinity=45.0).endswith("in a day")
    assert found("alkalinity_use_verdict", alkalinity=18.0).startswith("act: alkalinity is too low")
    assert found("alkalinity_use_verdict", alkalinity=None).endswith(". Test alkalinity weekly")
    # Plants that take all nitrate give half back.
    assert found("alkalinity_use_verdict", plant_share=1.0).startswith("watch: the filter uses up to 32 g of")


def test_small_systems_are_warned_of() -> None:
    # Smaller than any system of the scenario.
    assert found("small_verdict") == "fine"
    assert found("small_system_warning", volume=800.0).startswith("watch: little water changes fast")
    assert found("small_system_warning", volume=150.0).startswith("watch: very little water")
    assert found("plants_verdict", volume=150.0).startswith("watch: plan such a small system by its fish")
    # Half the density of a large system: 10 kg/m³ of 800 L are 8 kg.
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(volume=800.0)))
    assert values[stocks.place(stocks.plan("metric")["density_most"])] == 10


def test_pump_and_turnover() -> None:
    # Lift and pipe take 1.45 m (tests of the values have it by hand).
    assert found("pump_verdict", pump_head=1.0).startswith("act: the pump lacks 0.45 m of head at that flow")
    assert found("pump_verdict", pump_head=None).startswith("watch: compare the head with the curve")
    assert found("pump_verdict", elbows="five") == "not known: Elbows in the pipe (Setup) is no number"
    assert found("turnover_verdict", flow=2000.0) == (
        "watch: the flow is 1100 L/h too small: clean the pump and the pipes, or fit a larger pump")


@pytest.mark.parametrize(("setup", "words"), [
    ({"plan_start": None}, "First day of the plan (Setup) is missing"),
    ({"volume": None}, "Water volume, measured (Setup) is missing"),
    ({"temperature": None}, "Water temperature, usual (Setup) is missing"),
    ({"temperature": "warm"}, "Water temperature, usual (Setup) is no number"),
])
def test_what_is_missing_is_asked_for(setup: dict[str, Any], words: str) -> None:
    assert found("answer", **setup) == "not known: part of the system is not judged yet; see below"
    assert found("change_first", **setup) == f"Put this right: {words}"


def test_the_answer_follows_the_worst() -> None:
    few = [stocks.COHORTS[0] | {"count": 20.0}]  # whose 37 g of feed a day 1 m² takes up, and a month's alkalinity

    def named(name: str, **setup: Any) -> str:
        inputs = stocks.typed("metric", stocks.changed(**setup), few, [{"crop": "leafy", "area": 1.0}])
        return str(stocks.named(stocks.computed("metric", inputs), "metric", name))

    assert named("answer", alkalinity=140.0) == "fine: the system can carry this plan"
    assert named("change_first", alkalinity=140.0) == "nothing"
    assert found("answer") == "watch: the system can carry this plan, with care"
    assert found("change_first").startswith("the filter uses up to 65 g of alkalinity a day")
    assert found("not_judged") == "none"
    assert found("answer", air_flow=40.0) == (
        "act: the system cannot carry this plan. Change it before you stock or feed")
    assert found("not_judged", media_volume=None, pump_head=None) == "filter"
    assert named("answer", media_volume=None) == "not known: part of the system is not judged yet; see below"
    assert named("change_first", media_volume=None) == (
        "Put this right: Filter media, grow beds included (Setup) is missing")


def test_a_row_that_is_begun_is_asked_for_and_counted() -> None:
    fish = [stocks.COHORTS[0], {"species": "jade perch", "count": 30.0}]
    values = stocks.computed("metric", stocks.typed("metric", fish=fish))
    assert stocks.named(values, "metric", "change_first") == (
        "Cohorts, row 2: Put this right: Mean weight then is missing")
    assert stocks.named(values, "metric", "cohorts_to_put_right") == "1; see the sheet Cohorts"


@pytest.mark.parametrize(("change", "words"), [
    ({"species": None}, "not known: Species is missing"),
    ({"count": None}, "not known: Number of fish is missing"),
    ({"mass": None}, "not known: Mean weight then is missing"),
    ({"coefficient": None}, "not known: Growth coefficient or earlier weighing is missing"),
    ({"coefficient": None, "earlier_mass": 200.0, "earlier_days": 20.0, "earlier_temperature": 23.5},
     "act: they lost weight; find out why before you plan"),
    # Of the species of the scenario none has a warmth that is too much; trout have one.
    ({"species": "rainbow trout"}, "act: the water is too warm for this species"),
    ({"species": "jade perch"}, "fine"),
    ({"target": "about 150"}, "not known: Weight at harvest is no number"),
    ({"stocked": "in May"}, "not known: Date of arrival is no number"),
    ({"count": -5.0}, "not known: Number of fish is outside its limits"),
    ({"species": "minnow"}, "not known: Species is none of the choices"),
    ({"target": 5000.0}, "watch: they do not reach the harvest weight within the plan"),
    ({"stocked": stocks.FIRST_DAY + timedelta(days=400)}, "watch: they arrive after the end of the plan"),
    ({"target": None}, "fine: no harvest is planned, because the weight at harvest is blank"),
    ({}, "fine"),
])
def test_what_a_cohort_lacks(change: dict[str, Any], words: str) -> None:
    fish = [{key: value for key, value in (stocks.COHORTS[0] | change).items() if value is not None}]
    values = stocks.computed("metric", stocks.typed("metric", fish=fish))
    assert stocks.column(values, "metric", cohorts.SHEET, "state")[0] == words


def test_water_too_cold_to_feed() -> None:
    values = stocks.computed("metric", stocks.typed("metric", stocks.changed(temperature=9.0)))
    assert stocks.column(values, "metric", cohorts.SHEET, "state")[0] == (
        "act: the water is too cold; they neither feed nor grow")
    assert set(stocks.column(values, "metric", weeks.SHEET, "feed")) == {0.0}
    assert stocks.named(values, "metric", "alkalinity_use_verdict") == "fine: no feed, so none is used up"


def test_the_count_grows_stale() -> None:
    for days, words in ((-3, "fine: the plan begins in 3 days"), (16, "fine: 16 days old"),
                        (60, "watch: the fish were counted and weighed 60 days ago")):
        values = stocks.computed("metric", stocks.typed("metric", as_of=stocks.FIRST_DAY + timedelta(days=days)))
        assert str(stocks.named(values, "metric", "count_fresh")).startswith(words)
    values = stocks.computed("metric", stocks.typed("metric", as_of=None))
    assert stocks.named(values, "metric", "count_fresh") == "not known: Today's date is missing"
    assert stocks.named(values, "metric", "feed_now") == ""


def test_areas_say_what_they_lack() -> None:
    plants: list[dict[str, Any]] = [{"crop": "leafy"}, {"area": 2.0}, {"crop": "leafy", "area": 1.0, "ratio": 150.0},
                                    {"crop": "leafy", "area": 1.0, "ratio": "lots"}]
    values = stocks.computed("metric", stocks.typed("metric", plants=plants))
    assert stocks.column(values, "metric", areas.SHEET, "state")[:5] == [
        "not known: Area in plants is missing", "not known: Crop is missing",
        "watch: higher than any published feed ratio", "not known: Feed ratio is no number", ""]
