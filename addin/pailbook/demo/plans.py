"""The demo's plans: dosing and stocking of North raft, and the move of fish from one client to the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pailbook.demo.fill import rows, typed_rows
from pailbook.demo.scenario import typed
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS
from pailbook.workbook.dosing_plan.places import SHEETS
from pailbook.workbook.dosing_plan.places import cell as nutrient_cell
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import ph_days
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.package import set_cells
from pailbook.workbook.stocking_plan.build import stocking_plan
from pailbook.workbook.stocking_plan.places import SHEETS as STOCKING_SHEETS

DOSING, DOSING_READINGS = "dosing-plan.csv", "dosing-readings.csv"
MOVE, MORNINGS = "move-plan.csv", "move-mornings.csv"
STOCKING = "stocking-plan.csv"
STOCKING_TABLES = {f"stocking-{sheet}.csv": STOCKING_SHEETS[sheet] for sheet in ("cohorts", "areas", "weeks")}
INPUTS = (DOSING, DOSING_READINGS, MOVE, MORNINGS, STOCKING, *STOCKING_TABLES)


def filled_dosing(inputs: Path, scratch: Path, plain: bool) -> Path:
    """A dosing plan with the season's readings and doses in it."""
    plan = dosing_plan(plain=plain)
    nutrients = {nutrient.key: nutrient for nutrient in NUTRIENTS}
    cells: dict[str, dict[str, Any]] = {}
    for row in rows(inputs / DOSING):
        nutrient, _, key = row["what"].rpartition(".")
        _put(cells, nutrient_cell(nutrients[nutrient], key) if nutrient else _given(plan, key), typed(row["value"]))
    sheet = SHEETS["readings"]
    cells.setdefault(sheet, {}).update(typed_rows(plan.tables[sheet], rows(inputs / DOSING_READINGS)))
    return _save(plan, cells, scratch / f"dosing-{plain}.xlsx")


def filled_move(inputs: Path, mornings: bool, scratch: Path, plain: bool) -> Path:
    """A move plan with its inputs in it; with the readings of the mornings after the first doses, or before them."""
    plan = move_plan(plain=plain)
    cells: dict[str, dict[str, Any]] = {}
    for row in rows(inputs / MOVE):
        _put(cells, _given(plan, row["what"]), typed(row["value"]))
    if mornings:
        days = ph_days.table()
        cells.setdefault(days.sheet, {}).update(typed_rows(days, rows(inputs / MORNINGS)))
    return _save(plan, cells, scratch / f"move-{plain}-{mornings}.xlsx")


def filled_stocking(inputs: Path, scratch: Path, plain: bool) -> Path:
    """A stocking and feed plan with the farm's fish, plants and equipment in it."""
    plan = stocking_plan(plain=plain)
    cells: dict[str, dict[str, Any]] = {}
    for row in rows(inputs / STOCKING):
        _put(cells, _given(plan, row["what"]), typed(row["value"]))
    for name, sheet in STOCKING_TABLES.items():
        cells.setdefault(sheet, {}).update(typed_rows(plan.tables[sheet], rows(inputs / name)))
    return _save(plan, cells, scratch / f"stocking-{plain}.xlsx")


def _given(plan: Plan, key: str) -> str:
    """The cell into which the user types that value."""
    try:
        return plan.book.named(f"given_{key}")
    except KeyError:
        return plan.book.named(key)


def _put(cells: dict[str, dict[str, Any]], place: str, value: Any) -> None:
    sheet, address = place.rsplit("!", 1)
    cells.setdefault(sheet.strip("'"), {})[address.replace("$", "")] = value


def _save(plan: Plan, cells: dict[str, dict[str, Any]], path: Path) -> Path:
    blank = plan.book.save(path.with_name(f"blank-{path.name}"))
    set_cells(blank, path, cells)
    return path


def dosing_story(results: Mapping[str, Any]) -> Iterator[str]:
    """What the dosing plan says."""
    uptake, error = results["uptake"], results["uptake_error"]
    yield (f"  the plants use up {uptake:.2f} mg/L of phosphate a day (95 % interval {uptake - error:.2f} to "
           f"{uptake + error:.2f} mg/L); the latest reading is {results['phosphate_now']:.1f} mg/L")
    yield f"  {results['next_step']}"


def move_story(results: Mapping[str, Any]) -> Iterator[str]:
    """What the move plan says."""
    yield f"  {results['answer']}: {results['reason']}"
    yield f"  change this first: {results['change_first']}"


def stocking_story(results: Mapping[str, Any]) -> Iterator[str]:
    """What the stocking and feed plan says."""
    yield f"  {results['answer']}"
    yield f"  change this first: {results['change_first']}"
    yield (f"  the daily feed is {results['feed_now']:.0f} g now and {results['feed_most']:.0f} g at most, in week "
           f"{results['feed_most_week']:.0f}; the plan harvests {results['weight_harvested']:.1f} kg of fish")
    yield f"  next harvest: {results['next_harvest']}"
