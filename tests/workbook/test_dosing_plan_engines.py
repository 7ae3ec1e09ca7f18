"""The dosing plan in every engine and unit system, on random waters, and where something is missing or wrong."""

from __future__ import annotations

import random
from datetime import timedelta
from typing import Any

import numpy
import pytest

import calc
import plans
from alike import alike
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook.dosing_plan.nutrients import BLEND, PHOSPHATE
from pailbook.workbook.dosing_plan.places import cell
from thorough import first, thorough


def _cases(units: str) -> dict[str, plans.Inputs]:
    return {"blank": {}, "worked": plans.typed(units),
            "everything": plans.everything(units, exactly=True),
            "setup alone": plans.typed(units, nutrients={}, rows=[], strengths={})}


def _errors(values: plans.Values) -> list[Any]:
    """Cells with an error; the chart's data have some on purpose, which it leaves out."""
    return [place for place, value in values.items() if place[0] != "Chart data" and isinstance(value, ErrorValue)]


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("case", ["blank", "worked", "everything", "setup alone"])
def test_every_formula_has_a_value_and_none_is_an_error(units: str, case: str) -> None:
    values = plans.computed(units, _cases(units)[case])
    assert set(values) == set(plans.formulas(plans.plan(units)))
    assert not _errors(values)
    assert not plans.model(units).calculate(_cases(units)[case]).problems


def test_a_blank_plan_makes_nothing_out_of_nothing() -> None:
    made, values = plans.plan("metric"), plans.computed("metric")
    assumed = {plans.place(made[field.key]) for form in made.forms.values() for _, field in form.fields()
               if field.assumed is not None or field.key == "alkalinity_factor"}
    for (sheet, address), value in values.items():
        if isinstance(value, float) and (sheet, address) not in assumed:
            column = address.rstrip("0123456789")
            hidden = made.book.workbook[sheet].column_dimensions[column].hidden
            row_hidden = made.book.workbook[sheet].row_dimensions[int(address[len(column):])].hidden
            assert hidden or row_hidden, (sheet, address, value)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_a_blank_plan_alarms_nobody(units: str) -> None:
    words = ("act", "watch", "no-go", "fine", "not known", "not yet")
    alarms = {place: value for place, value in plans.computed(units).items()
              if isinstance(value, str) and value.startswith(words)}
    assert not alarms


@pytest.mark.libreoffice
@pytest.mark.parametrize(
    ("units", "case"), first([("us", "everything"), ("metric", "everything"), ("us", "blank"), ("metric", "blank")]))
def test_the_plain_form_in_libreoffice_gives_what_the_functions_give(units: str, case: str) -> None:
    calc.needed()
    inputs = _cases(units)[case]
    functions, plain = plans.computed(units, inputs), plans.office(units, inputs)
    answer = plans.place(plans.plan(units).book.named("functions_answer"))
    for place, value in functions.items():
        if place != answer:
            assert alike(value, plain.get(place)), (place, value, plain.get(place))


def test_both_unit_systems_decide_alike() -> None:
    for case in ("blank", "worked", "everything"):
        metric, us = (plans.computed(units, _cases(units)[case]) for units in ("metric", "us"))
        for place, value in metric.items():
            if isinstance(value, str) and "gal" not in str(us[place]):
                assert us[place] == value, (case, place)
        for name in ("next_dose_date", "next_dose", "doses_needed", "uptake", "uptake_error", "ph_after_at_once",
                     "ph_after_settled"):
            assert plans.named(us, "us", name) == _near(plans.named(metric, "metric", name)), (case, name)


def _near(value: Any) -> Any:
    return pytest.approx(value, rel=1e-9) if isinstance(value, float) else value


