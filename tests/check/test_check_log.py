"""What the check finds in a farm log: each kind of slip, at its cell, and nothing where all is in order.

The limits for jumps, trends, losses of weight and the resolution of kits are common practice, no source; each test's
numbers lie far beyond them, so a slip may be outside the scenario's water. Factors between bases follow from atomic
masses (IUPAC 2021), those between gallons and litres from their definitions (US gallon 3.785411784 L, Imperial
gallon 4.54609 L).
"""

from __future__ import annotations

from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pailbook.demo.scenario import NORTH_RAFT, SOUTH_BEDS
from pailbook.workbook.check.run import check
from small_log import (
    DAYS,
    FIRST_DAY,
    LAST,
    LAST_DAY,
    RAFT,
    SEASON,
    TESTS,
    Changes,
    address,
    edited,
    found_in,
    place,
    serious,
    small_log,
)
from thorough import examples, first

W, K, F, CHANGES = "Water tests", "Kits", "Fish", "Water added and changed"


@pytest.mark.parametrize(("units", "plain"), first([("us", False), ("metric", True), ("metric", False), ("us", True)]))
def test_nothing_is_found_where_all_is_in_order(tmp_path: Path, units: str, plain: bool) -> None:
    assert check(small_log(tmp_path, units=units, plain=plain)) == []


