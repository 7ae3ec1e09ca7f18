"""A text or an error where the farm log needs a number, a date or a choice spoils its own row alone, and says so.

Nothing that rests on it is ever fine: the row says "not known" and names the entry, and so does what is calculated from
it. The rows of other systems stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import calc
import filled
import logs
from pailbook.demo import scenario
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.engines import REFERENCE
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import limits, overview, settings, stock, trends
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.recalc import CALC, load_model, recalc
from thorough import part

TESTS = "Water tests"
NA = ErrorValue("#N/A")
FAULTS = ("abc", NA)
Typed = dict[str, Any]
Inputs = dict[tuple[str, str], Any]

# A test of South beds in which all is tested and fine, on the day up to which the season goes.
WATER: Typed = {
    "date": filled.AS_OF, "time": 0.4, "system": filled.SOUTH, "temperature": 22.0, "ph": 7.3, "oxygen": 7.5,
    "tan": 0.3, "nitrite": 0.2, "nitrate": 90.0, "phosphate": 10.0, "alkalinity": 90.0, "hardness": 130.0,
    "conductivity": 600.0,
}
# By sheet, a row in which all is filled in and fine.
FINE: Mapping[str, Typed] = {
    "Fish": {"date": filled.AS_OF, "system": filled.SOUTH, "event": "weighed", "count": 10, "mean": 410.0,
             "sample": 4.1},
    "Doses": {"date": filled.AS_OF, "system": filled.SOUTH, "aim": "raise pH", "amount": 50.0, "unit": "g",
              "before": 7.3, "after": 7.4},
    "Water added and changed": {"date": filled.AS_OF, "system": filled.SOUTH, "how": "topped up", "volume": 100.0,
                                "source": scenario.SOUTH_BEDS.source, "chlorine": "has none"},
    "Upkeep": {"date": filled.AS_OF, "system": filled.SOUTH, "item": "filter cleaned", "every": 30},
    "Incidents": {"date": filled.AS_OF, "time": 0.4, "system": filled.SOUTH, "what": "pests", "dead": 0,
                  "closed": filled.AS_OF},
    "Kits": {"kit": "hardness drops", "reads": "hardness", "basis": "CaCO3", "resolution": 10.0, "low": 10.0,
             "high": 400.0, "expiry": date(2027, 8, 1), "in_use": "yes"},
    "Systems": {"system": "South beds, sump", "species": scenario.SOUTH_BEDS.species, "volume": 300.0,
                "found": "flow meter", "shape": "round", "length": 100.0, "width": 100.0, "depth": 38.2,
                "elevation": 240.0, "area": 2.0, "source": scenario.SOUTH_BEDS.source},
}
STATE = {"Systems": "check", TESTS: "verdict"}  # the column of the verdict, where it is not "state"
# What no verdict rests on: whose a system is, the unit of an amount, what an incident was and how many fish it cost.
UNUSED = {"Doses": ("unit",), "Incidents": ("time", "system", "what", "dead")}
NAMES = {"Kits": ("kit",), "Systems": ("system",)}  # any text will do


@cache
def _values(inputs: tuple[tuple[tuple[str, str], Any], ...] = ()) -> logs.Values:
    return logs.model("metric", True).calculate(dict(inputs)).values


def calculated(inputs: Inputs) -> logs.Values:
    """The season's log with these cells as well, its alkalinity drops not yet expired."""
    table = logs.log("metric")["Kits"]
    expired = next(number for number, kit in enumerate(filled.KITS) if kit["reads"] == "alkalinity")
    cell = "Kits", f"{table.letter('expiry')}{table.first_row + expired}"
    return _values(tuple(({cell: logs.serial(date(2027, 8, 1))} | inputs).items()))


def row_of(sheet: str, number: int, typed: Typed) -> Inputs:
    """The cells of a row; the first free one is number 0."""
    table, rows = logs.log("metric")[sheet], len(_season()[sheet])
    return {(sheet, f"{table.letter(key)}{table.first_row + rows + number}"):
            logs.serial(value) if isinstance(value, date) else value for key, value in typed.items()}


