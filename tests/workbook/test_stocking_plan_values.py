"""The stocking plan's numbers by arithmetic of the test's own: growth, feed, deaths, harvest, and what they need."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

import stocks
from pailbook.workbook.stocking_plan import areas, cohorts, growth, harvest, weeks

YELLOW_PERCH = (10.0, 24.0)  # °C: no feed below, best growth at 23 to 25 (NCRAC, yellow perch culture)


def cube_root(mass: float) -> float:
    return float(np.cbrt(mass))


def grown(mass: float, coefficient: float, temperature: float, days: float = 7) -> float:
    """Iwama & Tautz 1981, held to the range of yellow perch."""
    warmth = 0.0 if temperature < YELLOW_PERCH[0] else min(temperature, YELLOW_PERCH[1])
    return (cube_root(mass) + coefficient * warmth * days / 1000) ** 3


def season(temperatures: dict[int, float]) -> list[dict[str, float]]:
    """The worked case, week by week: both cohorts together."""
    coefficient_2 = 1000 * (cube_root(14) - cube_root(6.5)) / (22 * 40)
    weeks_of: list[dict[str, float]] = [
        {"fish": 0, "biomass": 0, "feed": 0, "taken": 0, "weight": 0} for _ in range(stocks.WEEKS)]
    for count, mass, coefficient, conversion, deaths, begins, target, every in (
        (115.0, 118.0, 0.6, 1.6, 0.005, stocks.FIRST_DAY, 150.0, 12.0),
        (260.0, 14.0, coefficient_2, 1.3, 0.004, stocks.COHORTS[1]["stocked"], 150.0, 14.0),
    ):
        for number, week in enumerate(weeks_of):
            day = stocks.FIRST_DAY + timedelta(days=7 * number)
            if begins >= day + timedelta(days=7) or count < 0.5:
                continue
            taken = min(every, count) if mass >= target else 0.0
            after = grown(mass, coefficient, temperatures.get(number + 1, 23.5))
            week["fish"] += count
            week["taken"] += taken
            week["weight"] += taken * mass / 1000
            week["feed"] += (count - taken) * (after - mass) * conversion / 7
            week["biomass"] += (count - taken) * after / 1000
            count, mass = (count - taken) * (1 - deaths) if count - taken >= 0.5 else 0.0, after
    return weeks_of


CASES: dict[str, dict[int, float]] = {
    "usual": {}, "a cold and a hot spell": {4: 8.0, 5: 9.5, 6: 11.0, 9: 27.0, 10: 29.0, 11: 24.0},
}


@pytest.mark.parametrize("case", CASES)
def test_cohorts_grow_feed_die_and_are_harvested(case: str) -> None:
    temperatures = CASES[case]
    values = stocks.computed("metric", stocks.typed("metric", temperatures=temperatures))
    columns = {key: stocks.column(values, "metric", weeks.SHEET, key)
               for key in ("fish", "biomass", "feed", "taken", "taken_weight")}
    for number, week in enumerate(season(temperatures)):
        for key, name in (("fish", "fish"), ("biomass", "biomass"), ("feed", "feed"), ("taken", "taken"),
                          ("weight", "taken_weight")):
            assert columns[name][number] == pytest.approx(week[key], rel=1e-9, abs=1e-9), (number, key)
    if temperatures:
        assert columns["feed"][3] == columns["feed"][4] == 0, "too cold to feed"
        assert columns["feed"][5] > 0
        assert stocks.column(values, "metric", weeks.SHEET, "state")[3] == "watch: too cold to feed"


def test_what_the_fullest_week_needs_by_hand() -> None:
    values = stocks.computed("metric", stocks.typed("metric"))

    def most(name: str) -> Any:
        return stocks.named(values, "metric", f"{name}_needed")

    feeds = [week["feed"] for week in season({})]
    feed = max(feeds)
    assert feeds.index(feed) + 1 == stocks.named(values, "metric", "feed_most_week")
    assert stocks.named(values, "metric", "feed_most") == pytest.approx(feed, rel=1e-9)
    tan = feed * 0.32 * 0.092
    # 0.3 g/m² a day at 25 °C, 10 % less for each degree below (common practice); a moving bed of 500 m²/m³.
    assert most("filter") == pytest.approx(tan / (0.3 * 1.1**-1.5) / 500 * 1000, rel=1e-9)
    # 10.5 m² of leafy plants take 45 g each.
    assert most("plants") == pytest.approx(feed / 45, rel=1e-9)
    assert most("alkalinity_use") == pytest.approx(tan * 7.145, rel=1e-3)
    assert most("nitrate") == pytest.approx(tan * 62.004 / 14.007, rel=1e-4)
    assert most("density") == pytest.approx(max(week["biomass"] for week in season({})) / 3.1, rel=1e-9)
    # ASCE: 0.2787 g of oxygen per L of air, 3 % for each m, alpha 0.9, 1.024^(t-20), beta 0.98 of 8.50 mg/L at 23.5 °C
    # (between 8.58 at 23 and 8.42 at 24 °C).
    per_litre = 60 * 278.7 * 0.03 * 0.8 * 0.9 * 1.024**3.5 * (0.98 * 8.50 - 5) / 9.09
    assert most("air") == pytest.approx(feed * 0.5 * 1000 / 24 * 1.4 / per_litre, rel=0.02)
    assert stocks.named(values, "metric", "turnover_now") == pytest.approx(3400 / 3100)
    # Colebrook and White; five elbows of 30 diameters are 5.4 m more.
    speed = 3.4 / 3600 / (math.pi / 4 * 0.036**2)
    reynolds = speed * 0.036 / 1.004e-6
    root = brentq(lambda x: x + 2 * math.log10(0.0015 / 36 / 3.7 + 2.51 * x / reynolds), 1, 20)
    friction = (7 + 5.4) / 0.036 * speed**2 / 2 / 9.80665 / root**2
    assert stocks.named(values, "metric", "friction_head") == pytest.approx(friction, rel=0.01)
    assert stocks.named(values, "metric", "pump_watts") == pytest.approx(
        9.789 * 3.4 / 3.6 * (1.1 + friction) / 0.3, rel=0.005), "998.2 kg/m³ x 9.807 m/s² x 3.4 m³ in 3600 s"


def test_totals_and_the_harvest_calendar() -> None:
    values, expected = stocks.computed("metric", stocks.typed("metric")), season({})
    results = {name: stocks.named(values, "metric", name) for name in (
        "feed_total", "fish_harvested", "weight_harvested", "next_harvest", "next_harvest_date", "feed_now")}
    assert results["feed_total"] == pytest.approx(sum(week["feed"] for week in expected) * 7 / 1000, rel=1e-9)
    assert results["fish_harvested"] == pytest.approx(sum(week["taken"] for week in expected), rel=1e-9)
    assert results["weight_harvested"] == pytest.approx(sum(week["weight"] for week in expected), rel=1e-9)
    assert results["feed_now"] == pytest.approx(expected[2]["feed"], rel=1e-9), "16 days in: the third week"
    harvests = [number + 1 for number, week in enumerate(expected) if week["taken"] > 0]
    rows = stocks.column(values, "metric", harvest.SHEET, "week")
    assert [row for row in rows if row != ""] == harvests
    first = expected[harvests[0] - 1]
    mean = first["weight"] * 1000 / first["taken"]
    assert results["next_harvest"] == f"in week {harvests[0]}: 12 fish from own hatch 2026 at {mean:.0f} g each"
    day = stocks.FIRST_DAY + timedelta(days=7 * (harvests[0] - 1))
    assert results["next_harvest_date"] == (day - date(1899, 12, 30)).days
    assert stocks.column(values, "metric", cohorts.SHEET, "ready")[0] == results["next_harvest_date"]
    later = stocks.computed("metric", stocks.typed("metric", as_of=day + timedelta(days=8)))
    assert str(stocks.named(later, "metric", "next_harvest")).startswith(f"in week {harvests[1]}: ")
    past = stocks.computed("metric", stocks.typed("metric", as_of=stocks.FIRST_DAY + timedelta(days=2000)))
    assert stocks.named(past, "metric", "next_harvest") == stocks.named(past, "metric", "feed_now") == ""


def test_all_at_once_where_no_number_a_week_is_given() -> None:
    fish = [stocks.COHORTS[0] | {"per_week": None}]
    values = stocks.computed("metric", stocks.typed("metric", fish=fish))
    taken = [value for value in stocks.column(values, "metric", growth.SHEET, "taken_0") if value not in ("", 0.0)]
    assert taken == [pytest.approx(115 * 0.995**5)]


def test_two_weighings_give_the_growth_coefficient() -> None:
    values = stocks.computed("metric", stocks.typed("metric"))
    used = stocks.column(values, "metric", cohorts.SHEET, "growth")
    assert used[:2] == [0.6, pytest.approx(1000 * (cube_root(14) - cube_root(6.5)) / (22 * 40))]
    assert used[2:] == [""] * 4


def test_own_ratios_of_feed_count() -> None:
    plants = [{"crop": "leafy", "area": 6.0, "ratio": 100.0}, {"crop": "fruiting", "area": 2.0}]
    values = stocks.computed("metric", stocks.typed("metric", plants=plants))
    assert stocks.column(values, "metric", areas.SHEET, "feed")[:2] == [600.0, 130.0]
