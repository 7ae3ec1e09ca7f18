"""Doses, water added and changed, and upkeep say what plain Python says of the same rows; nothing faulty is fine."""

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
from pailbook.rules import Rule, judge
from pailbook.terms import FINE, NOT_ASKED, NOT_KNOWN
from pailbook.workbook.farm_log import limits, systems, upkeep, water_moves
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.recalc import load_model
from thorough import examples

Row = dict[str, Any]

NA = ErrorValue("#N/A")
FAULTS: tuple[Any, ...] = ("abc", " ", True, -1000.0, 1e9, NA)
TODAY = logs.serial(filled.AS_OF)
_DATES = (TODAY - 40, TODAY - 30, TODAY - 23, TODAY - 22, TODAY - 1, TODAY, TODAY + 1)
_SYSTEMS = (filled.NORTH, filled.NORTH.upper(), filled.SOUTH, filled.CLIENT, filled.WALL)
_PH = (None, 6.4, 6.8, 7.0, 7.2, 7.21, 7.4, 7.41, 7.61)
# By sheet, what is typed in each column that its rule asks.
TYPED: dict[str, dict[str, tuple[Any, ...]]] = {
    water_moves.DOSES: {
        "date": _DATES, "system": _SYSTEMS, "aim": (None, "raise pH", "Lower PH", water_moves.MEDICINE, "other"),
        "amount": (None, 0.5, 40.0), "before": _PH, "after": _PH},
    water_moves.CHANGES: {
        "date": _DATES, "system": _SYSTEMS, "how": (None, "topped up", "changed"),
        "volume": (50.0, 250.0, 900.0, 5000.0), "source": (None, *systems.SOURCES, water_moves.HAUL),
        "chlorine": (None, "yes", "No", "has none")},
    upkeep.SHEET: {
        "date": _DATES, "system": (None, *_SYSTEMS), "item": ("pump cleaned", "Pump cleaned", "filter cleaned"),
        "which": (None, "main pump", "MAIN PUMP"), "every": (None, 1.0, 22.0, 30.0)},
}
RULES: dict[str, Rule] = {
    water_moves.DOSES: water_moves.dose, water_moves.CHANGES: water_moves.water_in, upkeep.SHEET: upkeep.kept_up}
NEEDED = {sheet: {one.name for one in rule.questions if one.name in TYPED[sheet] and one.blank != "skips"}
          for sheet, rule in RULES.items()}
# What the limits and today's date are made.
AROUND: dict[str, tuple[Any, ...]] = {
    "ph_step": (0.2, 0.21, None, "abc"), "change_share": (30.0, 5.0, None, NA), "upkeep_days": (7.0, 1.0, None, -1.0),
    "as_of": (TODAY, TODAY - 7, None, "soon")}


def _rows(rng: random.Random, sheet: str, count: int) -> list[Row]:
    """Rows of which some have a faulty entry, some lack one, and some are blank."""
    rows: list[Row] = []
    for _ in range(count):
        row = {key: rng.choice(tried) for key, tried in TYPED[sheet].items()}
        if rng.random() < 0.3:
            row[rng.choice(list(row))] = rng.choice((None, *FAULTS))
        rows.append(dict.fromkeys(row) if rng.random() < 0.05 else row)
    return rows


def _is_number(value: Any) -> bool:
    return isinstance(value, float) and not isinstance(value, bool)


def _system(value: Any) -> Any:
    """A system as rules ask it: its place on the list, or a text where it is not there."""
    names = [system["system"].casefold() for system in filled.SYSTEMS]
    if isinstance(value, str) and value.casefold() in names:
        return names.index(value.casefold()) + 1.0
    return value if value is None or isinstance(value, ErrorValue) else "nowhere"


def _moved(row: Row) -> float | None:
    before, after = row["before"], row["after"]
    return round(after - before, 2) if _is_number(before) and _is_number(after) else None


def _share(row: Row, volumes: list[Any]) -> float | None:
    volume, place = row["volume"], row["system"]
    whole = volumes[int(place) - 1] if _is_number(place) else ""
    return volume / whole * 100 if _is_number(volume) and _is_number(whole) else None


def _again(row: Row, rows: list[Row]) -> float:
    """How many rows whose entries can be used have the same task on a later day."""
    def task(one: Row) -> tuple[Any, ...]:
        return tuple(text.casefold() if isinstance(text, str) else text
                     for text in (one["item"], one["system"], one["which"]))

    return float(sum(task(one) == task(row) and one["date"] > row["date"] for one in rows if _usable(one)))


def _usable(row: Row) -> bool:
    beside = {"due": TODAY, "again": 0.0, "today": TODAY, "soon": None}
    return judge(upkeep.kept_up, row | beside).outcome != NOT_KNOWN