def verdict(values: logs.Values, sheet: str, number: int = 0) -> str:
    """The verdict of a free row."""
    table, rows = logs.log("metric")[sheet], len(_season()[sheet])
    return str(values[sheet, f"{table.letter(STATE.get(sheet, 'state'))}{table.first_row + rows + number}"])


def _season() -> Mapping[str, list[Typed]]:
    return {TESTS: filled.water_tests(), "Fish": filled.FISH, "Kits": filled.KITS, "Systems": filled.SYSTEMS,
            **filled.OTHERS}


def systems_rows(values: logs.Values, *names: str) -> dict[tuple[str, str, str], Any]:
    """All that Overview and Stock and feed say of these systems."""
    found = {}
    for sheet in (overview.SHEET, stock.SHEET):
        table = logs.log("metric")[sheet]
        for number, system in enumerate(filled.SYSTEMS):
            if system["system"] in names:
                found.update({(sheet, system["system"], column.key):
                              values[sheet, f"{table.letter(column.key)}{table.first_row + number}"]
                              for column in table.columns})
    return found


def of_overview(values: logs.Values, system: str, key: str, sheet: str = overview.SHEET) -> Any:
    """What Overview or Stock and feed says of a system."""
    return systems_rows(values, system)[sheet, system, key]


OTHER_SYSTEMS = tuple(name for name in (filled.NORTH, filled.CLIENT, filled.WALL))


def faulty(columns: Iterable[Column], typed: Typed, sheet: str = "") -> Iterator[tuple[str, Any]]:
    """Each entry of a row and what it is made: a text, where it may not be one, or an error."""
    for column in columns:
        if column.key in typed and column.key not in UNUSED.get(sheet, ()):
            yield from ((column.key, fault) for fault in FAULTS
                        if not (fault == "abc" and column.key in NAMES.get(sheet, ())))


def test_the_rows_are_fine_as_they_are() -> None:
    values = calculated(row_of(TESTS, 0, WATER))
    assert verdict(values, TESTS) == "fine"
    assert of_overview(values, filled.SOUTH, "verdict") == "fine"
    for sheet, typed in FINE.items():
        assert verdict(calculated(row_of(sheet, 0, typed)), sheet).startswith("fine"), sheet


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_faulty_entry_of_a_water_test_makes_that_test_not_known_and_no_other(fault: Any) -> None:
    before, rows = calculated({}), list(WATER)
    typed: Inputs = {}
    for number, key in enumerate(rows):
        typed |= row_of(TESTS, number, WATER | {key: fault})
    values = calculated(typed)
    table = logs.log("metric")[TESTS]
    for number, key in enumerate(rows):
        assert verdict(values, TESTS, number) == "not known", key
        row = table.first_row + len(_season()[TESTS]) + number
        why, name = values[TESTS, f"{table.letter('why')}{row}"], table.column(key).heading.split(" (")[0]
        assert name.casefold() in why.casefold(), why
    assert systems_rows(values, *OTHER_SYSTEMS) == systems_rows(before, *OTHER_SYSTEMS)
    assert of_overview(values, filled.SOUTH, "verdict") == "not known"
    named = {name: values[logs.place(place)] for name, place in logs.log("metric").book.names.items()
             if logs.place(place) in values}
    assert named["rows_not_known"] == 2 + len(rows)  # two of the season's own
    assert not [name for name, value in named.items() if isinstance(value, ErrorValue)]


@pytest.mark.parametrize("fault", FAULTS, ids=str)
@pytest.mark.parametrize("key", ["system", "date", "ph"])
def test_a_faulty_latest_test_leaves_no_system_fine(key: str, fault: Any) -> None:
    before, values = calculated({}), calculated(row_of(TESTS, 0, WATER | {key: fault}))
    assert systems_rows(values, *OTHER_SYSTEMS) == systems_rows(before, *OTHER_SYSTEMS)
    # Without its system a test cannot count: the one before it stays the latest, which was a watch.
    expected = "watch" if key == "system" else "not known"
    assert of_overview(values, filled.SOUTH, "verdict") == expected
    if key == "date":
        assert "not known: the date of a test" in of_overview(values, filled.SOUTH, "why")


