"""The sheets Kits and Systems say what plain Python says of the same entries; what is not in order is never fine."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

import filled
import logs
from pailbook.demo import scenario
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.hosts.cells import ErrorValue
from pailbook.outcomes import Outcome
from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.rules import Rule, judge
from pailbook.terms import FINE, international
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import kits, limits, systems
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.entries import ENTRIES
from pailbook.workbook.farm_log.kit_rules import ENTERED, NO_BASIS, kit
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.farm_log.systems import volume_check
from pailbook.workbook.recalc import load_model
from thorough import examples

NA = ErrorValue("#N/A")
TODAY = logs.serial(filled.AS_OF)
FAULTS: tuple[Any, ...] = ("abc", NA, True, -500.0, 1e9)
Typed = dict[str, Any]
Inputs = dict[tuple[str, str], Any]
STATE = {kits.SHEET: "state", systems.SHEET: "check"}
RULE = {kits.SHEET: kit, systems.SHEET: volume_check}

# What the log rests on beside the rows, by the name of the setting or limit.
BESIDES: Mapping[str, Any] = {
    "as_of": TODAY, "kit_days": 30.0, "ph_step": 0.2, **{basis.name: basis.choices[0] for basis in BASES}}
# Rows in which all is filled in and fine: a kit for each reading, and systems of the scenario.
FINE_KITS: tuple[Typed, ...] = tuple(
    {"kit": f"{reads.label} drops", "reads": reads.label, "basis": BESIDES.get(reads.basis), "resolution": 0.1,
     "low": 0.0, "high": 400.0, "expiry": TODAY + 31, "in_use": "yes"} for reads in kits.READS)
FINE_SYSTEMS: tuple[Typed, ...] = tuple(
    {"system": name, "species": scenario.SOUTH_BEDS.species, "volume": 300.0, "found": "flow meter", "shape": "round",
     "length": 100.0, "width": 100.0, "depth": 38.2, "elevation": 240.0, "area": 2.0,
     "source": scenario.SOUTH_BEDS.source} for name in (filled.NORTH, filled.SOUTH, filled.CLIENT, filled.WALL))
FINE_ROWS = {kits.SHEET: FINE_KITS, systems.SHEET: FINE_SYSTEMS}
# On both sides of limits; what is blank; what is broken.
TRIED: dict[str, dict[str, Sequence[Any]]] = {
    kits.SHEET: {
        "kit": ["", "sticks", 5.0, NA], "reads": ["", "pH", "PH", "nitrate", "alkalinity", "copper", NA],
        "basis": ["", "N", "NO3", "dH", "caco3", "x", True], "resolution": ["", 0.2, 0.21, 0.4, 0.0, "fine"],
        "low": ["", 5.0, -1.0, NA], "high": ["", 25.0, 1e6, "x"],
        "expiry": ["", TODAY - 1, TODAY - 0.25, TODAY, TODAY + 0.5, TODAY + 1, TODAY + 30, TODAY + 31, 7.0, "May", NA],
        "in_use": ["", "no", "Yes", "maybe", NA],
    },
    systems.SHEET: {
        "system": ["", filled.NORTH, filled.SOUTH.upper(), NA], "species": ["", "shark", NA, True],
        "volume": ["", 329.0, 331.0, 269.0, 271.0, 0.0, "300 L", NA], "found": ["", "guessed", "by eye", NA],
        "shape": ["", "rectangular", "star", NA], "length": ["", 110.0, 112.0, -1.0, "x"], "width": ["", 0.0],
        "depth": ["", 1e9, NA], "elevation": ["", -600.0, "high", NA], "area": ["", -1.0, "x"], "source": ["", "sea"],
    },
}
TRIED_BESIDES: dict[str, Sequence[Any]] = {
    "as_of": [TODAY + 0.6, TODAY + 31, None, "soon", NA, 12.0], "kit_days": [1.0, None, "x", NA, 0.5],
    "ph_step": [0.4, None, "x", NA, 9.0], "basis_nitrate": ["N", "", "x", NA], "basis_alkalinity": ["dH", None, "N"],
}


def _place(units: str, name: str) -> tuple[str, str]:
    """The cell in which a setting or a limit is typed."""
    log = logs.log(units)
    if name in {limit.key for limit in limits.GENERAL}:
        sheet = log.book.workbook[limits.SHEET]
        return limits.SHEET, next(f"C{cell.row}" for cell in sheet["A"] if cell.value == limits.label(name))
    return logs.place(log.book.named(name))


def _shown(units: str, column: Column, value: Any) -> Any:
    """A metric number as a log of that unit system has it."""
    if column.quantity is None or not isinstance(value, float) or isinstance(value, bool):
        return value
    return round(logs.log(units).book.show(column.quantity, value), 6)


def _said(units: str, sheet: str, rows: Sequence[Typed], besides: Mapping[str, Any]) -> list[str]:
    """The verdicts of a blank log's sheet on these rows."""
    table = logs.log(units)[sheet]
    inputs: Inputs = {_place(units, name): value for name, value in besides.items()}
    for number, row in enumerate(rows, table.first_row):
        inputs |= {(sheet, f"{table.letter(key)}{number}"): value for key, value in row.items()}
    found = logs.model(units, False).calculate(inputs).values
    last = table.first_row + len(rows)
    return [found[sheet, f"{table.letter(STATE[sheet])}{number}"] for number in range(table.first_row, last)]


