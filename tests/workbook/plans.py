"""Dosing plans for the tests: blank and filled, in both unit systems, by both engines, and what is typed into them.

The system is North raft of the scenario, a fortnight after the demo's season.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import calc
from pailbook.demo.scenario import NORTH_RAFT
from pailbook.hosts.engines import Formulas
from pailbook.quantities import US, Quantity
from pailbook.workbook.dosing_plan import readings, targets
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS
from pailbook.workbook.dosing_plan.places import SHEETS, cell
from pailbook.workbook.dosing_plan.products import of
from pailbook.workbook.form import Plan
from pailbook.workbook.recalc import load_model

ROWS = 20
Values = Mapping[tuple[str, str], Any]
Inputs = dict[tuple[str, str], Any]
FIRST_DAY = date(2026, 6, 15)
AS_OF = FIRST_DAY + timedelta(days=12)

# The worked case, metric: target range 8 to 14 mg/L PO4, a reading every third day, a kit with a resolution of 0.5.
SETUP: dict[str, Any] = {
    "system": NORTH_RAFT.name, "volume": NORTH_RAFT.volume, "temperature": 23.5, "ph_start": 7.3,
    "alkalinity_start": 100.0, "alkalinity_resolution": 5.0, "calcium_start": 38.0, "sodium_start": 9.0,
    "days_between": 3,
}
TARGETS: dict[str, dict[str, Any]] = {
    "phosphate": {"basis": "PO4", "resolution": 0.5, "kit_low": 0.5, "kit_high": 25.0, "low": 8.0, "high": 14.0,
                  "product": "phosphoric acid"},
}
OTHER_TARGETS: dict[str, dict[str, Any]] = {
    "potassium": {"basis": "K", "resolution": 5.0, "low": 40.0, "high": 60.0, "product": "potassium sulfate"},
    "calcium": {"basis": "Ca", "resolution": 2.0, "low": 35.0, "high": 50.0, "product": "calcium chloride dihydrate"},
    "magnesium": {"basis": "Mg", "resolution": 1.0, "low": 6.0, "high": 12.0,
                  "product": "magnesium sulfate heptahydrate"},
    "iron": {"basis": "Fe", "resolution": 0.25, "low": 1.0, "high": 2.0, "product": "iron chelate", "strength": 11.0},
}
STRENGTHS: dict[str, dict[str, float]] = {"phosphoric acid": {"strength": 75.0}}
READ = (12.5, 11.5, 10.5, 9.5, 9.0)
READINGS: list[dict[str, Any]] = [
    {"date": FIRST_DAY + timedelta(days=3 * i), "phosphate": value} for i, value in enumerate(READ)
]
OTHER_READINGS: list[dict[str, Any]] = [
    {"potassium": 60.0, "calcium": 50.0, "magnesium": 10.0, "iron": 2.0}, {}, {"potassium": 50.0, "iron": 1.5}, {},
    {"potassium": 45.0, "calcium": 42.0, "magnesium": 8.0, "iron": 1.0},
]
CHANGED = 5.0  # % of the water, after the second reading of everything
US_GALLONS = 819.0  # as a person types the 3,100 L


@cache
def plan(units: str, plain: bool = False, days: int = 28) -> Plan:
    """An empty plan in memory."""
    return dosing_plan(units, plain, ROWS, days)


@cache
def model(units: str) -> Formulas:
    """The empty plan with function calls, ready for the headless engine."""
    with tempfile.TemporaryDirectory() as folder:
        return load_model(plan(units).book.save(Path(folder) / "plan.xlsx"))


def typed(
    units: str, setup: Mapping[str, Any] = SETUP, nutrients: Mapping[str, Mapping[str, Any]] = TARGETS,
    rows: list[dict[str, Any]] = READINGS, strengths: Mapping[str, Mapping[str, float]] = STRENGTHS,
    as_of: date | None = AS_OF,
) -> Inputs:
    """What is typed, by sheet and address, each metric number in the plan's units."""
    made = plan(units)
    inputs: Inputs = {place(made.book.named("as_of")): as_of}

    def put(address: str, quantity: Quantity | None, value: Any) -> None:
        number = quantity is not None and isinstance(value, float)
        inputs[place(address)] = made.book.show(quantity, value) if number and quantity is not None else value

    for key, value in setup.items():
        form = next(form for form in made.forms.values() if form.has(key))
        put(made.given(key), next(f.quantity for _, f in form.fields() if f.key == key), value)
    lines = {line.key: line.quantity for line in targets.INPUTS}
    for nutrient in NUTRIENTS:
        for key, value in nutrients.get(nutrient.key, {}).items():
            put(cell(nutrient, key), lines[key], value)
    for product, parts in strengths.items():
        for key, value in parts.items():
            put(of(made, product, key), None, value)
    table = made.tables[readings.SHEET]
    for number, row in enumerate(rows, table.first_row):
        for key, value in row.items():
            put(f"{readings.SHEET}!{table.cell(key, number)}", table.column(key).quantity, value)
    return {where: value for where, value in inputs.items() if value is not None}


def phosphate_with(**changed: Any) -> dict[str, dict[str, Any]]:
    """The worked case's kit, target range and product, some of it changed."""
    return {"phosphate": TARGETS["phosphate"] | changed}


def everything(units: str, *, exactly: bool = False) -> Inputs:
    """The worked case with all nutrients, a pH to reach, a base, a dose given and water changed.

    A US plan has the volume that a person types, or exactly as much water as a metric one.
    """
    rows = [row | more for row, more in zip(READINGS, OTHER_READINGS)]
    rows[1] = rows[1] | {"phosphate_dose": 4.0, "ph": 7.3, "alkalinity": 100.0, "changed": CHANGED}
    setup = SETUP | {"ph_target": 7.5, "ph_chemical": "potassium bicarbonate", "alkalinity_hold": 110.0,
                     "conductivity": 600.0}
    inputs = typed(units, setup, TARGETS | OTHER_TARGETS, rows)
    if units == US and not exactly:
        inputs[place(plan(units).given("volume"))] = US_GALLONS
    return inputs


def computed(units: str, inputs: Inputs | None = None) -> Values:
    """What the headless engine makes of the plan with these inputs."""
    values: Values = model(units).calculate(inputs or {}).values
    return values


def office(units: str, inputs: Inputs, days: int = 28) -> Values:
    """What LibreOffice makes of the plan's plain form with these inputs."""
    made = dosing_plan(units, True, ROWS, days)
    for (sheet, address), value in inputs.items():
        made.book.workbook[sheet][address].value = value
    with tempfile.TemporaryDirectory() as folder:
        return calc.recalculated(made.book.save(Path(folder) / "plan.xlsx"))


def place(text: str) -> tuple[str, str]:
    """The sheet and address of a reference such as 'pH dose'!$A$5."""
    sheet, address = text.split("!")
    return sheet.strip("'"), address.replace("$", "")


def named(values: Values, units: str, name: str) -> Any:
    """The value of a key result."""
    return values[place(plan(units).book.named(name))]


def calendar(values: Values, units: str, key: str, sheet: str = SHEETS["calendar"]) -> list[Any]:
    """A column of the calendar."""
    table = plan(units).tables[sheet]
    return [values[sheet, f"{table.letter(key)}{row}"] for row in range(table.first_row, table.last_row + 1)]


def formulas(made: Plan) -> dict[tuple[str, str], str]:
    """Every formula of the plan, by sheet and address."""
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in made.book.workbook.worksheets for row in sheet.iter_rows() for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    }
