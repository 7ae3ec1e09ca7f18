"""Move plans for the tests: blank and filled, in both unit systems, by both engines, and what is typed into them.

Inputs go by the defined names of the plan's values, metric; a date or a text as it is.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import calc
from pailbook.hosts.engines import Formulas
from pailbook.quantities import Quantity
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import after, checks, match, ph_days
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.recalc import load_model

Values = Mapping[tuple[str, str], Any]
Inputs = dict[str, Any]

# Three fish of half a pound in five US gallons of water: common practice.
BUCKET: Inputs = {
    "from_ph": 6.8, "to_ph": 6.7, "from_temperature": 25.0, "to_temperature": 25.0, "fish_count": 3.0,
    "fish_weight": 0.675, "vessel_count": 1.0, "vessel_volume": 18.927 / 0.8, "road_minutes": 45.0,
}
PUMP_OFF: Inputs = {"pump_off_minutes": 60.0}

# An invented move of real size: jade perch from a farm's pond house to a school's raft bay.
DEMO: Inputs = {
    "as_of": date(2026, 9, 7), "move_date": date(2026, 9, 11), "client": "Quayside School",
    "from_system": "Nursery, bay 2", "to_system": "School greenhouse", "species": "jade perch",
    "from_ph": 6.9, "to_ph": 6.3, "from_temperature": 24.5, "to_temperature": 22.5, "fish_count": 96.0,
    "fish_weight": 11.5, "vessel_count": 6.0, "vessel_volume": 120.0, "road_minutes": 55.0,
    "from_alkalinity": 60.0, "to_alkalinity": 25.0, "from_phosphate": 20.0, "to_phosphate": 32.0, "start_tan": 0.4,
    "air_flow": 9.0, "air_depth": 45.0, "stone": "fine", "spare_air": "yes", "battery_hours": 6.0, "hours_fasted": 36.0,
    "fish_length": 17.0, "kit_resolution_ph": 0.1, "air_temperature": 19.0, "salt": 1.0, "quarantine": "yes",
    "calendar_begun": date(2026, 9, 8), "calendar_volume": 3200.0, "to_volume": 3200.0, "resident_weight": 9.0,
    "to_tan": 0.0, "to_nitrite": 0.0,
    "feed_now": 140.0, "filter_area": 220.0, "refill_source": "rain",
}
DEMO_READINGS = (6.5, 6.7)  # the mornings after the first two doses


@cache
def plan(units: str, plain: bool = False) -> Plan:
    """An empty plan in memory."""
    return move_plan(units, plain)


@cache
def model(units: str, plain: bool = False) -> Formulas:
    """The empty plan, ready for the headless engine."""
    with tempfile.TemporaryDirectory() as folder:
        return load_model(move_plan(units, plain).book.save(Path(folder) / "plan.xlsx"))


def place(text: str) -> tuple[str, str]:
    """The sheet and address of a reference such as 'Water match'!$A$5."""
    sheet, address = text.split("!")
    return sheet.strip("'"), address.replace("$", "")


def _quantity(key: str, units: str) -> Quantity | None:
    if key.startswith("kit_resolution_"):
        pair = next(pair for pair in match.PAIRS if pair.key == key.removeprefix("kit_resolution_"))
        return pair.difference
    fields = (f for form in plan(units).forms.values() for _, f in form.fields())
    return next(f.quantity for f in fields if f.key == key)


def cells(
    inputs: Inputs, units: str = "metric", readings: tuple[float, ...] = (), figures: int = 12,
) -> dict[tuple[str, str], Any]:
    """What is typed, by sheet and address, each metric number in the plan's units, with so many figures."""
    made, names = plan(units), plan(units).book.names
    found = {}
    for key, value in inputs.items():
        name = f"given_{key}" if f"given_{key}" in names else key
        kind = _quantity(key, units) if key != "as_of" else None
        if kind is not None and isinstance(value, float):
            value = float(f"{made.book.show(kind, value):.{figures}g}")
        found[place(names[name])] = value
    days = ph_days.table()
    for row, reading in enumerate(readings, days.first_row):
        found[days.sheet, f"{days.letter('reading')}{row}"] = reading
    return found


def computed(
    inputs: Inputs, units: str = "metric", readings: tuple[float, ...] = (),
    more: Mapping[tuple[str, str], Any] | None = None, plain: bool = False,
) -> Values:
    """What the headless engine makes of the plan with these inputs."""
    values: Values = model(units, plain).calculate(cells(inputs, units, readings) | dict(more or {})).values
    return values


def office(inputs: Inputs, units: str = "metric", readings: tuple[float, ...] = ()) -> Values:
    """What LibreOffice makes of the plan's plain form with these inputs."""
    with tempfile.TemporaryDirectory() as folder:
        return calc.recalculated(filled(inputs, units, readings, plain=True).book.save(Path(folder) / "plan.xlsx"))


def filled(
    inputs: Inputs, units: str = "metric", readings: tuple[float, ...] = (), plain: bool = False, figures: int = 12,
) -> Plan:
    """A plan with these inputs typed in; a person types 3 or 4 figures."""
    made = move_plan(units, plain)
    for (sheet, address), value in cells(inputs, units, readings, figures).items():
        made.book.workbook[sheet][address].value = value
    return made


def named(values: Values, name: str, units: str = "metric") -> Any:
    """The value of a defined name that holds a formula."""
    return values[place(plan(units).book.named(name))]


def said(values: Values, label: str) -> str:
    """The verdict of the check of that label."""
    text: str = values[place(checks.cell_of(label))]
    return text


def words(values: Values) -> list[str]:
    """Every check's word, in order."""
    sheet, first = place(checks.words().split(":")[0])
    row = int(first[1:])
    return [values[sheet, f"D{row + number}"] for number in range(len(checks.CHECKS))]


def dead(*counts: tuple[int, int], residents: tuple[tuple[int, int], ...] = ()) -> dict[tuple[str, str], Any]:
    """Deaths typed on the sheet After the move, each (day, count); the days before the last without deaths are 0."""
    table = after.table()
    last = max(day for day, _ in counts)
    typed: dict[tuple[str, str], Any] = {}
    for day in range(last + 1):
        typed[table.sheet, f"{table.letter('dead')}{table.first_row + day}"] = dict(counts).get(day, 0)
    for day, count in residents:
        typed[table.sheet, f"{table.letter('residents')}{table.first_row + day}"] = count
    return typed