def _same(rows: Sequence[Typed], key: str, value: Any, **others: Any) -> float:
    """How many rows hold the same text, whatever its case."""
    def alike(one: Any, other: Any) -> bool:
        return isinstance(one, str) and isinstance(other, str) and one.casefold() == other.casefold() != ""

    return float(sum(alike(row[key], value) and all(alike(row[name], other) for name, other in others.items())
                     for row in rows))


def _of_kit(row: Typed, rows: Sequence[Typed], besides: Mapping[str, Any], units: str) -> Typed:
    """What the kit's rule asks besides what is typed."""
    reads = next((one for one in kits.READS if isinstance(row["reads"], str)
                  and one.label.casefold() == row["reads"].casefold()), None)
    basis = besides[reads.basis] if reads and reads.basis else NO_BASIS
    return {"kits_in_use": _same(rows, "reads", row["reads"], in_use=kits.IN_USE), "log_basis": basis,
            "today": besides["as_of"], "kit_days": besides["kit_days"], "ph_step": besides["ph_step"]}


def _of_system(row: Typed, rows: Sequence[Typed], besides: Mapping[str, Any], units: str) -> Typed:
    """What the system's rule asks besides what is typed."""
    try:
        worked = call(CATALOGUE["TANK_VOLUME"], [*(row[key] or None for key in TANK), units])
    except (Outcome, ValueError):
        worked = None
    volume = row["volume"]
    possible = isinstance(volume, float) and volume > 0
    return {"same_name": _same(rows, "system", row["system"]), "worked": worked,
            "in_use": volume if possible else worked if volume == "" else None}


BESIDE_ROW: dict[str, Callable[[Typed, Sequence[Typed], Mapping[str, Any], str], Typed]] = {
    kits.SHEET: _of_kit, systems.SHEET: _of_system}
TANK = ("shape", "length", "width", "depth")
sheets = pytest.mark.parametrize("sheet", [kits.SHEET, systems.SHEET])


def rows_of(rng: random.Random, units: str, sheet: str) -> list[Typed]:
    """Rows in which some entries are other ones; as many as the sheet has."""
    table, tried = logs.log(units)[sheet], TRIED[sheet]
    rows: list[Typed] = []
    for _ in range(table.rows):
        row = rng.choice(FINE_ROWS[sheet])
        if sheet == systems.SHEET:
            row = row | {"system": f"{row['system']} {len(rows)}"}
        elif rng.random() < 0.7:
            row = row | {"in_use": "no"}
        row = row | {key: rng.choice(tried[key]) for key in rng.sample(sorted(tried), rng.choice((0, 1, 1, 2, 3)))}
        rows.append({key: _shown(units, table.column(key), value) for key, value in row.items()})
    return rows


def besides_of(rng: random.Random) -> dict[str, Any]:
    """Settings and limits of which some are other ones."""
    names = rng.sample(sorted(TRIED_BESIDES), rng.choice((0, 0, 1, 2)))
    return {**BESIDES, **{name: rng.choice(TRIED_BESIDES[name]) for name in names}}