@settings(max_examples=examples(8), deadline=None, derandomize=True,
          suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_clean_random_log_says_act_nowhere(tmp_path: Path, data: st.DataObject) -> None:
    """Readings scatter as kits do, within what yellow perch tolerate."""
    bounds = {"temperature": (21.0, 24.0), "ph": (7.2, 7.6), "oxygen": (6.0, 8.0), "tan": (0.1, 0.4),
              "nitrite": (0.05, 0.4), "nitrate": (50.0, 80.0), "phosphate": (9.0, 13.0), "alkalinity": (70.0, 90.0),
              "conductivity": (550.0, 650.0)}
    changes = {(key, i): round(data.draw(st.floats(low, high)), 3) for i in range(TESTS)
               for key, (low, high) in bounds.items()}
    assert [f for f in check(small_log(tmp_path, {W: changes})) if f.verdict == "act"] == []


ONE_CELL: list[tuple[str, Changes, tuple[str, str, str]]] = [
    # Below 3 mg/L oxygen yellow perch are in danger: common practice, no source (the log's own limit).
    ("oxygen", {W: {("oxygen", LAST): 2.4}}, ("act", "outside the limits", place(W, "oxygen", LAST))),
    ("oxygen before", {W: {("oxygen", 4): 2.4}}, ("fine", "was outside the limits", place(W, "oxygen", 4))),
    ("oxygen in between", {W: {("oxygen", LAST): 4.5}}, ("watch", "outside the limits", place(W, "oxygen", LAST))),
    # What a probe shows that is broken, not connected or in the air, and what people type instead of a number.
    ("probe not connected", {W: {("temperature", LAST): -127.0}},
     ("act", "impossible reading", place(W, "temperature", LAST))),
    ("pH of a broken probe", {W: {("ph", 3): 15.45}}, ("watch", "impossible reading", place(W, "ph", 3))),
    ("probe in the air", {W: {("conductivity", 3): 0.0}}, ("watch", "impossible reading", place(W, "conductivity", 3))),
    ("text", {W: {("tan", LAST): "<0.25"}}, ("act", "text in place of a number", place(W, "tan", LAST))),
    ("text before", {W: {("nitrate", 2): "0,25 ppm"}}, ("watch", "text in place of a number", place(W, "nitrate", 2))),
    ("pH jump", {W: {("ph", 5): 8.7}}, ("watch", "sudden jump", place(W, "ph", 5))),
    ("temperature jump", {W: {("temperature", 5): 10.0}}, ("watch", "sudden jump", place(W, "temperature", 5))),
    # 10.5 / 3.066
    ("PO4 as P", {W: {("phosphate", LAST): 3.4}}, ("act", "unit or basis", place(W, "phosphate", LAST))),
    ("thrice the phosphate", {W: {("phosphate", 4): 33.0}}, ("watch", "sudden jump", place(W, "phosphate", 4))),
    ("NO3 as N", {W: {("nitrate", 5): 14.7}}, ("watch", "unit or basis", place(W, "nitrate", 5))),  # 65 / 4.427
    ("alkalinity in dH", {W: {("alkalinity", 5): 4.5}}, ("watch", "unit or basis", place(W, "alkalinity", 5))),
    ("mS for µS", {W: {("conductivity", 5): 0.59}}, ("watch", "unit or basis", place(W, "conductivity", 5))),
    ("µg/L for mg/L", {W: {("tan", 5): 300.0}}, ("watch", "unit or basis", place(W, "tan", 5))),
    # At pH 7.4 and 22.4 °C 1.17 % of the ammonia is un-ionised (Emerson et al. 1975): 0.0035 of 0.3 mg/L.
    ("NH3 as TAN", {W: {("tan", 5): 0.0035}}, ("watch", "unit or basis", place(W, "tan", 5))),
    # A tank of 2.00 x 1.00 x 1.55 m holds the 3,100 L of North raft: 818.9 US gal or 681.9 Imperial gal.
    ("US gallons as litres", {"Systems": {("shape", 0): "rectangular", ("length", 0): 200.0, ("width", 0): 100.0,
                                          ("depth", 0): 155.0, ("volume", 0): 818.9}},
     ("act", "unit or basis", place("Systems", "volume", 0))),
    ("Imperial gallons as litres", {"Systems": {("shape", 0): "rectangular", ("length", 0): 200.0, ("width", 0): 100.0,
                                                ("depth", 0): 155.0, ("volume", 0): 681.9}},
     ("act", "unit or basis", place("Systems", "volume", 0))),
    ("volume by no unit", {"Systems": {("shape", 0): "rectangular", ("length", 0): 200.0, ("width", 0): 100.0,
                                       ("depth", 0): 155.0, ("volume", 0): 2000.0}},
     ("watch", "volume in doubt", place("Systems", "volume", 0))),
    ("more water than there is", {"Water added and changed": {
        ("date", 0): FIRST_DAY, ("system", 0): RAFT, ("how", 0): "changed", ("volume", 0): 3500.0}},
     ("watch", "volume in doubt", place("Water added and changed", "volume", 0))),
    ("kit at its end", {K: {("high", 1): 10.0}}, ("watch", "kit at the end of its range", place(W, "phosphate", LAST))),
    ("kit was at its end", {W: {("alkalinity", 4): 60.0}, K: {("low", 2): 60.0}},
     ("fine", "kit was at the end of its range", place(W, "alkalinity", 4))),
    ("pH kit too coarse", {K: {("resolution", 0): 0.4}}, ("watch", "kit too coarse", place(K, "resolution", 0))),
    # 20 mg/L lie between the log's watch and act of alkalinity.
    ("alkalinity kit too coarse", {K: {("resolution", 2): 25.0}},
     ("watch", "kit too coarse", place(K, "resolution", 2))),
    ("kit expired", {K: {("expiry", 1): date(2026, 3, 20)}}, ("watch", "kit expired", place(K, "expiry", 1))),
    ("kit in P", {K: {("basis", 1): "P"}}, ("act", "kit in another basis", place(K, "basis", 1))),
    ("two kits", {K: {("kit", 3): "strips", ("reads", 3): "pH", ("in_use", 3): "yes"}},
     ("act", "two kits for one reading", place(K, "in_use", 3))),
    ("never tested", {"Systems": {("system", 1): SOUTH_BEDS.name}},
     ("watch", "test overdue", place("Systems", "system", 1))),
    ("more dead than there were", {F: {("count", 1): 101}}, ("act", "stock does not add up", place(F, "count", 1))),
    ("harvest of what is not there", {F: {("event", 1): "harvested", ("count", 1): 140}},
     ("act", "stock does not add up", place(F, "count", 1))),
    ("fish lighter", {F: {("mean", 2): 30.0}}, ("watch", "fish weight falls", place(F, "mean", 2))),
    ("deaths in one place alone", {"Incidents": {
        ("date", 0): LAST_DAY, ("system", 0): RAFT, ("what", 0): "deaths", ("dead", 0): 5}},
     ("watch", "deaths not entered", place("Incidents", "dead", 0))),
    ("a system off the list", {W: {("system", 4): "North rafT 2"}}, ("watch", "refused input", place(W, "system", 4))),
    ("protein of a feed out of range", {"Feed": {("date", 0): FIRST_DAY, ("system", 0): RAFT, ("protein", 0): 95.0}},
     ("watch", "refused input", place("Feed", "protein", 0))),
    ("chlorine went in", {"Water added and changed": {
        ("date", 0): LAST_DAY, ("system", 0): RAFT, ("how", 0): "changed", ("volume", 0): 100.0,
        ("source", 0): "tap water with chlorine", ("chlorine", 0): "no"}},
     ("act", "water added or changed", place(CHANGES, "state", 0))),
    ("haul water went in long ago", {"Water added and changed": {
        ("date", 0): FIRST_DAY, ("system", 0): RAFT, ("how", 0): "changed", ("volume", 0): 100.0,
        ("source", 0): "haul water"}},
     ("fine", "was harmful water", place(CHANGES, "state", 0))),
    # pH may move by 0.2 a day: common practice, no source (the log's own limit).
    ("acid chased", {"Doses": {("date", 0): LAST_DAY, ("system", 0): RAFT, ("aim", 0): "lower pH", ("amount", 0): 90.0,
                               ("before", 0): 7.9, ("after", 0): 7.1}},
     ("act", "harsh dose", place("Doses", "state", 0))),
    ("medicine", {"Doses": {("date", 0): LAST_DAY, ("system", 0): RAFT, ("aim", 0): "medicine"}},
     ("watch", "medicine given", place("Doses", "state", 0))),
    ("backup air not tried", {"Upkeep": {("date", 0): FIRST_DAY, ("item", 0): "backup air tried", ("every", 0): 7.0}},
     ("act", "upkeep overdue", place("Upkeep", "state", 0))),
    ("overstocked", {F: {("count", 0): 9000}},
     ("act", "too many fish or deaths", place("Stock and feed", "verdict", 0))),
    ("many deaths", {F: {("date", 1): LAST_DAY, ("count", 1): 30}},
     ("act", "too many fish or deaths", place("Stock and feed", "verdict", 0))),
    ("day and month swapped", {W: {("date", 4): date(2026, 6, 3)}}, ("watch", "date after today", place(W, "date", 4))),
    ("a test without a date", {W: {("date", 4): None}}, ("watch", "no date", place(W, "date", 4))),
    ("a test of no system", {W: {("system", 4): None}}, ("watch", "no system", place(W, "system", 4))),
    ("a row pasted twice", {W: {(key, TESTS): value for key, value in SEASON[W][LAST].items()}},
     ("watch", "entered twice", place(W, "date", TESTS))),
    # At pH 7.4 phosphate of 80 mg/L alone gives more alkalinity than 10 mg/L, so no free CO2 fits: no system's water.
    ("alkalinity and phosphate contradict", {W: {("alkalinity", LAST): 10.0, ("phosphate", LAST): 80.0}},
     ("watch", "readings contradict each other", place(W, "co2", LAST))),
]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [pytest.param(*one[1:], id=one[0], marks=pytest.mark.long if i % 6 else ()) for i, one in enumerate(ONE_CELL)])
def test_a_slip_is_found_at_its_cell(tmp_path: Path, changes: Changes, expected: tuple[str, str, str]) -> None:
    found = found_in(small_log(tmp_path, changes))
    assert expected in found
    of_kind = {place for _, kind, place in found if kind == expected[1]}
    assert of_kind == {expected[2]} or expected[1] == "outside the limits"


