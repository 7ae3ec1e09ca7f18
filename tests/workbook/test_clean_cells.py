"""The hidden clean cells of a form: one for each field that a rule asks, locked, never an error."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated, Any

import pytest

from locks import check_protection
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS, Alkalinity, Volume
from pailbook.rules import Rungs, act, fine, rule, say, shown, skips, unit_of
from pailbook.workbook.builder import Book
from pailbook.workbook.form import Field, Form, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.recalc import load_model

SHEET = "Water"


@rule("Alkalinity of the water")
def alkalinity_of_the_water(
    alkalinity: Annotated[Alkalinity, "Alkalinity"],
    least: Annotated[Alkalinity, "Lowest alkalinity"],
    volume: Annotated[Volume, "Water volume", skips],
    day: Annotated[float, quantity(Volume), "Water of a day"],
) -> Rungs:
    """Asks an input, an assumed value, a result, and a cell that is in no form."""
    return (
        act(alkalinity < least, say("there are ", shown(volume, 0), " ", unit_of(volume)), "Raise it"),
        act(day > volume, "a day brings more than there is", "Change less"),
        fine(),
    )


FORM = Form(SHEET, (
    Field("system", "System", kind="text"),
    Field("alkalinity", "Alkalinity", quantity(Alkalinity)),
    Field("least", "Lowest alkalinity", quantity(Alkalinity), assumed=lambda _: "55", why="assumed"),
    Field("tanks", "Water in each tank", quantity(Volume)),
    Field("volume", "Water volume", quantity(Volume), "result", result=lambda plan: f"3*{plan['tanks']}"),
    Field("verdict", "Verdict", kind="result",
          result=lambda plan: plan.asking(alkalinity_of_the_water, day="Water!$F$11").text(alkalinity_of_the_water)),
), rules=(alkalinity_of_the_water,))


def made(units: str) -> Plan:
    """A plan of that one form; the water of a day stands below it."""
    def write(plan: Plan) -> None:
        sheet = plan.book.sheet(SHEET)
        write_form(plan, sheet, FORM)
        sheet["F11"].value = 300

    return Plan.written(Book("Dosing plan", units), (FORM,), (), (write,))


def calculated(inputs: dict[str, Any], units: str = "metric") -> dict[str, Any]:
    """The values of the sheet's cells with what is typed into column B."""
    with tempfile.TemporaryDirectory() as folder:
        model = load_model(made(units).book.save(Path(folder) / "plan.xlsx"))
    values = model.calculate({(SHEET, address): value for address, value in inputs.items()}).values
    return {address: value for (_, address), value in values.items()}


def test_only_fields_that_a_rule_asks_have_a_clean_cell_and_it_is_hidden_and_locked() -> None:
    sheet = made("metric").book.workbook[SHEET]
    assert [row for row in range(5, 11) if sheet[f"F{row}"].value] == [6, 7, 9]
    assert sheet.column_dimensions["F"].hidden
    assert check_protection(sheet) == {"B5", "B6", "B7", "B8"}
    assert made("metric").clean("volume") == "Water!$F$9"
    with pytest.raises(AssertionError, match="no rule asks for tanks"):
        made("metric").clean("tanks")


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_clean_cells_hold_the_value_in_use_or_what_is_wrong_with_it(units: str) -> None:
    unit = {"metric": "L", "us": "US gal"}[units]
    full = calculated({"B6": 50.0, "B8": 400.0}, units)
    assert (full["F6"], full["F7"], full["F9"]) == (50, 55, 1200)
    assert full["C10"] == f"act: there are 1200 {unit}"
    wrong = calculated({"B6": "fifty", "B7": ErrorValue("#N/A"), "B8": 400.0}, units)
    assert (wrong["F6"], wrong["F7"]) == ("? Alkalinity is no number", "? Lowest alkalinity is an error")
    assert wrong["C10"] == "not known: Alkalinity is no number"
    assert calculated({"B6": 60.0, "B8": "many"}, units)["C10"] == "not known: Water volume is an error"
    assert calculated({"B8": 400.0}, units)["C10"] == "not known: Alkalinity is missing"