@pytest.mark.parametrize("sheet", FINE)
def test_a_faulty_entry_of_a_register_makes_its_row_not_known_and_no_other(sheet: str) -> None:
    before, typed = calculated({}), FINE[sheet]
    table = logs.log("metric")[sheet]
    rows = range(table.first_row, table.first_row + len(_season()[sheet]))
    letter = table.letter(STATE.get(sheet, "state"))
    for key, fault in faulty(table.inputs, typed, sheet):
        values = calculated(row_of(sheet, 0, typed | {key: fault}))
        said = verdict(values, sheet)
        assert said.startswith(f"not known: {table.column(key).heading} "), (key, fault, said)
        for row in rows:
            assert values[sheet, f"{letter}{row}"] == before[sheet, f"{letter}{row}"], (key, fault, row)
        assert systems_rows(values, *OTHER_SYSTEMS) == systems_rows(before, *OTHER_SYSTEMS), (key, fault)


@pytest.mark.parametrize("fault", FAULTS, ids=str)
@pytest.mark.parametrize("key", ["date", "event", "count", "mean", "sample"])
def test_a_faulty_row_of_fish_makes_the_stock_of_its_system_not_known(key: str, fault: Any) -> None:
    values = calculated(row_of("Fish", 0, FINE["Fish"] | {key: fault}))
    assert of_overview(values, filled.SOUTH, "stock", stock.SHEET) == "not known"
    assert of_overview(values, filled.SOUTH, "verdict", stock.SHEET) == "not known: an entry on the sheet Fish"
    assert values[logs.place(logs.log("metric").book.named("fish_on_hand"))] == "not known"


@pytest.mark.parametrize("fault", [*FAULTS, -5.0, 1e8, True], ids=str)
def test_a_faulty_amount_of_feed_is_not_left_out_of_the_mean(fault: Any) -> None:
    values = calculated(row_of("Feed", 0, {"date": filled.AS_OF, "system": filled.SOUTH, "feed": fault}))
    assert of_overview(values, filled.SOUTH, "feed", stock.SHEET) == "not known"
    said = of_overview(values, filled.SOUTH, "verdict", stock.SHEET)
    assert said == "not known: an amount or a date on the sheet Feed"
    assert of_overview(values, filled.NORTH, "feed", stock.SHEET) == pytest.approx(240)


@pytest.mark.parametrize("date", ["soon", NA, None, 12.0], ids=str)
def test_feed_of_an_unknown_day_is_not_left_out_of_the_mean(date: Any) -> None:
    values = calculated(row_of("Feed", 0, {"date": date, "system": filled.SOUTH, "feed": 700.0}))
    assert of_overview(values, filled.SOUTH, "feed", stock.SHEET) == "not known"
    said = of_overview(values, filled.SOUTH, "verdict", stock.SHEET)
    assert said == "not known: an amount or a date on the sheet Feed"
    assert of_overview(values, filled.NORTH, "feed", stock.SHEET) == pytest.approx(240)


def test_fish_that_were_never_weighed_are_not_left_out_of_the_total_weight() -> None:
    values = calculated(row_of("Fish", 0, {
        "date": filled.AS_OF, "system": filled.WALL, "event": "stocked", "count": 25}))
    names = logs.log("metric").book
    assert values[logs.place(names.named("biomass_on_hand"))] == "not known"
    assert values[logs.place(names.named("fish_on_hand"))] == calculated({})[
        logs.place(names.named("fish_on_hand"))] + 25


@pytest.mark.parametrize("fault", FAULTS, ids=str)
@pytest.mark.parametrize("key", ["low", "high", "expiry"])
def test_a_faulty_entry_of_a_kit_makes_the_tests_with_it_not_known(key: str, fault: Any) -> None:
    table = logs.log("metric")["Kits"]
    kit = next(number for number, kit in enumerate(filled.KITS) if kit["reads"] == "ammonia")
    values = calculated(row_of(TESTS, 0, WATER) | {("Kits", f"{table.letter(key)}{table.first_row + kit}"): fault})
    assert verdict(values, TESTS) == "not known"
    assert of_overview(values, filled.SOUTH, "verdict") == "not known"
    assert "(ammonia drops)" in of_overview(values, filled.SOUTH, "why")


