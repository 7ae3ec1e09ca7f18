"""Fish, and stock and feed, say what plain Python says of the same rows; nothing faulty or overwritten is fine."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import filled
import logs
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.rules import judge
from pailbook.terms import FINE, NOT_ASKED, NOT_KNOWN
from pailbook.workbook.farm_log import fish, limits, stock, systems
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.fish_columns import ENTERED
from pailbook.workbook.farm_log.fish_rules import fish_row
from pailbook.workbook.farm_log.stock_rules import fish_of_system
from pailbook.workbook.recalc import load_model
from thorough import examples

Row = dict[str, Any]

NA = ErrorValue("#N/A")
FAULTS: tuple[Any, ...] = ("abc", True, -1000.0, 1e12, NA)
TODAY = logs.serial(filled.AS_OF)
NAMES = [system["system"] for system in filled.SYSTEMS]
TYPED: dict[str, tuple[Any, ...]] = {  # metric; with more fish and less than the scenario's systems hold
    "date": (TODAY - 40, TODAY - 21, TODAY - 20, TODAY - 7, TODAY - 6, TODAY, TODAY + 1),
    "system": (*NAMES, *NAMES[:2], NAMES[0].upper()),
    "event": (*fish.IN, *fish.OUT, fish.WEIGHED, "Stocked", fish.WEIGHED, "stocked"),
    "count": (1.0, 2.0, 30.0, 90.0), "mean": (None, 2.0, 400.0, 900.0), "sample": (None, 0.5, 9.0),
}
# What the limits and today's date are made.
AROUND: dict[str, tuple[Any, ...]] = {
    "density_watch": (20.0, 5.0, None, "abc"), "density_act": (40.0, 8.0, None, NA),
    "deaths_watch": (1.0, 20.0, None, True), "deaths_act": (5.0, 60.0, None, -1.0),
    "new_fish_days": (21.0, 7.0, None, "three weeks"), "as_of": (TODAY, TODAY - 7, None, "soon"),
}


def _rows(rng: random.Random, units: str, count: int) -> list[Row]:
    """Rows of which some have a faulty entry, some lack one, and some are blank."""
    log, rows = logs.log(units), []
    for _ in range(count):
        row = {key: rng.choice(tried) for key, tried in TYPED.items()}
        for key in ("mean", "sample"):
            quantity = log[fish.SHEET].column(key).quantity
            if row[key] is not None and quantity is not None:
                row[key] = round(log.book.show(quantity, row[key]), 4)
        if rng.random() < 0.04:
            row[rng.choice(ENTERED)] = rng.choice((None, *FAULTS))
        rows.append(dict.fromkeys(row) if rng.random() < 0.05 else row)
    return rows


def _place(value: Any) -> Any:
    """A system as rules ask it: its place on the list, or a text where it is not there."""
    if isinstance(value, str) and value.casefold() in (name.casefold() for name in NAMES):
        return [name.casefold() for name in NAMES].index(value.casefold()) + 1.0
    return value if value is None or isinstance(value, ErrorValue) else "nowhere"


def _usable(row: Row) -> bool:
    """Whether its entries can be used."""
    beside = {"on_hand": 0.0, "weight": None, "density": None, "density_act": None, "density_watch": None,
              "today": TODAY, "new_fish_days": None}
    return any(value is not None for value in row.values()) and judge(fish_row, row | beside).outcome != NOT_KNOWN


def _change(row: Row) -> float:
    event = row["event"].casefold()
    return float(row["count"] * (1 if event in fish.IN else -1 if event in fish.OUT else 0))


def _one(row: Row, units: str) -> float | None:
    """The mean weight that a row gives."""
    if row["event"].casefold() not in (fish.STOCKED, fish.WEIGHED) or (row["mean"] is None and row["sample"] is None):
        return None
    return float(row["mean"] or row["sample"] / row["count"] * fish.SMALL_TO_LARGE[units])


def _density(weight: float | None, volume: Any, units: str) -> float | None:
    if weight is None or weight <= 0 or not isinstance(volume, float):
        return None
    return weight / volume * (1000 if units == "metric" else 1)


class Around:
    """What the rows rest on: the systems, the limits in use and today's date, as the log has them."""

    def __init__(self, units: str, found: Mapping[tuple[str, str], Any], around: Mapping[str, Any]) -> None:
        self.units, self._found, self._around = units, found, around
        self.register = logs.log(units)[systems.SHEET]

    def of_system(self, key: str, place: float) -> Any:
        return self._found[systems.SHEET, f"{self.register.letter(key)}{self.register.heading_row + int(place)}"]

    def limits(self, place: float, *keys: str) -> Row:
        letter = limits.column_of(filled.SYSTEMS[int(place) - 1]["species"])
        return {key: self._found["Limits", f"{letter}{limits.row_of(key)}"] for key in keys}

    def general(self, *keys: str) -> Row:
        return {key: self._found[logs.place(limits.general(key))] for key in keys}

    @property
    def today(self) -> float | None:
        return self._around["as_of"] if isinstance(self._around["as_of"], float) else None