def test_819_us_gallons_are_dosed_like_3100_litres() -> None:
    # 819 US gal are 3100.25 L: the same plan, doses larger by less than a hundredth of a percent.
    metric = plans.computed("metric", plans.typed("metric"))
    inputs = plans.typed("us")
    inputs[plans.place(plans.plan("us").given("volume"))] = plans.US_GALLONS
    us = plans.computed("us", inputs)
    assert plans.calendar(us, "us", "what") == plans.calendar(metric, "metric", "what")
    assert plans.calendar(us, "us", "date") == plans.calendar(metric, "metric", "date")
    assert plans.named(us, "us", "next_dose") == pytest.approx(
        plans.named(metric, "metric", "next_dose") * 819 * 3.785411784 / 3100, rel=1e-9)


def _random_plan(seed: int) -> tuple[plans.Inputs, float]:
    """A plan for any water that the functions allow, not only the scenario's: the rule must hold in all of them."""
    dice = random.Random(seed)
    rule = dice.choice((0.1, 0.2, 0.3))
    low = dice.uniform(5, 40)
    first, fall = dice.uniform(10, 60), dice.uniform(0.2, 3.0)
    setup = {
        "volume": dice.uniform(100, 20000), "temperature": dice.uniform(10, 32), "ph_start": dice.uniform(6.0, 7.6),
        "alkalinity_start": dice.uniform(15, 200), "ph_rule": rule, "days_between": dice.randint(1, 7),
        "conductivity": dice.choice((None, 300.0, 900.0)), "ph_lowest": 5.8, "ph_highest": 7.8,
        "alkalinity_hold": dice.choice((None, 60.0)), "base": dice.choice((None, "sodium bicarbonate")),
    }
    nutrients = plans.phosphate_with(low=low, high=low + dice.uniform(5, 20), kit_high=100.0,
                                     resolution=dice.choice((0.5, 1.0, 2.0)), product=dice.choice(PHOSPHATE.products))
    rows: list[dict[str, Any]] = [
        {"date": plans.FIRST_DAY + timedelta(days=3 * i),
         "phosphate": max(0.5, first - fall * 3 * i + dice.gauss(0, 0.5))} for i in range(dice.randint(2, 8))
    ]
    return plans.typed("metric", setup, nutrients, rows), rule


def test_every_days_dose_keeps_the_rule() -> None:
    dosed, plans_tried = 0, 25 if thorough() else 10
    for seed in range(plans_tried):
        inputs, rule = _random_plan(seed)
        values = plans.computed("metric", inputs)
        assert not _errors(values), seed
        rows = zip(*(plans.calendar(values, "metric", key) for key in (
            "ph", "once", "settled", "dose", "base", "alkalinity", "before", "after")))
        for ph, once, settled, dose, base, alkalinity, before, after in rows:
            assert not (dose != "" and base != ""), "acid and base on one day"
            if "" in (ph, once, settled):
                assert dose == base == "", seed
                continue
            dosed += dose != "" or base != ""
            limit = rule + 1e-6 if dose == "" or after - before < 1e-9 or not _is_blend(inputs) else 0.05
            assert abs(once - ph) <= limit, (seed, ph, once)
            assert abs(settled - ph) <= limit, (seed, ph, settled)
            assert alkalinity > 0, seed
            if dose != "":
                assert after <= inputs[plans.place(cell(PHOSPHATE, "high"))] + 1e-6, seed
    assert dosed > 4 * plans_tried


def _is_blend(inputs: plans.Inputs) -> bool:
    return bool(inputs[plans.place(cell(PHOSPHATE, "product"))] == BLEND)


def _without(values: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in values.items() if key not in keys}


def _rising() -> list[dict[str, Any]]:
    return [row | {"phosphate": 9.0 + i} for i, row in enumerate(plans.READINGS)]


