"""The sheet Overview says what plain Python says of the same tests, and what was overwritten leaves no system fine."""

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
from pailbook.rules.words import BEFORE_REASON, NO_URGENCY
from pailbook.terms import ACT, FINE, NOT_KNOWN, international
from pailbook.workbook.farm_log import limits, overview, system_state_rules, systems, water_rules
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.recalc import load_model
from test_farm_log_faults import WATER
from thorough import examples

SHEET, TESTS = overview.SHEET, "Water tests"
NA = ErrorValue("#N/A")
TODAY = logs.serial(filled.AS_OF)
# On both sides of limits, beyond the scenario's water; and what is blank or broken.
TRIED: dict[str, list[Any]] = {
    "date": [TODAY, TODAY - 7, TODAY - 8, TODAY - 14, TODAY - 15, TODAY + 3, None, "soon", NA],
    "temperature": [9.0, 16.0, 31.0, 39.0, None, "cold", -5.0], "ph": [5.4, 6.4, 8.6, 9.1, None, "7,2", 15.0, NA],
    "oxygen": [2.0, 4.5, None, "low", 90.0], "tan": [0.0, 2.0, 9.0, None, "<0.2", NA],
    "nitrite": [1.0, 1.1, 9.0, None, -1.0], "alkalinity": [19.0, 20.0, 39.0, None, NA],
}
OF_LOG: dict[str, list[Any]] = {
    "as_of": [TODAY, TODAY, TODAY, TODAY - 4, None, "today", 12.0, NA],
    "days_watch": [7.0, 7.0, 7.0, None, "x", 0.0, NA], "days_act": [14.0, 14.0, 14.0, None, "x", NA],
}
Values = Mapping[tuple[str, str], Any]


def _place_of_limit(key: str) -> tuple[str, str]:
    """Where a limit for all systems is typed."""
    sheet, cell = logs.place(limits.general(key))
    return sheet, f"C{cell[1:]}"


def _typed(rng: random.Random, log: Log) -> tuple[dict[tuple[str, str], Any], list[tuple[int, int]]]:
    """A log full of systems and tests as cells, and of each test its row and the place of its system."""
    register, table = log[systems.SHEET], log[TESTS]
    cells: dict[tuple[str, str], Any] = {logs.place(log.book.named("as_of")): rng.choice(OF_LOG["as_of"])}
    cells |= {_place_of_limit(key): rng.choice(OF_LOG[key]) for key in ("days_watch", "days_act")}
    cells |= {("Kits", f"{log['Kits'].letter('in_use')}{row}"): None
              for row in range(log["Kits"].first_row, log["Kits"].last_row + 1)}
    names: list[Any] = [f"{filled.WALL} {number}" for number in range(register.rows)]
    names[rng.randrange(register.rows)] = rng.choice([NA, None])
    for row, name in enumerate(names, register.first_row):
        for column in register.inputs:
            cells[systems.SHEET, f"{register.letter(column.key)}{row}"] = name if column.key == "system" else None
        species = rng.choice([*limits.KINDS, "any fish" if rng.random() < 0.2 else limits.OTHER])
        cells[systems.SHEET, f"{register.letter('species')}{row}"] = species
    of = []
    for row in range(table.first_row, table.last_row + 1):
        place = rng.randrange(register.rows)
        entry = {**WATER, "system": names[place] if isinstance(names[place], str) else None, "date": TODAY - 1,
                 "time": None}
        entry |= {key: rng.choice(TRIED[key]) for key in rng.sample(sorted(TRIED), rng.choice([0, 0, 1, 1]))}
        for column in table.inputs:
            value = entry.get(column.key)
            if column.quantity is not None and isinstance(value, float):
                value = round(log.book.show(column.quantity, value), 6)
            cells[TESTS, f"{table.letter(column.key)}{row}"] = value
        of.append((row, place + 1))
    return cells, of


def _urgent(log: Log, cells: Values, found: Values, row: int) -> float:
    """The urgency of the most urgent reading of a test, in plain Python."""
    table = log[TESTS]
    values = {name: cells[TESTS, f"{table.letter(column.key)}{row}"] for name, column in water_rules.VALUES.items()}
    values |= {key: found[TESTS, f"{table.letter(key)}{row}"] for key in ("nh3", "co2", "saturation")}
    letter = limits.column_of(limits.KINDS[int(found[TESTS, f"{table.letter('kind')}{row}"]) - 1])
    values |= {limit.key: found[logs.place(f"Limits!{letter}{limits.row_of(limit.key)}")] for limit in limits.OF_WATER}
    judged = [judge(rule, values, log.book.units) for rule in system_state_rules.OF_WATER]
    return float(min((one.urgency for one in judged if one.outcome == ACT), default=NO_URGENCY))