def _of_row(row: Row, rows: list[Row], around: Around) -> str:
    """The verdict on a row of fish."""
    if all(value is None for value in row.values()):
        return ""
    beside: Row = dict.fromkeys(("on_hand", "weight", "density", "density_act", "density_watch"))
    if _usable(row):
        place, one = row["system"], _one(row, around.units)
        beside["on_hand"] = sum(
            _change(other) for other in rows
            if _usable(other) and other["system"] == place and other["date"] <= row["date"])
        if one is not None:
            beside["weight"] = beside["on_hand"] * one / fish.SMALL_TO_LARGE[around.units]
        beside["density"] = _density(beside["weight"], around.of_system("in_use", place), around.units)
        beside |= around.limits(place, "density_act", "density_watch")
    return judge(fish_row, row | beside | around.general("new_fish_days") | {"today": around.today}, around.units).text


def _of_system(place: float, rows: list[Row], around: Around, feed: Any) -> str:
    """The verdict on a system's fish."""
    own = [row for row in rows if row["system"] == place]
    on_hand: Any = "not known" if not all(map(_usable, own)) else sum(map(_change, own)) if own else None
    weighed = [(row["date"], number, _one(row, around.units)) for number, row in enumerate(own)
               if _usable(row) and _one(row, around.units) is not None]
    one = max(weighed)[2] if weighed else None
    per_unit = fish.SMALL_TO_LARGE[around.units]
    weight = on_hand * one / per_unit if isinstance(on_hand, float) and one is not None else None
    lost_share = None
    if isinstance(on_hand, float) and around.today is not None:
        lost = sum(row["count"] for row in own
                   if row["event"].casefold() == fish.DIED and around.today - 7 < row["date"] <= around.today)
        lost_share = 100 * lost / (lost + on_hand) if lost + on_hand > 0 else None
    judged = judge(fish_of_system, {
        "on_hand": on_hand, "one": one, "density": _density(weight, around.of_system("in_use", place), around.units),
        "lost_share": lost_share, "feed": feed, "species": filled.SYSTEMS[int(place) - 1]["species"],
        "elevation": around.of_system("elevation_used", place), "today": around.today,
        **around.limits(place, "density_act", "density_watch"), **around.general("deaths_act", "deaths_watch"),
    }, around.units)
    return "" if judged.text == NOT_ASKED else judged.text


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_fish_are_judged_as_plain_python_judges_them(units: str) -> None:
    log, model, rng = logs.log(units), logs.model(units, True), random.Random(5)
    table, of_systems = log[fish.SHEET], log[stock.SHEET]
    said: set[tuple[str, str]] = set()
    for _ in range(examples(24)):
        made = {key: rng.choice(tried) if rng.random() < 0.3 else tried[0] for key, tried in AROUND.items()}
        cells: dict[tuple[str, str], Any] = {logs.place(log.book.named("as_of")): made["as_of"]}
        for key, value in made.items():
            if key != "as_of":
                quantity = limits.of_key(key).quantity
                row_of = limits.row_of(key) if key.startswith("density") else int(
                    limits.general(key).rpartition("$")[2])
                cells["Limits", f"C{row_of}"] = log.book.show(quantity, value) if type(value) is float else value
        rows = _rows(rng, units, table.rows)
        for number, row in enumerate(rows, table.first_row):
            cells |= {(fish.SHEET, f"{table.letter(column.key)}{number}"): row.get(column.key)
                      for column in table.inputs}
        found = model.calculate(cells).values
        around = Around(units, found, made)
        asked = [row | {"system": _place(row["system"])} for row in rows]
        for number, (row, as_asked) in enumerate(zip(rows, asked), table.first_row):
            verdict = str(found[fish.SHEET, f"{table.letter('state')}{number}"])
            assert verdict == _of_row(as_asked, asked, around), (row, made)
            if any(row[key] is fault for key in ENTERED for fault in FAULTS):
                assert verdict.startswith(f"{NOT_KNOWN}: "), row
            said.add((fish.SHEET, verdict.split(":")[0]))
        for number, _ in enumerate(NAMES, of_systems.first_row):
            at = {column.key: f"{of_systems.letter(column.key)}{number}" for column in of_systems.columns}
            verdict = str(found[stock.SHEET, at["verdict"]])
            feed = found[stock.SHEET, at["feed"]]
            expected = _of_system(number - of_systems.heading_row, asked, around, feed if feed != "" else None)
            assert verdict == expected, (number, made, rows)
            said.add((stock.SHEET, verdict.split(":")[0]))
    assert {(sheet, word) for sheet in (fish.SHEET, stock.SHEET) for word in ("act", "not known", "watch")} <= said
    assert (fish.SHEET, FINE) in said


