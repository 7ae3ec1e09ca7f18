"""Move plans for the tests: blank and filled, in both unit systems, by both engines, and what is typed into them.

Inputs go by the defined names of the plan's values, metric; a date or a text as it is.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import calc
from pailbook.demo import scenario
from pailbook.hosts.engines import Formulas
from pailbook.quantities import US, Quantity
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import after, checks, ph_days, trip, waters
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.recalc import load_model

Values = Mapping[tuple[str, str], Any]
Inputs = dict[str, Any]

# The invented moves of the scenario: one vessel of fish, and the demo's move from client to client.
BASE: Inputs = dict(scenario.BASE_MOVE)
STILL: Inputs = {"carried": trip.STILL, "road_minutes": 90.0}  # without air, for an hour and a half
PUMP_OFF: Inputs = {"pump_off_minutes": 60.0}
DEMO: Inputs = dict(scenario.MOVE)
DEMO_READINGS = scenario.MORNINGS  # the mornings after the first two doses
# The vessels of the scenario by their litres, in US gallons: a US plan has the sizes that are sold there.
_US_VESSELS = dict(zip(scenario.VESSELS_L, (scenario.VESSELS_US_GAL[0], *scenario.VESSELS_US_GAL[1:] * 2)))


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
        pair = next(pair for pair in waters.PAIRS if pair.key == key.removeprefix("kit_resolution_"))
        return pair.difference
    fields = (f for form in plan(units).forms.values() for _, f in form.fields())
    return next(f.quantity for f in fields if f.key == key)


def cells(
    inputs: Inputs, units: str = "metric", readings: tuple[float, ...] = (), figures: int = 12,
) -> dict[tuple[str, str], Any]:
    """What is typed, by sheet and address, each metric number in the plan's units, with that many figures."""
    made, names = plan(units), plan(units).book.names
    found = {}
    for key, value in inputs.items():
        name = f"given_{key}" if f"given_{key}" in names else key
        kind = _quantity(key, units) if key != "as_of" else None
        if kind is not None and isinstance(value, float):
            shown = made.book.show(kind, value)
            if key == "vessel_volume" and units == US:
                shown = _US_VESSELS.get(value, shown)
            value = float(f"{shown:.{figures}g}")
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


def verdict(values: Values, label: str) -> str:
    """The verdict of the check of that label."""
    text: str = values[place(checks.cell_of(label))]
    return text


def words(values: Values) -> list[str]:
    """Every check's word, in order."""
    return [values[checks.SHEET, f"{checks.WORD}{row}"] for row in range(checks.FIRST, checks.LAST + 1)]


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