@pytest.mark.parametrize("fault", FAULTS, ids=str)
@pytest.mark.parametrize("key", ["system", "species", "elevation"])
def test_a_faulty_system_makes_its_own_water_not_known(key: str, fault: Any) -> None:
    if (key, fault) == ("system", "abc"):
        pytest.skip("any text names a system")
    table, place = logs.log("metric")["Systems"], [s["system"] for s in filled.SYSTEMS].index(filled.SOUTH)
    before = calculated({})
    values = calculated(row_of(TESTS, 0, WATER) | {("Systems", f"{table.letter(key)}{table.first_row + place}"): fault})
    assert verdict(values, TESTS) == "not known"
    assert of_overview(values, filled.SOUTH, "verdict") == "not known"
    assert systems_rows(values, *OTHER_SYSTEMS) == systems_rows(before, *OTHER_SYSTEMS)


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_basis_that_is_none_makes_what_is_typed_in_it_not_known(fault: Any) -> None:
    names = logs.log("metric").book.names
    for basis in settings.BASES:
        values = calculated(row_of(TESTS, 0, WATER) | {logs.place(names[basis.name]): fault})
        assert verdict(values, TESTS) == "not known", basis.name
    values = calculated(row_of(TESTS, 0, WATER) | {logs.place(names["elevation"]): fault})
    assert verdict(values, TESTS) == "not known"


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_faulty_limit_of_the_water_is_named_and_switches_nothing_off(fault: Any) -> None:
    column = limits.column_of(scenario.SOUTH_BEDS.species)
    for limit in part(limits.OF_WATER, 8):
        typed = {("Limits", f"{column}{_row(limit.label, own=True)}"): fault}
        values = calculated(row_of(TESTS, 0, WATER) | typed)
        assert verdict(values, TESTS) == "not known", limit.label
        assert limit.label in of_overview(values, filled.SOUTH, "why")
        assert of_overview(values, filled.CLIENT, "verdict") == "act"  # a known act of another species' system


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_faulty_general_limit_holds_for_no_species_without_a_value_of_its_own(fault: Any) -> None:
    cell = "Limits", f"C{_row('Alkalinity: watch below')}"
    assert verdict(calculated(row_of(TESTS, 0, WATER) | {cell: fault}), TESTS) == "not known"


# Where a limit for all systems is used: the sheet, the column of its verdict, its first row that rests on it.
USED: list[tuple[str, str, str, Typed | None]] = [
    ("days_watch", overview.SHEET, "verdict", None), ("days_act", overview.SHEET, "verdict", None),
    ("deaths_watch", stock.SHEET, "verdict", None), ("deaths_act", stock.SHEET, "verdict", None),
    ("kit_days", "Kits", "state", FINE["Kits"]), ("upkeep_days", "Upkeep", "state", FINE["Upkeep"]),
    ("new_fish_days", "Fish", "state", {
        "date": filled.FIRST_DAY, "system": filled.SOUTH, "event": "stocked", "count": 1, "mean": 100.0}),
    ("ph_step", "Doses", "state", FINE["Doses"]),
    ("change_share", "Water added and changed", "state", FINE["Water added and changed"]),
]


@pytest.mark.parametrize(("key", "sheet", "column", "row"), USED, ids=[case[0] for case in USED])
def test_a_faulty_limit_for_all_systems_is_named_and_switches_nothing_off(
    key: str, sheet: str, column: str, row: Typed | None
) -> None:
    assert {case[0] for case in USED} == {limit.key for limit in limits.GENERAL}
    for fault in FAULTS:
        typed = row_of(TESTS, 0, WATER) | {("Limits", f"C{_row(limits.label(key))}"): fault}
        values = calculated(typed | (row_of(sheet, 0, row) if row else {}))
        said = of_overview(values, filled.SOUTH, column, sheet) if row is None else verdict(values, sheet)
        assert str(said).startswith("not known"), (fault, said)