STOCKED: Row = {"date": TODAY - 100, "event": fish.STOCKED, "count": 10.0, "mean": 100.0}
SYSTEM = {key: value for key, value in filled.SYSTEMS[1].items() if key in ("species", "volume")}
# The calculated cells on which a verdict rests; a limit may be blank, and so may the weight, where nothing was weighed.
OVERWRITTEN = {fish.SHEET: ("entries", "place", "stock", "biomass", "density", "act", "watch"),
               stock.SHEET: ("stock", "one", "density", "place", "act", "watch")}
MAY_BE_BLANK = ("biomass", "act", "watch")


@pytest.mark.parametrize("put", [None, "all is well", NA], ids=str)
def test_what_was_overwritten_is_never_fine(put: Any) -> None:
    """A system for each of these cells, with fish of its own."""
    log = filled.fill(farm_log(rows=logs.ROWS))
    written = put.code if isinstance(put, ErrorValue) else put
    states: dict[tuple[str, str], bool] = {}

    def typed(sheet: str, number: int, row: Row) -> None:
        for key, value in row.items():
            log.book.workbook[sheet][f"{log[sheet].letter(key)}{log[sheet].first_row + number}"].value = value

    number = 0
    for sheet, keys in OVERWRITTEN.items():
        for key in (None, *keys):
            if put is None and key in MAY_BE_BLANK:
                continue
            name = f"{filled.SOUTH} {number}"
            places = {fish.SHEET: len(filled.FISH) + number, stock.SHEET: len(NAMES) + number}
            typed(systems.SHEET, places[stock.SHEET], SYSTEM | {"system": name})
            typed(fish.SHEET, places[fish.SHEET], STOCKED | {"system": name})
            if key:
                typed(sheet, places[sheet], {key: written})
            state = log[sheet].letter("state" if sheet == fish.SHEET else "verdict")
            states[sheet, f"{state}{log[sheet].first_row + places[sheet]}"] = key is None
            number += 1
    with tempfile.TemporaryDirectory() as folder:
        values = load_model(log.book.save(Path(folder) / "log.xlsx")).calculate().values
    assert {state: values[state] == FINE for state in states} == states