@pytest.mark.parametrize(("formula", "found"), first([
    ("AVERAGE('Water tests'!{0})", True), ("ROUND(AVERAGE('Water tests'!{1}:{1}),1)", True),
    ("AVERAGEIF('Water tests'!$C$5:$C$16,\"North raft\",'Water tests'!{0})", True),
    ("AVERAGEIF('Water tests'!{0},\">7\",'Water tests'!$D$5:$D$16)", False), ("MEDIAN('Water tests'!{0})", False),
    ("AVERAGE('Water tests'!$D$5:$D$16)", False), ("AVERAGE({0})", False),
], 3))
def test_an_average_of_ph(tmp_path: Path, formula: str, found: bool) -> None:
    """pH is a logarithm of the hydrogen ion's activity (ISO 80000-9): its mean over days or waters is no water's pH."""
    letter = address(W, "ph", 0).rstrip("0123456789")
    text = "=" + formula.format(f"${letter}$5:${letter}$16", letter)
    path = edited(small_log(tmp_path), {"Overview": {"Z60": text}})
    assert ("watch", "pH averaged", "Overview!Z60") in found_in(path) or not found
    assert found or not [one for one in found_in(path) if one[1] == "pH averaged"]


def test_a_date_after_today_may_mean_that_today_was_not_typed(tmp_path: Path) -> None:
    found = check(small_log(tmp_path, as_of=LAST_DAY - timedelta(days=1)))
    assert [(one.verdict, one.kind, one.place) for one in found] == [
        ("watch", "date after today", place(W, "date", LAST))]
    assert "type today's date on Start" in found[0].remedy


