"""The sheet of water tests says what plain Python says of the same values, and what was overwritten is never fine."""

from __future__ import annotations

import random
import tempfile
from pathlib import Path
from typing import Any

import pytest

import filled
import logs
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.terms import FINE
from pailbook.workbook.farm_log import kits, limits, systems, water_rules
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.recalc import load_model
from test_farm_log_faults import WATER
from thorough import examples

SHEET = "Water tests"
NA = ErrorValue("#N/A")
# On both sides of limits and of the ends of kits, beyond the scenario's water; and what is blank or broken.
TRIED: dict[str, list[Any]] = {
    "date": [logs.serial(filled.AS_OF), logs.serial(filled.FIRST_DAY), 46142.0, 46143.0, None, "soon", NA],
    "time": [None, 0.0, 0.99, 1.0, "8 am"], "system": [filled.NORTH, filled.CLIENT, "Nowhere", None, NA],
    "temperature": [12.9, 13.0, 17.0, 30.0, 31.0, None, "cold", -5.0],
    "ph": [5.4, 6.4, 7.4, 8.2, 8.6, 9.1, None, "7,2", 15.0, NA], "oxygen": [2.0, 4.0, 5.0, None, "low", 90.0],
    "tan": [0.0, 1.0, 4.0, None, "<0.2", NA], "nitrite": [1.0, 1.1, 5.1, None, -1.0],
    "nitrate": [400.0, 401.0, None, "x"],
    "phosphate": [2.0, 25.0, None, 1e6], "alkalinity": [5.0, 19.0, 20.0, 40.0, None, NA], "hardness": [None, "x"],
    "conductivity": [None, 0.0, -1.0, NA],
}


def _rows(rng: random.Random, units: str, count: int) -> list[dict[str, Any]]:
    """Tests of South beds in which some entries are other ones."""
    log, rows = logs.log(units), []
    for _ in range(count):
        row = {**WATER, "date": logs.serial(filled.AS_OF)}
        row |= {key: rng.choice(TRIED[key]) for key in rng.sample(sorted(TRIED), rng.randint(0, 5))}
        for key, value in row.items():
            quantity = log[SHEET].column(key).quantity
            if quantity is not None and isinstance(value, float):
                row[key] = round(log.book.show(quantity, value), 6)
        rows.append(row)
    return rows


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_why_is_what_plain_python_says(units: str) -> None:
    log, model, rng = logs.log(units), logs.model(units, True), random.Random(7)
    table, register = log[SHEET], log[systems.SHEET]
    names = [system["system"].casefold() for system in filled.SYSTEMS]
    for _ in range(examples(6)):
        rows = _rows(rng, units, table.rows)
        found = model.calculate({
            (SHEET, f"{table.letter(key)}{number}"): value
            for number, row in enumerate(rows, table.first_row) for key, value in row.items()}).values

        def at(address: str, found: Any = found) -> Any:
            return found[logs.place(address)]

        for number, row in enumerate(rows, table.first_row):
            values = {name: row[column.key] for name, column in water_rules.VALUES.items()}  # bases are the log's own
            for key in ("nh3", "saturation", "co2"):
                values[key] = found[SHEET, f"{table.letter(key)}{number}"]
            known = isinstance(row["system"], str) and row["system"].casefold() in names
            place = names.index(row["system"].casefold()) if known else 0
            kind = limits.KINDS.index(filled.SYSTEMS[place]["species"]) if known else len(limits.KINDS) - 1
            values |= {"date": row["date"], "time": row["time"], "system": place + 1.0 if known else row["system"],
                       "species": filled.SYSTEMS[place]["species"] if known else None,
                       "elevation": found[systems.SHEET, f"{register.letter('elevation_used')}{register.first_row}"]}
            letter = limits.column_of(limits.KINDS[kind])
            for limit in limits.OF_WATER:
                values[limit.key] = at(f"Limits!{letter}{limits.row_of(limit.key)}")
            for reads in kits.READS:
                name = IN_BASIS.get(reads.key, reads.key)
                values[f"{name}_kit"] = 1.0
                for part, of in (("good", "expiry"), ("name", "kit"), ("low", "low"), ("high", "high")):
                    values[f"{name}_{part}"] = at(kits.in_use(log, of, reads.key))
            expected = water_rules.why(values, units)
            assert found[SHEET, f"{table.letter('why')}{number}"] == expected, (row, values)
            assert (found[SHEET, f"{table.letter('verdict')}{number}"] == FINE) == (expected == ""), row


@pytest.mark.parametrize("put", [None, "all is well", NA], ids=str)
def test_what_was_overwritten_is_never_fine(put: Any) -> None:
    log = filled.fill(farm_log(rows=logs.ROWS))
    table, sheet = log[SHEET], log.book.workbook[SHEET]
    first = table.first_row + len(filled.water_tests())
    overwritten = (None, "faults", "reasons", "kind", "place", "when")
    for row, key in enumerate(overwritten, first):
        for name, value in WATER.items():
            sheet[f"{table.letter(name)}{row}"].value = value
        sheet[f"{table.letter('alkalinity')}{row}"].value = None  # whose kit has expired
        if key:
            sheet[f"{table.letter(key)}{row}"].value = put.code if isinstance(put, ErrorValue) else put
    with tempfile.TemporaryDirectory() as folder:
        values = load_model(log.book.save(Path(folder) / "log.xlsx")).calculate().values
    verdicts = [values[SHEET, f"{table.letter('verdict')}{row}"] for row in range(first, first + len(overwritten))]
    assert verdicts[0] == FINE
    assert FINE not in verdicts[1:]