def _expected(log: Log, cells: Values, found: Values, place: int, rows: list[int]) -> tuple[str, str, str]:
    """The verdict of a system, what to do next and why, in plain Python, from the rows of its tests."""
    table, today = log[TESTS], found[logs.place("Settings!$D$8")]

    def of_test(key: str, row: int) -> Any:
        return found[TESTS, f"{table.letter(key)}{row}"]

    def age(rows: list[int]) -> float | None:
        return max(0.0, today - max(int(of_test("when", row)) for row in rows)) if rows and today else None

    dated = [row for row in rows if of_test("when", row) > 0]
    latest = max(dated, key=lambda row: of_test("when", row), default=None)
    name = found[SHEET, f"{log[SHEET].letter('system')}{log[SHEET].first_row + place - 1}"]
    values = {
        "name": None if name == NOT_KNOWN else 1.0, "dated": None if len(dated) < len(rows) else 1.0,
        "today": cells[logs.place(log.book.named("as_of"))],
        "test": of_test("verdict", latest) if latest else None,
        "urgent": _urgent(log, cells, found, latest) if latest else None,
        "days": age(dated), "ammonia_days": age([row for row in dated if isinstance(of_test("nh3", row), float)]),
        **{key: cells[_place_of_limit(key)] for key in ("days_watch", "days_act")},
    }
    state = judge(system_state_rules.system_state, values, log.book.units)
    known = (*system_state_rules.ALWAYS, *(system_state_rules.WHERE_TESTED if latest else ()))
    reasons = [one.text for rule in known if (one := judge(rule, values, log.book.units)).outcome == NOT_KNOWN]
    reasons += [of_test("why", latest)] if latest and of_test("why", latest) else []
    return state.outcome, system_state_rules.STEPS[state.urgency], BEFORE_REASON.join(reasons)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_overview_says_what_plain_python_says(units: str) -> None:
    log, model, rng = logs.log(units), logs.model(units, True), random.Random(11)
    table, said = log[SHEET], set()
    for _ in range(examples(32)):
        cells, of = _typed(rng, log)
        found = model.calculate(cells).values
        for place in range(1, table.rows + 1):
            row = table.first_row + place - 1
            if not found[SHEET, f"{table.letter('system')}{row}"]:
                continue
            rows = [test for test, its in of if its == place and found[TESTS, f"{log[TESTS].letter('place')}{test}"]]
            expected = _expected(log, cells, found, place, rows)
            shown = tuple(found[SHEET, f"{table.letter(key)}{row}"] for key in ("verdict", "next", "why"))
            assert (*map(international, shown[:2]), shown[2]) == expected, (row, rows)
            said.add(expected[:2])
    assert {verdict for verdict, _ in said} == {"act", "not known", "watch", "fine"}
    assert len(said) >= 8


@pytest.mark.parametrize("fault", ["abc", True, NA, 1e9], ids=str)
def test_a_faulty_reading_of_the_latest_test_is_never_a_number_and_never_fine(fault: Any) -> None:
    log, table, register = logs.log("metric"), logs.log("metric")[TESTS], logs.log("metric")[systems.SHEET]
    cells: dict[tuple[str, str], Any] = {}
    for number, key in enumerate(TRIED):
        name = f"{filled.WALL} {number}"
        cells[systems.SHEET, f"{register.letter('system')}{register.first_row + number}"] = name
        for column, value in (WATER | {"system": name, key: fault}).items():
            cells[TESTS, f"{table.letter(column)}{table.first_row + number}"] = value
    found = logs.model("metric", True).calculate(cells).values
    for row, key in enumerate(TRIED, log[SHEET].first_row):
        assert found[SHEET, f"{log[SHEET].letter('verdict')}{row}"] != FINE, key
        if key != "date":
            shown = found[SHEET, f"{log[SHEET].letter(IN_BASIS.get(key, key))}{row}"]
            assert shown == (water_rules.BEYOND if fault == 1e9 else NOT_KNOWN), key


@pytest.mark.parametrize("put", [None, "all is well", NA], ids=str)
def test_what_was_overwritten_leaves_no_system_fine(put: Any) -> None:
    log = farm_log(rows=logs.ROWS)
    overwritten = (None, "date", "days", "ammonia_days", "position", "test", "kind", "urgent", "dated", "urgency",
                   "place", "stamp")
    register, table, sheet = log[systems.SHEET], log[SHEET], log.book.workbook[SHEET]
    log.book.workbook["Start"][logs.place(log.book.named("as_of"))[1]].value = filled.AS_OF
    for number, key in enumerate(overwritten):
        name = f"{filled.WALL} {number}"
        log.book.workbook[systems.SHEET][f"{register.letter('system')}{register.first_row + number}"].value = name
        for column, value in (WATER | {"system": name}).items():
            log.book.workbook[TESTS][f"{log[TESTS].letter(column)}{log[TESTS].first_row + number}"].value = value
        if key:
            sheet[f"{table.letter(key)}{table.first_row + number}"].value = (
                put.code if isinstance(put, ErrorValue) else put)
    with tempfile.TemporaryDirectory() as folder:
        found = load_model(log.book.save(Path(folder) / "log.xlsx")).calculate().values
    verdicts = {key: found[SHEET, f"{table.letter('verdict')}{table.first_row + number}"]
                for number, key in enumerate(overwritten)}
    assert verdicts.pop(None) == FINE
    assert FINE not in verdicts.values(), verdicts
