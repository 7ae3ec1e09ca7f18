"""Dosing plans for the tests: blank and filled, in both unit systems, by both engines, and what is typed into them."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import calc
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
FIRST_DAY = date(2026, 6, 1)
AS_OF = FIRST_DAY + timedelta(days=12)

# The worked case, metric: 1,400 L, band 25 to 35 mg/L PO4, a reading every third day, a kit with steps of 2.
SETUP: dict[str, Any] = {
    "system": "Long trough", "volume": 1400.0, "temperature": 25.0, "ph_start": 6.6, "alkalinity_start": 40.0,
    "alkalinity_resolution": 17.8, "calcium_start": 60.0, "sodium_start": 12.0, "days_between": 3,
}
TARGETS: dict[str, dict[str, Any]] = {
    "phosphate": {"basis": "PO4", "resolution": 2.0, "kit_low": 0.0, "kit_high": 100.0, "low": 25.0, "high": 35.0,
                  "product": "phosphoric acid"},
}
OTHER_TARGETS: dict[str, dict[str, Any]] = {
    "potassium": {"basis": "K", "resolution": 5.0, "low": 40.0, "high": 60.0, "product": "potassium sulfate"},
    "calcium": {"basis": "Ca", "resolution": 10.0, "low": 40.0, "high": 80.0, "product": "calcium chloride dihydrate"},
    "magnesium": {"basis": "Mg", "resolution": 5.0, "low": 15.0, "high": 30.0, "product": "magnesium sulfate heptahydrate"},
    "iron": {"basis": "Fe", "resolution": 0.25, "low": 1.0, "high": 2.0, "product": "iron chelate", "strength": 11.0},
}
STRENGTHS: dict[str, dict[str, float]] = {"phosphoric acid": {"strength": 75.0}}
READ = (36.0, 34.0, 30.0, 28.0, 26.0)
READINGS: list[dict[str, Any]] = [
    {"date": FIRST_DAY + timedelta(days=3 * i), "phosphate": value} for i, value in enumerate(READ)
]
OTHER_READINGS: list[dict[str, Any]] = [
    {"potassium": 60.0, "calcium": 70.0, "magnesium": 25.0, "iron": 2.0}, {}, {"potassium": 50.0, "iron": 1.5}, {},
    {"potassium": 45.0, "calcium": 60.0, "magnesium": 20.0, "iron": 1.0},
]


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
    """The worked case's kit, band and product, some of it changed."""
    return {"phosphate": TARGETS["phosphate"] | changed}


def everything(units: str, *, exactly: bool = False) -> Inputs:
    """The worked case with all nutrients, a pH to reach, a base, a dose given and water changed.

    A US plan is of 370 gal, as a person types it, or of exactly as much water as a metric one.
    """
    rows = [row | more for row, more in zip(READINGS, OTHER_READINGS)]
    rows[1] = rows[1] | {"phosphate_dose": 2.0, "ph": 6.7, "alkalinity": 40.0, "changed": 5.0}
    setup = SETUP | {"ph_target": 7.0, "ph_chemical": "potassium bicarbonate", "alkalinity_hold": 45.0,
                     "conductivity": 600.0}
    inputs = typed(units, setup, TARGETS | OTHER_TARGETS, rows)
    if units == US and not exactly:
        inputs[place(plan(units).given("volume"))] = 370.0
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