@sheets
@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_a_row_is_judged_as_plain_python_judges_it(sheet: str, units: str) -> None:
    rng, rule = random.Random(11), RULE[sheet]
    for _ in range(examples(24)):
        rows, besides = rows_of(rng, units, sheet), besides_of(rng)
        for row, said in zip(rows, _said(units, sheet, rows, besides), strict=True):
            if any(value != "" for value in row.values()):
                values = {key: row[key] for key in row} | BESIDE_ROW[sheet](row, rows, besides, units)
                assert international(said) == international(judge(rule, values, units).text), (row, besides)


def _deciding(rule: Rule, sheet: str) -> list[str]:
    inputs = {column.key for column in logs.log(METRIC)[sheet].inputs}
    return [one.name for one in rule.questions if one.name in inputs]


@sheets
def test_a_faulty_entry_is_never_fine(sheet: str) -> None:
    table, fine = logs.log(METRIC)[sheet], FINE_ROWS[sheet]
    assert set(_said(METRIC, sheet, fine, BESIDES)) == {FINE}
    faulty = [fine[0] | {key: fault} for key in _deciding(RULE[sheet], sheet) for fault in FAULTS
              if isinstance(fault, ErrorValue) or key not in ("kit", "system")]  # any text or number will do for a name
    for first in range(0, len(faulty), table.rows):
        rows = faulty[first:first + table.rows]
        for row, said in zip(rows, _said(METRIC, sheet, rows, BESIDES), strict=True):
            assert said.startswith("not known: "), (row, said)


def _judged(row: Typed, besides: Mapping[str, Any]) -> str:
    return judge(kit, row | _of_kit(row, [row], besides, METRIC)).text


def test_a_blank_entry_that_a_kit_needs_is_never_fine() -> None:
    for row, reads in zip(FINE_KITS, kits.READS, strict=True):
        for key in ENTERED:
            needed = {"basis": reads.basis, "expiry": reads.basis, "resolution": reads.key == "ph",
                      "low": "low" in reads.ends, "high": "high" in reads.ends}.get(key, True)
            assert (_judged(row | {key: ""}, BESIDES) != FINE) == bool(needed), (key, row)


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_fault_in_what_kits_rest_on_is_never_fine(fault: Any) -> None:
    for row, reads in zip(FINE_KITS, kits.READS, strict=True):
        for name in BESIDES:
            rests = name in ("as_of", "kit_days", reads.basis) or (name == "ph_step" and reads.key == "ph")
            assert _judged(row, {**BESIDES, name: fault}).startswith("not known: ") == rests, (name, row)
        # A meter without a use-by date needs no date of today.
        said = _judged(row | {"expiry": ""}, {**BESIDES, "as_of": fault, "kit_days": fault})
        assert (said == FINE) == (not reads.basis), row


@pytest.mark.parametrize("put", [None, "all is well", NA], ids=str)
def test_what_was_overwritten_is_never_fine(put: Any) -> None:
    log = farm_log(rows=logs.ROWS)
    over = {kits.SHEET: (ENTRIES.key, "log_basis"), systems.SHEET: (ENTRIES.key, "in_use", "worked")}
    log.book.workbook["Start"][logs.place(log.book.named("as_of"))[1]].value = filled.AS_OF
    for sheet, keys in over.items():
        table, cells = log[sheet], log.book.workbook[sheet]
        for number, row in enumerate(FINE_ROWS[sheet], table.first_row):
            for key, value in row.items():
                cells[f"{table.letter(key)}{number}"].value = value
        for number, key in enumerate(keys, table.first_row):
            cells[f"{table.letter(key)}{number}"].value = put.code if isinstance(put, ErrorValue) else put
    with tempfile.TemporaryDirectory() as folder:
        values = load_model(log.book.save(Path(folder) / "log.xlsx")).calculate().values
    for sheet, keys in over.items():
        table = log[sheet]
        for number in range(len(FINE_ROWS[sheet])):
            said = values[sheet, f"{table.letter(STATE[sheet])}{table.first_row + number}"]
            no_tank = put is None and number < len(keys) and keys[number] == "worked"  # as if none had been measured
            assert (said == FINE) == (number >= len(keys) or no_tank), (sheet, number, said)