@pytest.mark.parametrize(("changed", "words"), [
    ({"setup": _without(plans.SETUP, "alkalinity_start")}, "Put this right: Alkalinity (Setup or Readings) is missing"),
    ({"setup": _without(plans.SETUP, "ph_start")}, "Put this right: pH (Setup or Readings) is missing"),
    ({"setup": _without(plans.SETUP, "volume")}, "Put this right: Water volume, measured (Setup) is missing"),
    ({"nutrients": {"phosphate": _without(plans.TARGETS["phosphate"], "basis")}},
     "Put this right: What the phosphate kit reads as (Nutrients) is missing"),
    ({"nutrients": {"phosphate": _without(plans.TARGETS["phosphate"], "resolution")}},
     "Put this right: Resolution of the phosphate kit (Nutrients) is missing"),
    ({"nutrients": plans.phosphate_with(kit_high="about 25")},
     "Put this right: Highest reading of the phosphate kit (Nutrients) is no number"),
    ({"setup": plans.SETUP | {"ph_rule": "little"}},
     "Put this right: Largest change of pH in a day (Setup) is no number"),
    ({"rows": [*plans.READINGS, {"date": plans.AS_OF, "ph": "low"}]},
     "Put this right: A row of Readings is not in order"),
    ({"rows": [*plans.READINGS, {"date": plans.AS_OF, "phosphate": 99999.0}]},
     "Put this right: A row of Readings is not in order"),
    ({"nutrients": plans.phosphate_with(low=15.0)}, "The lower end of the target must be below its upper end"),
    ({"strengths": {}}, "Put this right: Strength on the label of the phosphate product is missing"),
    ({"rows": []}, "Put this right: A reading of phosphate (Readings) is missing"),
    ({"rows": [plans.READINGS[1]]}, "One reading is not enough: the uptake needs two. Test again in 3 days."),
    ({"rows": _rising()}, "Phosphate does not fall: do not dose."),
    ({"rows": [*plans.READINGS[:-1], plans.READINGS[-1] | {"phosphate": 25.0}]},
     "The reading is at the upper end of the kit"),
    ({"setup": plans.SETUP | {"ph_lowest": 7.3}}, "No dose is possible: pH or alkalinity is at its limit"),
    # Less alkalinity than the phosphate itself brings, which no water has.
    ({"setup": plans.SETUP | {"alkalinity_start": 1.0}},
     "pH, alkalinity and phosphate contradict each other"),
])
def test_what_is_missing_is_named_and_no_dose_is_made_up(changed: dict[str, Any], words: str) -> None:
    values = plans.computed("metric", plans.typed("metric", **changed))
    assert str(plans.named(values, "metric", "next_step")).startswith(words)
    for name in ("next_dose", "next_dose_date", "ph_after_at_once", "doses_needed"):
        assert plans.named(values, "metric", name) == "", name
    assert not _errors(values)


def test_a_first_reading_below_the_target_is_dosed_without_an_uptake() -> None:
    rows = [{"date": plans.AS_OF, "phosphate": 7.0}]
    values = plans.computed("metric", plans.typed("metric", rows=rows))
    assert str(plans.named(values, "metric", "next_step")).startswith("Today: ")
    assert plans.named(values, "metric", "uptake") == ""
    assert plans.calendar(values, "metric", "before")[1] == "", "no forecast without an uptake"


def test_a_kit_at_its_lowest_does_not_spoil_the_uptake() -> None:
    rows = [*plans.READINGS[:-1], plans.READINGS[-1] | {"phosphate": 8.5}]
    values = plans.computed("metric", plans.typed("metric", nutrients=plans.phosphate_with(kit_low=8.5), rows=rows))
    slope = numpy.polyfit([0, 3, 6, 9], plans.READ[:-1], 1)[0]
    assert plans.named(values, "metric", "uptake") == pytest.approx(-slope)
    table = plans.plan("metric").tables["Readings"]
    assert values["Readings", f"{table.letter('state')}{table.first_row + 4}"] == (
        "watch: phosphate at the lower end of its kit; the true value may be lower")


def test_a_due_dose_that_was_not_entered_is_asked_for() -> None:
    late = plans.computed("metric", plans.typed("metric", as_of=plans.AS_OF + timedelta(days=2)))
    assert str(plans.named(late, "metric", "next_step")).startswith("A dose was due 2 days ago.")
    assert late[plans.place(cell(PHOSPHATE, "state"))] == "watch: a dose was due 2 days ago; test first"
    early = plans.computed("metric", plans.typed("metric", as_of=plans.AS_OF - timedelta(days=2)))
    assert plans.named(early, "metric", "date_check") == (
        "act: some readings are later than this date: enter today's date")