@pytest.mark.parametrize("key", ["density_watch", "density_act"])
def test_a_faulty_limit_of_the_density_makes_the_stock_not_known(key: str) -> None:
    column = limits.column_of(scenario.SOUTH_BEDS.species)
    for fault in FAULTS:
        values = calculated({("Limits", f"{column}{_row(limits.label(key), own=True)}"): fault})
        said = of_overview(values, filled.SOUTH, "verdict", stock.SHEET)
        assert said == f"not known: the limit '{limits.label(key)}' on the sheet Limits"


def test_a_blank_limit_for_all_systems_is_not_judged() -> None:
    for key, sheet, column, row in USED:
        typed = row_of(TESTS, 0, WATER) | {("Limits", f"C{_row(limits.label(key))}"): None}
        values = calculated(typed | (row_of(sheet, 0, row) if row else {}))
        said = of_overview(values, filled.SOUTH, column, sheet) if row is None else verdict(values, sheet)
        assert str(said).startswith("fine"), (key, said)


@pytest.mark.parametrize("fault", ["", *FAULTS], ids=str)
def test_without_todays_date_nothing_that_counts_to_it_is_fine(fault: Any) -> None:
    typed = row_of(TESTS, 0, WATER) | {logs.place(logs.log("metric").book.named("as_of")): fault}
    for sheet in ("Kits", "Upkeep"):
        typed |= row_of(sheet, 0, FINE[sheet])
    values = calculated(typed)
    for sheet in ("Kits", "Upkeep"):
        assert verdict(values, sheet) == "not known: today's date on the sheet Start"
    assert of_overview(values, filled.SOUTH, "verdict") == "not known"
    assert of_overview(values, filled.SOUTH, "verdict", stock.SHEET) == "not known: today's date on the sheet Start"


def test_an_error_in_the_system_of_one_test_leaves_the_charts_of_the_others() -> None:
    before, values = calculated({}), calculated(row_of(TESTS, 0, WATER | {"system": NA}))
    chart = {place: value for place, value in before.items() if place[0] == trends.DATA}
    assert chart == {place: values[place] for place in chart}


@pytest.mark.parametrize("engine", [REFERENCE, pytest.param(CALC, marks=(pytest.mark.libreoffice, pytest.mark.long))])
def test_the_engines_agree_on_a_log_full_of_faults_and_none_finds_an_error(engine: str, tmp_path: Path) -> None:
    if engine == CALC:
        calc.needed()
    made = filled.fill(farm_log(plain=engine == CALC, rows=logs.ROWS))
    for (sheet, address), value in _faults().items():
        cell = made.book.workbook[sheet][address]
        cell.value = str(value) if isinstance(value, ErrorValue) else value
    path = made.book.save(tmp_path / "faults.xlsx")
    fast, other = load_model(path).calculate().values, recalc(path, engine=engine).values
    assert not [place for place, value in fast.items() if isinstance(value, ErrorValue) and place[0] != trends.DATA]
    for place, value in fast.items():
        near = pytest.approx(value, rel=1e-9, abs=1e-12) if isinstance(value, float) else value
        assert (other.get(place) or "") == near or (other.get(place), value) == (0, 0), place


def _faults() -> Inputs:
    """Every entry of a full row made a text or an error, each in a row of its own as far as there are free ones."""
    typed: Inputs = {}
    for sheet, row in {TESTS: WATER, **FINE}.items():
        free = logs.log("metric")[sheet].rows - len(_season()[sheet])
        cases = [(key, fault) for key in row for fault in FAULTS]
        for number, (key, fault) in enumerate(cases[:free]):
            typed |= row_of(sheet, number, row | {key: fault})
    return typed


def _row(label: str, own: bool = False) -> int:
    """The row of a limit on its sheet: of the general one, or of the user's own by species."""
    rows = [cell.row for cell in logs.log("metric").book.workbook["Limits"]["A"] if cell.value == label]
    return int(rows[-1 if own else 0])
