"""Stocking and feed plans for the tests: blank and filled, in both unit systems, and what is typed into them."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import calc
from pailbook.hosts.engines import Formulas
from pailbook.quantities import Quantity
from pailbook.workbook.form import Plan
from pailbook.workbook.recalc import load_model
from pailbook.workbook.stocking_plan import areas, cohorts, weeks
from pailbook.workbook.stocking_plan.build import stocking_plan
from plans import formulas as formulas
from plans import place as place

WEEKS = 24
FIRST_DAY = date(2026, 4, 6)
AS_OF = FIRST_DAY + timedelta(days=16)
Values = Mapping[tuple[str, str], Any]
Inputs = dict[tuple[str, str], Any]

# The worked case, metric: 3,000 L, one cohort of tilapia there and one to come, gravel beds, one air pump.
SETUP: dict[str, Any] = {
    "system": "Long house", "volume": 3000.0, "temperature": 26.0, "alkalinity": 80.0, "plan_start": FIRST_DAY,
    "media_volume": 700.0, "media_kind": "gravel", "air_flow": 60.0, "stone_depth": 70.0, "flow": 3600.0, "lift": 1.2,
    "pipe_diameter": 36.0, "pipe_length": 6.0, "elbows": 4.0, "pump_head": 2.0,
}
COHORTS: list[dict[str, Any]] = [
    {"name": "spring", "species": "tilapia", "count": 120.0, "mass": 150.0, "coefficient": 0.8, "target": 400.0,
     "per_week": 20.0},
    {"name": "June", "species": "tilapia", "stocked": FIRST_DAY + timedelta(days=58), "count": 100.0, "mass": 20.0,
     "earlier_mass": 8.0, "earlier_days": 40.0, "earlier_temperature": 27.0, "own_conversion": 1.4, "own_deaths": 1.0},
]
AREAS: list[dict[str, Any]] = [
    {"area_name": "rafts", "crop": "leafy", "area": 6.0}, {"area_name": "beds", "crop": "fruiting", "area": 2.0},
]


@cache
def plan(units: str, plain: bool = False, count: int = WEEKS) -> Plan:
    """An empty plan in memory."""
    return stocking_plan(units, plain, count)


@cache
def model(units: str) -> Formulas:
    """The empty plan with function calls, ready for the headless engine."""
    with tempfile.TemporaryDirectory() as folder:
        return load_model(plan(units).book.save(Path(folder) / "plan.xlsx"))


def typed(
    units: str, setup: Mapping[str, Any] = SETUP, fish: list[dict[str, Any]] = COHORTS,
    plants: list[dict[str, Any]] = AREAS, temperatures: Mapping[int, float] | None = None,
    as_of: date | None = AS_OF,
) -> Inputs:
    """What is typed, by sheet and address, each metric number in the plan's units; temperatures by week."""
    made = plan(units)
    inputs: Inputs = {place(made.book.named("as_of")): as_of}

    def put(address: str, quantity: Quantity | None, value: Any) -> None:
        number = quantity is not None and isinstance(value, float)
        inputs[place(address)] = made.book.show(quantity, value) if number and quantity is not None else value

    (form,) = made.forms.values()
    for key, value in setup.items():
        put(made.given(key), next(f.quantity for _, f in form.fields() if f.key == key), value)
    rows = {cohorts.SHEET: fish, areas.SHEET: plants}
    for sheet, lines in rows.items():
        table = made.tables[sheet]
        for number, line in enumerate(lines, table.first_row):
            for key, value in line.items():
                put(f"{sheet}!{table.cell(key, number)}", table.column(key).quantity, value)
    table = made.tables[weeks.SHEET]
    for week, value in (temperatures or {}).items():
        put(f"{weeks.SHEET}!{table.cell('own_temperature', table.first_row + week - 1)}",
            table.column("own_temperature").quantity, value)
    return {where: value for where, value in inputs.items() if value is not None}


def as_people_type(inputs: Inputs) -> Inputs:
    """The inputs with no more digits than anyone types."""
    return {where: float(f"{value:.3g}") if isinstance(value, float) else value for where, value in inputs.items()}


def changed(**setup: Any) -> dict[str, Any]:
    """The worked case's setup, some of it changed; None leaves a cell blank."""
    return {key: value for key, value in (SETUP | setup).items() if value is not None}


_known: dict[tuple[str, frozenset[Any]], Values] = {}


def computed(units: str, inputs: Inputs | None = None) -> Values:
    """What the headless engine makes of the plan with these inputs; the same inputs are worked out once."""
    case = units, frozenset((inputs or {}).items())
    if case not in _known:
        _known[case] = model(units).calculate(inputs or {}).values
    return _known[case]


def office(units: str, inputs: Inputs) -> Values:
    """What LibreOffice makes of the plan's plain form with these inputs."""
    return calc.recalculated(saved(units, True, inputs, Path(tempfile.mkdtemp(prefix="stocking-"))))


def saved(units: str, plain: bool, inputs: Inputs, folder: Path) -> Path:
    """A plan with these inputs in it, as a file."""
    made = stocking_plan(units, plain, WEEKS)
    for (sheet, address), value in inputs.items():
        made.book.workbook[sheet][address].value = value
    return made.book.save(folder / "plan.xlsx")


def named(values: Values, units: str, name: str) -> Any:
    """The value of a cell that has a name."""
    return values[place(plan(units).book.named(name))]


def column(values: Values, units: str, sheet: str, key: str) -> list[Any]:
    """A column of a table."""
    table = plan(units).tables[sheet]
    return [values[sheet, f"{table.letter(key)}{row}"] for row in range(table.first_row, table.last_row + 1)]
