"""What the farm log calculates: nothing from nothing, the same in every engine and unit system, and what is known."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

import calc
import filled
import logs
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.terms import international
from pailbook.workbook.farm_log import trends
from thorough import first

libreoffice = pytest.mark.libreoffice
LONG = (libreoffice, pytest.mark.long)
AGREEMENT = 1e-9  # relative, between engines
TESTS = "Water tests"

# Numbers that are there without any entry: limits, factors of the bases, and helper cells that no one sees.
NUMBERS_OF_THEIR_OWN = {"Limits": "EFGHIJKLMN", "Settings": "D", TESTS: "Y", "Kits": "BCDEFGHIJ", trends.DATA: "C"}
TEXTS_OF_THEIR_OWN = {"Settings": "CE", TESTS: "GHIJKL", "Kits": "BCDEFGHIJ", "Start": "C", "Trends": "D"}


def _computed(engine: str, units: str, filled: bool) -> logs.Values:
    if engine == "office":
        calc.needed()
        return logs.office(units, filled)
    return logs.headless(units, filled)


ENGINES = [("headless", "metric"), *(pytest.param("office", units, marks=LONG) for units in UNIT_SYSTEMS)]


@pytest.mark.parametrize(("engine", "units"), ENGINES)
def test_a_blank_log_makes_nothing_out_of_nothing(engine: str, units: str) -> None:
    values = _computed(engine, units, False)
    for (sheet, cell) in logs.formulas(logs.log(units, engine == "office")):
        column, value = cell.rstrip("0123456789"), _plain(values.get((sheet, cell)))
        if sheet == trends.DATA and value == "#N/A":
            continue  # a chart leaves the point out
        if isinstance(value, (int, float)):
            assert column in NUMBERS_OF_THEIR_OWN.get(sheet, ""), (sheet, cell, value)
        else:
            assert value is None or column in TEXTS_OF_THEIR_OWN.get(sheet, ""), (sheet, cell, value)
            assert not str(value).startswith("#"), (sheet, cell, value)


@pytest.mark.parametrize(("engine", "units"), [("headless", "metric"), ("headless", "us"), *ENGINES[1:]])
def test_a_filled_log_has_a_value_and_no_error_in_every_formula(engine: str, units: str) -> None:
    values = _computed(engine, units, True)
    for place in logs.formulas(logs.log(units, engine == "office", True)):
        assert engine == "office" or place in values
        value = _plain(values.get(place))
        assert not str(value).startswith("#") or (place[0] == trends.DATA and value == "#N/A"), (place, value)


@libreoffice
@pytest.mark.parametrize("units", first(("us", "metric")))
def test_plain_formulas_in_libreoffice_give_what_the_functions_give(units: str) -> None:
    calc.needed()
    functions, plain = logs.headless(units, True), logs.office(units, True)
    differing = {"functions_answer"}
    names = logs.log(units, False, True).book.names
    skipped = {logs.place(names[name]) for name in differing}
    for place, value in functions.items():
        if place not in skipped:
            assert _plain(plain.get(place)) == _near(_plain(value)), place


def test_metric_and_us_logs_of_the_same_season_say_the_same() -> None:
    metric, us = logs.headless("metric", True), logs.headless("us", True)
    compared = 0
    for cell, value in metric.items():
        if isinstance(value, str) and value and cell[0] != "Settings" and value not in UNIT_SYSTEMS:
            compared += 1
            assert international(us[cell]) == value, cell
    assert compared > 100


def test_the_overview_shows_the_latest_test_and_the_deadliest_step_first() -> None:
    values = logs.headless("metric", True)
    seen = {key: _named("metric", values, key) for key in (
        "next_step", "systems_to_act", "systems_to_watch", "latest_oxygen_lowest", "latest_oxygen_system",
        "latest_nh3_system", "kits_to_replace", "kits_to_act", "upkeep_overdue", "incidents_open", "tests_entered",
        "systems_not_known", "rows_not_known", "date_check")}
    # North raft has a test without a date; the system that is not there and that test are two rows.
    assert seen == {
        "next_step": f"{filled.CLIENT}: More air now. Stop feeding. Read oxygen again within the hour.",
        "systems_to_act": 1, "systems_to_watch": 2, "systems_not_known": 1, "rows_not_known": 2,
        "latest_oxygen_lowest": 2.6, "latest_oxygen_system": filled.CLIENT, "latest_nh3_system": filled.CLIENT,
        "kits_to_replace": 1, "kits_to_act": 1, "upkeep_overdue": 1, "incidents_open": 1, "tests_entered": 26,
        "date_check": "yes",
    }
    overview = logs.log("metric")["Overview"]
    north = {key: values["Overview", f"{overview.letter(key)}{overview.first_row}"] for key in ("date", "days", "ph")}
    assert north == {"date": 46146, "days": 8, "ph": 7.26}  # 4 May 2026, eight days before the 12th


def test_days_count_to_the_date_on_start() -> None:
    def days(as_of: Any) -> Any:
        place = logs.place(logs.log("metric").book.named("as_of"))
        values = logs.model("metric", True).calculate({place: as_of}).values
        table = logs.log("metric")["Overview"]
        row = table.first_row
        return [values["Overview", f"{table.letter(key)}{row}"] for key in ("days", "verdict")] + [
            _named("metric", values, "date_check")]

    assert days(logs.serial(date(2026, 5, 25)))[:2] == [21, "act"]
    assert days(logs.serial(date(2026, 5, 1)))[2] == "some tests have a later date: enter today's date"
    for nothing in ("", "abc", ErrorValue("#N/A")):
        assert days(nothing) == ["", "not known", "enter today's date above"]


def test_stock_follows_from_the_events() -> None:
    values, table = logs.headless("metric", True), logs.log("metric")["Stock and feed"]

    def stock(row: int) -> dict[str, Any]:
        return {column.key: values["Stock and feed", f"{table.letter(column.key)}{table.first_row + row}"]
                for column in table.columns}

    north, client = stock(0), stock(2)
    # 120 stocked less 15 harvested; 20 weigh 3.6 kg; 105 x 180 g in 3.1 m³.
    assert (north["stock"], north["one"], north["weighed"]) == (105, pytest.approx(180), 46125)
    assert north["biomass"] == pytest.approx(18.9)
    assert north["density"] == pytest.approx(18.9 / 3.1)
    assert north["feed"] == pytest.approx(240)
    assert north["feed_share"] == pytest.approx(240 / 189)  # percent of 18.9 kg a day
    assert north["oxygen"] == pytest.approx(120)  # half the feed's weight, common practice
    assert (client["stock"], client["lost"]) == (189, 11)
    assert client["lost_share"] == pytest.approx(100 * 11 / 200)
    # Over 5 % in 7 days: common practice (no published source).
    assert client["verdict"] == "act: many deaths; stop feeding, test the water, call for help"


@pytest.mark.parametrize(
    ("sheet", "key", "words"),
    [
        ("Kits", "state", ["watch: with a resolution of 0.4 it cannot show a change of 0.2",
                           "watch: expires in 18 days", "act: reads P, Settings say PO4; convert, or set both alike",
                           "watch: expired 2026-04-30; replace it", "fine"]),
        ("Systems", "check", ["fine", "watch: guessed; measure it before you dose",
                              "watch: measured and tape differ by over 10 %; US or Imperial gallons, or litres?",
                              "watch: without a volume there is no density and no dose"]),
        ("Fish", "state", ["fine", "fine", "watch: densely stocked", "fine", "fine", "fine",
                           "watch: new fish, day 7 of 21", "fine"]),
        ("Doses", "state", ["fine", "act: the pH moved by over twice the limit; give smaller doses",
                            "watch: follow the label, the law and your vet's advice; note when the fish may be eaten "
                            "again"]),
        ("Water added and changed", "state", ["fine", "act: remove the chlorine before tap water goes in",
                                              "watch: over 30 % at once; match temperature and pH",
                                              "act: haul water does not belong here (salt, ammonia, disease)"]),
        ("Upkeep", "state", ["not asked: done again since", "fine", "act: overdue by 33 days", "watch: due in 3 days"]),
        ("Incidents", "state", ["watch: still open", "fine: closed"]),
    ],
)
def test_the_other_sheets_judge_in_words(sheet: str, key: str, words: list[str]) -> None:
    values, table = logs.headless("metric", True), logs.log("metric")[sheet]
    verdicts = [values[sheet, f"{table.letter(key)}{row}"] for row in range(table.first_row, table.last_row + 1)]
    assert verdicts == words + [""] * (table.rows - len(words))


def test_charts_show_the_picked_system_and_leave_out_what_is_not_known() -> None:
    place = logs.place(logs.log("metric").book.named("trend_system"))
    values = logs.model("metric", True).calculate({place: filled.SOUTH}).values
    columns = {"oxygen": "AB", "alkalinity": "HI"}
    first = {"oxygen": 8, "alkalinity": 8 + trends.POINTS + 3}
    readings = {key: [values[trends.DATA, f"{columns[key][1]}{row}"] for row in range(at, at + trends.POINTS)]
                for key, at in first.items()}
    typed = [row["oxygen"] for row in filled.water_tests() if row.get("system") == filled.SOUTH]
    assert readings["oxygen"] == typed[::-1] + [typed[0]] * (trends.POINTS - len(typed))
    assert {str(value) for value in readings["alkalinity"]} == {"#N/A"}


def test_the_limits_lines_of_a_single_reading_are_some_days_long() -> None:
    place = logs.place(logs.log("metric").book.named("trend_system"))
    values = logs.model("metric", True).calculate({place: filled.CLIENT}).values
    read = [row for row in filled.water_tests() if row.get("system") == filled.CLIENT and row.get("nitrite")]
    assert len(read) == 1
    at = 8 + trends.POINTS + 3  # where the numbers of nitrite begin
    newest, oldest = (values[trends.DATA, f"D{row}"] for row in (at, at + 1))
    assert int(newest) == logs.serial(read[0]["date"])
    assert newest - oldest == 30
    assert values[trends.DATA, f"E{at}"] == values[trends.DATA, f"E{at + 1}"] == 1.0


def test_start_says_that_the_functions_are_installed_and_only_otherwise_what_to_do() -> None:
    sheet, answer = logs.place(logs.log("metric").book.named("functions_answer"))
    note = f"D{answer[1:]}"
    values = logs.headless("metric", False)
    assert (values[sheet, answer], values[sheet, note]) == ("installed", "")
    assert '"not installed","Install the functions' in logs.formulas(logs.log("metric"))[sheet, note]
    plain = logs.log("metric", True).book.workbook[sheet]
    assert (plain[answer].value, plain[note].value) == ("no add-in is needed: all formulas are plain", None)


def _named(units: str, values: logs.Values, name: str) -> Any:
    return values[logs.place(logs.log(units).book.named(name))]


def _plain(value: Any) -> Any:
    """A value as both engines give it: blank as None, errors as text, dates as numbers."""
    if isinstance(value, datetime):
        return (value - datetime(1899, 12, 30)).total_seconds() / 86400
    if isinstance(value, ErrorValue):
        return str(value)
    return None if value == "" else value


def _near(value: Any) -> Any:
    return pytest.approx(value, rel=AGREEMENT, abs=1e-12) if isinstance(value, (int, float)) else value
