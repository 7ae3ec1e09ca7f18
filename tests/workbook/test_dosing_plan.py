"""The dosing plan as a file: its inputs and their rules, protection, names, formulas that every engine knows, bytes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import plans
from formula_rules import ALLOWED, check_formula, check_us_units
from locks import check_protection, rules_of
from pailbook.function import CATALOGUE
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook import workings
from pailbook.workbook.dosing_plan import start, targets
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, PHOSPHATE
from pailbook.workbook.dosing_plan.places import cell
from pailbook.workbook.templates import WORKBOOKS, template_files
from thorough import first, thorough

KINDS = [(units, plain) for units in UNIT_SYSTEMS for plain in (False, True)]
SHEETS = ["Start", "Setup", "Nutrients", "Phosphate", "Readings", "Calendar", "Chart", "Other nutrients", "pH dose",
          "Uptake data", "Chart data"]


def test_it_is_among_the_workbooks() -> None:
    assert WORKBOOKS["dosing-plan"] is dosing_plan
    assert {("dosing-plan-metric.xlsx", "dosing-plan", "metric"), ("dosing-plan-us.xlsx", "dosing-plan", "us")} <= set(
        template_files())
    assert [sheet.title for sheet in plans.plan("metric").book.workbook.worksheets] == SHEETS


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_sheets_are_protected_and_exactly_the_cells_with_a_rule_are_free(units: str) -> None:
    for sheet in plans.plan(units).book.workbook.worksheets:
        check_protection(sheet)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_numbers_are_held_to_the_limits_of_their_quantity(units: str) -> None:
    made = plans.plan(units)
    inputs = [
        (made.given(field.key), field.quantity) for form in made.forms.values() for _, field in form.fields()
        if field.result is None and field.kind == "number"
    ] + [
        (cell(nutrient, line.key), line.quantity) for nutrient in NUTRIENTS for line in targets.INPUTS
        if line.quantity is not None and (nutrient is not PHOSPHATE or line.key not in ("strength", "density"))
    ]
    assert len(inputs) > 40
    for address, quantity in inputs:
        sheet, where = plans.place(address)
        rule = rules_of(made.book.workbook[sheet])[where]
        assert quantity is not None
        low, high = quantity.limits(units)
        assert float(rule.formula1 or "nan") == pytest.approx(low, abs=2e-6), address
        assert float(rule.formula2 or "nan") == pytest.approx(high, rel=1e-6), address
        assert rule.errorStyle == "stop"
        assert rule.prompt


def test_input_messages_are_whole() -> None:
    for sheet in plans.plan("us").book.workbook.worksheets:
        for where, rule in rules_of(sheet).items():
            assert 0 < len(rule.promptTitle or "") < 32, (sheet.title, where, rule.promptTitle)  # more would be cut off
            assert 0 < len(rule.prompt or "") < 255, (sheet.title, where)


def test_each_nutrient_has_its_own_bases_and_products() -> None:
    made = plans.plan("metric")
    rules = rules_of(made.book.workbook[targets.SHEET])
    for nutrient in NUTRIENTS:
        for key, choices in (("basis", nutrient.bases), ("product", nutrient.products)):
            rule = rules[plans.place(cell(nutrient, key))[1]]
            assert rule.formula1 == '"' + ",".join(choices) + '"'
            assert len(rule.formula1) <= 255, "a drop-down's longest text"
            assert made.book.workbook[targets.SHEET][plans.place(cell(nutrient, key))[1]].value is None, "never guessed"
        assert not [name for name in nutrient.products if "ammonium" in name]
    assert {n.key: len(n.products) >= 2 for n in NUTRIENTS} == dict.fromkeys((n.key for n in NUTRIENTS), True)


@pytest.mark.parametrize(("units", "plain"), first(KINDS))
def test_key_results_have_names_for_single_cells(units: str, plain: bool) -> None:
    made = plans.plan(units, plain)
    names = made.book.names
    results = {result.name for result in start.key_results(made)}
    assert {"next_step", "next_dose_date", "next_dose", "doses_needed", "uptake", "uptake_error", "days_to_low",
            "ph_after_at_once", "ph_after_settled", "scale_index"} <= results
    assert len(results) == len(start.key_results(made))
    for name in results:
        sheet, where = plans.place(names[name])
        assert sheet == "Start"
        assert str(made.book.workbook[sheet][where].value).startswith("="), name
    assert set(names) >= results | {"as_of", "functions_answer", "volume", "ph_target"}
    assert not [name for name in names if re.fullmatch(r"[A-Za-z]{1,3}\d+", name)], "a name that is an address"


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 1))
def test_formulas_keep_to_what_every_engine_knows(units: str, plain: bool, tmp_path: Path) -> None:
    made = plans.plan(units, plain, 28 if thorough() else 5)
    made.book.save(tmp_path / "plan.xlsx")  # which writes the workings
    assert (workings.SHEET in made.book.workbook.sheetnames) is plain
    # Of ranges the workings count blanks; the rest reads label grades, which a product might be.
    allowed = ALLOWED | {"COUNTBLANK", "TINV", "VALUE", "SUBSTITUTE", "LEN", "TRIM", "REPT"}
    allowed |= frozenset() if plain else frozenset(CATALOGUE)
    for place, text in plans.formulas(made).items():
        check_formula(place, text, allowed)


def test_calls_carry_the_unit_system_in_a_us_plan() -> None:
    check_us_units(plans.formulas(plans.plan("us")))


@pytest.mark.parametrize("plain", first([False, True]))
def test_the_same_plan_is_the_same_file_each_time(tmp_path: Path, plain: bool) -> None:
    one, other = (
        dosing_plan(plain=plain, rows=4, days=5).book.save(tmp_path / f"{n}.xlsx").read_bytes() for n in (1, 2))
    assert one == other
