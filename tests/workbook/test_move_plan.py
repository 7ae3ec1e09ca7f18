"""The move plan as a file: its inputs and their rules, protection, names, formulas that every engine knows, bytes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import moves
from formula_rules import ALLOWED, check_formula
from locks import check_protection, rules_of
from pailbook.function import CATALOGUE
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook import workings
from pailbook.workbook.form import Field
from pailbook.workbook.move_plan import answers, build, ph_days, start
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.templates import WORKBOOKS, template_files
from thorough import first, part

KINDS = [(units, plain) for units in UNIT_SYSTEMS for plain in (False, True)]
SHEETS = ["Start", "Road card", "Trip", "Water match", "pH calendar", "pH day by day", "Vessels", "On the road",
          "Road table", "Change one thing", "Destination", "Arrival", "Checklist", "After the move", "Go or no-go",
          "Limits", "Entries"]


def _inputs(units: str) -> list[tuple[str, str, Field]]:
    """Sheet, address and field of every input of a form."""
    made = moves.plan(units)
    return [
        (*moves.place(made.given(item.key)), item) for form in made.forms.values() for _, item in form.fields()
        if item.result is None
    ]


def test_it_is_among_the_workbooks() -> None:
    assert WORKBOOKS["move-plan"] is move_plan
    assert {("move-plan-metric.xlsx", "move-plan", "metric"), ("move-plan-us.xlsx", "move-plan", "us")} <= set(
        template_files())
    assert [sheet.title for sheet in moves.plan("metric").book.workbook.worksheets] == SHEETS


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_sheets_are_protected_and_exactly_the_cells_with_a_rule_are_free(units: str) -> None:
    free_cells = 0
    for sheet in moves.plan(units).book.workbook.worksheets:
        free_cells += len(check_protection(sheet))
    assert free_cells > 150


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_numbers_are_held_to_the_limits_of_their_quantity_and_tell_their_unit(units: str) -> None:
    checked = 0
    for title, address, item in _inputs(units):
        sheet = moves.plan(units).book.workbook[title]
        rule = rules_of(sheet)[address]
        assert rule.showErrorMessage
        assert rule.errorStyle == "stop"
        assert rule.prompt
        assert len(rule.prompt) <= 255
        assert len(rule.promptTitle or "") <= 32
        if rule.type == "list":
            assert len(rule.formula1 or "") <= 255, item.key
        if item.quantity is None or item.kind != "number":
            continue
        low, high = item.quantity.limits(units)
        assert float(rule.formula1 or "nan") == pytest.approx(low, abs=2e-6), item.key
        assert float(rule.formula2 or "nan") == pytest.approx(high, abs=2e-6), item.key
        unit = item.unit_text(units)
        shown = sheet[f"D{address[1:]}"].value
        assert (shown or "") == unit, item.key
        assert "gal" not in unit or unit in ("lb/US gal", "US gal (3.785 L)")
        checked += 1
    assert checked >= 80


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_there_are_eight_questions_and_all_else_has_an_assumption_or_may_stay_blank(units: str) -> None:
    numbers = {item.label.split()[0].rstrip("ab") for _, item in start.FORM.fields() if item.result is None}
    assert numbers == set("12345678")
    assert set(answers.REQUIRED) | {"as_of"} == {item.key for _, item in start.FORM.fields() if item.result is None}
    made = moves.plan(units)
    for key in start.ASSUMED:  # listed on Start, with the cell on Trip that says whether it is assumed
        sheet, address = moves.place(made[key])
        notes = {str(cell.value) for cell in made.book.workbook["Start"]["E"]}
        assert f"={sheet}!$E${address[1:]}" in notes, key


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 1))
def test_names_stand_for_single_cells(units: str, plain: bool) -> None:
    made = moves.plan(units, plain)
    names = made.book.names
    keys = {item.key for module in build.FORMS for _, item in module.FORM.fields()}
    assert keys <= set(names)
    assert {"answer", "reason", "change_first", "functions_answer", "ph_match", "survival",
            "after_verdict"} <= set(names)
    for name in names:
        assert not re.fullmatch(r"[A-Za-z]{1,3}\d+", name), name  # no cell address
        sheet, cell = moves.place(names[name])
        assert re.fullmatch(r"[A-Z]+\d+", cell)
        assert sheet in SHEETS


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 1))
def test_formulas_keep_to_what_every_engine_knows(units: str, plain: bool) -> None:
    made = moves.plan(units, plain)
    allowed = ALLOWED | {"TEXT"} | (set() if plain else set(CATALOGUE))
    found = 0
    for sheet in made.book.workbook.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                text = cell.value
                if not (isinstance(text, str) and text.startswith("=")):
                    continue
                found += 1
                check_formula((sheet.title, cell.coordinate), text, allowed)
    assert found > 900


def test_the_same_plan_is_the_same_file_each_time(tmp_path: Path) -> None:
    for plain in part((False, True), 1):
        one, other = (move_plan(plain=plain).book.save(tmp_path / f"{n}.xlsx", True).read_bytes()
                         for n in (1, 2))
        assert one == other


def test_a_plain_plan_calls_none_of_our_functions(tmp_path: Path) -> None:
    made = move_plan(plain=True)
    made.book.save(tmp_path / "plan.xlsx")
    ours = re.compile(r"\b(" + "|".join(CATALOGUE) + r")\(")
    for sheet in made.book.workbook.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    assert not ours.search(cell.value), (sheet.title, cell.coordinate)
    assert workings.SHEET in made.book.workbook.sheetnames
    assert made.tables[ph_days.SHEET].rows == ph_days.ROWS


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_blank_road_card_has_no_words_around_gaps(units: str) -> None:
    values = moves.computed({}, units).items()
    shown = {text for (sheet, _), text in values if sheet == "Road card" and isinstance(text, str)}
    assert not {text for text in shown if text.strip() in ("to", "and", ",", "fish,", "vessels, no more than")}
    assert "not yet; see the reason on Start" in shown


def test_the_number_to_call_stands_first_on_the_road_card() -> None:
    sheet = moves.plan("metric").book.workbook["Road card"]
    assert sheet["A5"].value == "Number to call"
    values = moves.computed(moves.BASE | {"phone": "0100 555"})
    assert values["Road card", "B5"] == "0100 555"
