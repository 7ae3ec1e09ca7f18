"""The stocking plan as a file: inputs and their rules, protection, names, formulas that every engine knows, bytes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import stocks
from formula_rules import ALLOWED, check_formula, check_us_units
from locks import check_protection, rules_of
from pailbook.function import CATALOGUE
from pailbook.quantities import SPECIES, UNIT_SYSTEMS
from pailbook.workbook.stocking_plan import areas, cohorts, start, weeks
from pailbook.workbook.stocking_plan.all_rules import LINES
from pailbook.workbook.stocking_plan.build import stocking_plan
from pailbook.workbook.templates import WORKBOOKS, template_files
from thorough import first

KINDS = [(units, plain) for units in UNIT_SYSTEMS for plain in (False, True)]
SHEETS = ["Start", "Setup", "Cohorts", "Areas", "Balance", "Weeks", "Harvest", "Chart", "By cohort", "Chart data"]


def test_it_is_among_the_workbooks() -> None:
    assert WORKBOOKS["stocking-plan"] is stocking_plan
    assert {("stocking-plan-metric.xlsx", "stocking-plan", "metric"),
            ("stocking-plan-us.xlsx", "stocking-plan", "us")} <= set(template_files())
    assert [sheet.title for sheet in stocks.plan("metric").book.workbook.worksheets] == SHEETS


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_sheets_are_protected_and_exactly_the_cells_with_a_rule_are_free(units: str) -> None:
    free = {sheet.title: check_protection(sheet) for sheet in stocks.plan(units).book.workbook.worksheets}
    assert [name for name, cells in free.items() if cells] == ["Start", "Setup", "Cohorts", "Areas", "Weeks"]


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_numbers_are_held_to_the_limits_of_their_quantity(units: str) -> None:
    made = stocks.plan(units)
    (form,) = made.forms.values()
    inputs = [(made.given(field.key), field.quantity) for _, field in form.fields()
              if field.result is None and field.kind == "number"]
    for sheet in (cohorts.SHEET, areas.SHEET, weeks.SHEET):
        table = made.tables[sheet]
        inputs += [(f"{sheet}!{table.cell(column.key, row)}", column.quantity)
                   for column in table.inputs if column.kind == "number" for row in (table.first_row, table.last_row)]
    assert len(inputs) > 50
    for address, quantity in inputs:
        sheet, where = stocks.place(address)
        rule = rules_of(made.book.workbook[sheet])[where]
        assert quantity is not None, address
        low, high = quantity.limits(units)
        assert float(rule.formula1 or "nan") == pytest.approx(low, abs=2e-6), address
        assert float(rule.formula2 or "nan") == pytest.approx(high, rel=1e-6), address
        assert rule.errorStyle == "stop"
        assert rule.prompt


def test_species_are_picked_from_the_list() -> None:
    made = stocks.plan("metric")
    rules, table = rules_of(made.book.workbook[cohorts.SHEET]), made.tables[cohorts.SHEET]
    rule = rules[table.cell("species", table.first_row).replace("$", "")]
    assert rule.formula1 == '"' + ",".join(SPECIES) + '"'
    assert len(rule.formula1) <= 255, "a drop-down's longest text"


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 3))
def test_key_results_have_names_for_single_cells(units: str, plain: bool) -> None:
    made = stocks.plan(units, plain)
    names = made.book.names
    results = {result.name for result in start.key_results(made)}
    assert {"answer", "change_first", "feed_now", "feed_most", "biomass_most", "next_harvest", "weight_harvested",
            "small_system_warning"} <= results
    assert len(results) == len(start.key_results(made))
    for name in results:
        sheet, where = stocks.place(names[name])
        assert sheet == "Start"
        assert str(made.book.workbook[sheet][where].value).startswith("="), name
    verdicts = {f"{key}_verdict" for key in LINES}
    assert set(names) >= results | verdicts | {"as_of", "functions_answer", "volume", "plan_start", "filter_needed"}
    assert not [name for name in names if re.fullmatch(r"[A-Za-z]{1,3}\d+", name)], "a name that is an address"


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 3))
def test_formulas_keep_to_what_every_engine_knows(units: str, plain: bool) -> None:
    made = stocks.plan(units, plain)
    allowed = ALLOWED | (frozenset() if plain else frozenset(CATALOGUE))
    for place, text in stocks.formulas(made).items():
        check_formula(place, text, allowed)


def test_calls_carry_the_unit_system_in_a_us_plan() -> None:
    check_us_units(stocks.formulas(stocks.plan("us")))


@pytest.mark.parametrize("plain", [False, True])
def test_the_same_plan_is_the_same_file_each_time(tmp_path: Path, plain: bool) -> None:
    first, second = (
        stocking_plan(plain=plain, weeks=3).book.save(tmp_path / f"{n}.xlsx").read_bytes() for n in (1, 2))
    assert first == second
