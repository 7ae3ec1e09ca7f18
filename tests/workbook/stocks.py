"""Stocking and feed plans for the tests: blank and filled, in both unit systems, and what is typed into them."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import calc
from pailbook.demo.scenario import NORTH_RAFT
from pailbook.demo.scenario import typed as typed_value
from pailbook.hosts.engines import Formulas
from pailbook.quantities import Quantity
from pailbook.workbook.form import Plan
from pailbook.workbook.recalc import load_model
from pailbook.workbook.stocking_plan import areas, cohorts, weeks
from pailbook.workbook.stocking_plan.build import stocking_plan
from plans import formulas as formulas
from plans import place as place

WEEKS = 24
FIRST_DAY = date(2026, 6, 6)
AS_OF = FIRST_DAY + timedelta(days=16)
Values = Mapping[tuple[str, str], Any]
Inputs = dict[tuple[str, str], Any]

# The worked case, metric: North raft with the equipment of the demo's plan; feed conversion, deaths, protein, stones
# and what plants take up are as the plan assumes them.
_EQUIPMENT = ("media_volume", "media_kind", "air_flow", "stone_depth", "flow", "lift", "pipe_diameter", "pipe_length",
              "elbows", "pump_head")


def _of_the_demo(*keys: str) -> dict[str, Any]:
    """What the demo's plan of North raft says of these."""
    text = resources.files("pailbook.demo").joinpath("stocking-plan.csv").read_text(encoding="utf-8")
    found = {row["what"]: typed_value(row["value"]) for row in csv.DictReader(text.splitlines())}
    return {key: found[key] for key in keys}


SETUP: dict[str, Any] = {
    "system": NORTH_RAFT.name, "volume": NORTH_RAFT.volume, "plan_start": FIRST_DAY,
    **_of_the_demo("temperature", "alkalinity", *_EQUIPMENT),
}
COHORTS: list[dict[str, Any]] = [
    {"name": "own hatch 2026", "species": NORTH_RAFT.species, "count": 115.0, "mass": 118.0, "coefficient": 0.6,
     "target": 150.0, "per_week": 12.0},
    {"name": "July fingerlings", "species": NORTH_RAFT.species, "stocked": FIRST_DAY + timedelta(days=30),
     "count": 260.0, "mass": 14.0, "earlier_mass": 6.5, "earlier_days": 40.0, "earlier_temperature": 22.0,
     "own_conversion": 1.3, "own_deaths": 0.4, "target": 150.0, "per_week": 14.0},
]
AREAS: list[dict[str, Any]] = [
    {"area_name": "raft bed A", "crop": "leafy", "area": 6.0},
    {"area_name": "raft bed B", "crop": "leafy", "area": 4.5},
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
    """What the headless engine makes of the plan with these inputs; the same inputs are calculated once."""
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