def _expected(
    sheet: str, row: Row, rows: list[Row], around: Mapping[str, Any], volumes: list[Any], units: str
) -> str:
    """The verdict on a row, in plain Python; both are as rules ask them."""
    if all(value is None for value in row.values()):
        return ""
    if sheet == water_moves.DOSES:
        beside: Row = {"moved": _moved(row), "step": around["ph_step"]}
    elif sheet == water_moves.CHANGES:
        beside = {"share": _share(row, volumes), "most": around["change_share"]}
    else:
        known = _usable(row)
        beside = {"again": _again(row, rows) if known else 0.0, "today": around["as_of"], "soon": around["upkeep_days"],
                  "due": row["date"] + row["every"] if known and row["every"] is not None else None}
    told = judge(RULES[sheet], row | beside, units)
    return "" if told.text == NOT_ASKED else told.text


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_a_register_says_what_plain_python_says(units: str) -> None:
    log, model, rng = logs.log(units), logs.model(units, True), random.Random(11)
    register = log[systems.SHEET]
    said: set[str] = set()
    for _ in range(examples(16)):
        around = {key: rng.choice(tried) if rng.random() < 0.5 else tried[0] for key, tried in AROUND.items()}
        cells = {("Limits", f"C{_row_of(key)}"): value for key, value in around.items() if key != "as_of"}
        cells[logs.place(log.book.named("as_of"))] = around["as_of"]
        typed = {sheet: _rows(rng, sheet, log[sheet].rows) for sheet in TYPED}
        for sheet, rows in typed.items():
            for number, row in enumerate(rows, log[sheet].first_row):
                cells |= {(sheet, f"{log[sheet].letter(column.key)}{number}"): row.get(column.key)
                          for column in log[sheet].inputs}
        values = model.calculate(cells).values
        volumes = [values[systems.SHEET, f"{register.letter('in_use')}{number}"]
                   for number, _ in enumerate(filled.SYSTEMS, register.first_row)]
        for sheet, rows in typed.items():
            asked = [row | {"system": _system(row["system"])} for row in rows]
            for number, (row, as_asked) in enumerate(zip(rows, asked), log[sheet].first_row):
                found = str(values[sheet, f"{log[sheet].letter('state')}{number}"])
                assert found == _expected(sheet, as_asked, asked, around, volumes, units), (sheet, row, around)
                if any(row[key] is one for key in row for one in (FAULTS if key != "which" else (NA,))):
                    assert found.startswith(f"{NOT_KNOWN}: "), (sheet, row)
                if any(row[key] is None for key in NEEDED[sheet]):
                    assert not found.startswith(FINE), (sheet, row)
                said.add(f"{sheet} {found.split(':')[0]}")
    assert len(said) == 16, said  # act, watch, fine, not known and blank of each; of upkeep not asked too


def _row_of(key: str) -> int:
    return int(limits.general(key).rpartition("$")[2])


def test_an_error_in_the_name_of_one_task_spoils_no_other_row() -> None:
    log, model = logs.log("metric"), logs.model("metric", True)
    table = log[upkeep.SHEET]
    before = model.calculate({}).values
    free = table.first_row + len(filled.OTHERS[upkeep.SHEET])
    typed = {"date": TODAY, "item": "pump cleaned", "which": NA, "every": 30.0}
    cells = {(upkeep.SHEET, f"{table.letter(key)}{free}"): value for key, value in typed.items()}
    after = model.calculate(cells).values
    state = table.letter("state")
    assert after[upkeep.SHEET, f"{state}{free}"] == "not known: Which one is an error"
    for row in range(table.first_row, free):
        assert after[upkeep.SHEET, f"{state}{row}"] == before[upkeep.SHEET, f"{state}{row}"]


# By sheet, a row that is fine, and the calculated cells that its verdict rests on.
FINE_ROWS: dict[str, tuple[Row, tuple[str, ...]]] = {
    water_moves.DOSES: ({"date": TODAY, "system": filled.SOUTH, "amount": 5.0, "before": 7.2, "after": 7.3},
                        ("entries", "moved")),
    water_moves.CHANGES: ({"date": TODAY, "system": filled.SOUTH, "volume": 50.0, "source": "rain"},
                          ("entries", "share")),
    upkeep.SHEET: ({"date": TODAY, "item": "filter cleaned", "every": 30.0}, ("entries", "due")),
}


@pytest.mark.parametrize("put", [None, "all is well", NA], ids=str)
def test_what_was_overwritten_is_never_fine(put: Any) -> None:
    log = filled.fill(farm_log(rows=logs.ROWS))
    states: dict[tuple[str, str], bool] = {}
    for name, (typed, calculated) in FINE_ROWS.items():
        table, sheet = log[name], log.book.workbook[name]
        for row, key in enumerate((None, *calculated), table.first_row + len(filled.OTHERS[name])):
            for column, value in typed.items():
                sheet[f"{table.letter(column)}{row}"].value = value
            if key:
                sheet[f"{table.letter(key)}{row}"].value = put.code if isinstance(put, ErrorValue) else put
            states[name, f"{table.letter('state')}{row}"] = key is None
    with tempfile.TemporaryDirectory() as folder:
        values = load_model(log.book.save(Path(folder) / "log.xlsx")).calculate().values
    assert {state: values[state] == FINE for state in states} == states