@pytest.mark.parametrize("what", ["raise pH", "water"])
def test_a_dose_or_a_water_change_explains_a_jump(tmp_path: Path, what: str) -> None:
    day = FIRST_DAY + timedelta(days=DAYS * 4)
    between: Any = ({"Doses": {("date", 0): day, ("system", 0): RAFT, ("aim", 0): what, ("amount", 0): 90.0}}
                    if what != "water" else {"Water added and changed": {
                        ("date", 0): day, ("system", 0): RAFT, ("how", 0): "changed", ("volume", 0): 500.0}})
    raised = {("ph", i): 8.7 for i in range(5, TESTS)}  # more than pH changes without a cause
    assert not [f for f in found_in(small_log(tmp_path, {W: raised, **between})) if f[1] == "sudden jump"]
    assert [f for f in found_in(small_log(tmp_path, {W: raised})) if f[1] == "sudden jump"] == [
        ("watch", "sudden jump", place(W, "ph", 5))]


@pytest.mark.parametrize(("units", "typed", "instead"), [("metric", 72.0, 22.2), ("us", 22.0, 71.6)])
def test_a_temperature_in_the_other_unit_is_named(tmp_path: Path, units: str, typed: float, instead: float) -> None:
    """72 °F are 22.2 °C, and 22 °C are 71.6 °F, by the definition of the scales."""
    found = check(small_log(tmp_path, {W: {("temperature", LAST): typed}}, units=units))
    mine = [f for f in found if f.place == place(W, "temperature", LAST)]
    assert {f.verdict for f in mine} >= {"act"}
    assert any(f"{instead:g}" in f.remedy for f in mine)


def test_oxygen_that_stands_at_0_for_hours_is_a_meter_not_measuring(tmp_path: Path) -> None:
    day = SEASON[W][4]["date"]
    changes = {(key, row): value for row, hour in zip((4, 5, 6), (8, 9, 10))
               for key, value in (("date", day), ("time", time(hour)), ("oxygen", 0.0))}
    assert {f for f in found_in(small_log(tmp_path, {W: changes})) if f[1] == "meter not measuring"} == {
        ("watch", "meter not measuring", place(W, "oxygen", row)) for row in (4, 5, 6)}


@pytest.mark.parametrize(("days", "verdict"), [(7, None), (8, "watch"), (15, "act")])
def test_overdue_tests(tmp_path: Path, days: int, verdict: str | None) -> None:
    """The log's own limits: watch above 7 days, act above 14."""
    found = found_in(small_log(tmp_path, as_of=LAST_DAY + timedelta(days=days)))
    assert found == ({(verdict, "test overdue", place(W, "date", LAST))} if verdict else set())


def test_without_todays_date_it_is_not_known_what_is_overdue(tmp_path: Path) -> None:
    found = check(small_log(tmp_path, as_of=None))
    assert {one.verdict for one in found} == {"not known"}
    (date_not_set,) = [one for one in found if one.kind == "date not set"]
    assert date_not_set.sheet == "Start"


def test_ammonia_that_has_not_been_tested_for_long(tmp_path: Path) -> None:
    unknown = {("tan", i): None for i in range(3, TESTS)}
    assert found_in(small_log(tmp_path, {W: unknown})) == {("watch", "ammonia not tested", place(W, "tan", 2))}


def test_alkalinity_that_runs_out(tmp_path: Path) -> None:
    """It falls by 2 mg/L a day, from 86 to 32; the limit is 20, which is 6 days away."""
    falls = {("alkalinity", i): 86.0 - 6 * i for i in range(TESTS)}
    mine = [f for f in check(small_log(tmp_path, {W: falls})) if f.kind == "alkalinity running out"]
    assert [(f.verdict, f.place) for f in mine] == [("watch", place(W, "alkalinity", LAST))]
    assert mine[0].what == ("the alkalinity in North raft falls by 2 mg/L a day: it was 32 mg/L as CaCO3 on 2026-03-29 "
                            "and reaches the limit of 20 mg/L in about 6 days")


def test_a_dose_ends_a_trend(tmp_path: Path) -> None:
    falls = {("alkalinity", i): 86.0 - 6 * i for i in range(TESTS)}
    dose = {("date", 0): LAST_DAY - timedelta(days=1), ("system", 0): RAFT, ("aim", 0): "alkalinity"}
    found = found_in(small_log(tmp_path, {W: falls, "Doses": dose}))
    assert not [f for f in found if f[1] == "alkalinity running out"]


def test_water_in_another_unit_than_before(tmp_path: Path) -> None:
    """200 L a week, then 53: US gallons, by definition."""
    rows = {(key, i): value for i, volume in enumerate((200.0, 205.0, 195.0, 53.0))
            for key, value in (("date", FIRST_DAY + timedelta(days=7 * i)), ("system", RAFT), ("how", "topped up"),
                               ("volume", volume), ("source", NORTH_RAFT.source))}
    found = found_in(small_log(tmp_path, {"Water added and changed": rows}))
    assert found == {("watch", "unit or basis", place("Water added and changed", "volume", 3))}


def test_the_users_own_limits_hold(tmp_path: Path) -> None:
    from pailbook.workbook.package import Workbook, set_cells

    path = small_log(tmp_path)
    contents = Workbook(path).contents()["Limits"]
    row = max(int(address[1:]) for address, value in contents.items()
              if value == "Temperature: watch above" and address[0] == "A" and int(address[1:]) < 100)
    letter = next(address.rstrip("0123456789") for address, value in contents.items() if value == "Yellow perch")
    set_cells(path, path, {"Limits": {f"{letter}{row}": 21.0}}, overwrite=True)
    assert serious(check(path))[0].place == place(W, "temperature", LAST)
    assert "the limit for watch is 21 °C for yellow perch" in serious(check(path))[0].what
