"""A go is earned: a blank, a text, an error or a number outside its limits in one box never becomes a go, or a no-go.

Each box in turn of a plan that would be a go with care is made faulty, as pasting and formulas from elsewhere can do.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

import calc
import moves
from pailbook.hosts.cells import ErrorValue
from pailbook.workbook.move_plan import answers, checks, entries, start
from pailbook.workbook.recalc import load_model
from thorough import first, thorough

ERROR = ErrorValue("#N/A")
FAULTS: tuple[Any, ...] = ("abc", ERROR, -1e9)  # beneath the limits of every quantity
# Boxes with words for people, and a test beside the plan: no check rests on them.
FREE = ("client", "from_system", "to_system", "phone", "test_volume", "test_oxygen_1")


def _boxes() -> list[tuple[str, tuple[str, str]]]:
    """What each box that decides is called, and its cell; the first cell of a column."""
    return [(entry.name, moves.place(entry.cell.split(":")[0])) for entry in entries.entries(moves.plan("metric"))]


def _with(cell: tuple[str, str], fault: Any) -> moves.Values:
    return moves.computed(moves.DEMO, readings=moves.DEMO_READINGS, more={cell: fault})


def test_the_plan_without_faults_may_go() -> None:
    values = moves.computed(moves.DEMO, readings=moves.DEMO_READINGS)
    assert moves.named(values, "answer") == "go with care"
    assert "not known" not in moves.words(values)
    assert moves.verdict(values, checks.ENTRIES) == "fine"


def test_one_faulty_box_makes_it_a_not_yet_that_names_the_box() -> None:
    faulty = [(name, cell, fault) for name, cell in _boxes() for fault in FAULTS]
    assert len(faulty) > 330
    chosen = faulty if thorough() else random.Random(20260606).sample(faulty, 60)
    for name, cell, fault in chosen:
        values = _with(cell, fault)
        case = (name, fault, moves.named(values, "reason"))
        assert moves.named(values, "answer") == "not yet", case
        assert name in moves.named(values, "reason"), case
        assert "act" not in moves.words(values), case  # what a fault makes of a check is not known to be harm


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_reason_says_where_the_entry_stands_and_what_is_expected(units: str) -> None:
    values = moves.computed(moves.BASE | {"air_flow": "much"}, units)
    cell = moves.place(moves.plan(units).given("air_flow"))[1]
    assert moves.named(values, "reason", units) == (
        f"What you entered: Air flow into each vessel (Trip, cell {cell}): the entry is much; expected: a number "
        f"above 0 "
        "and up to 100,000 L/min")
    assert moves.named(values, "change_first", units) == "Correct the entry; see the sheet Entries"


@pytest.mark.parametrize("key", FREE)
@pytest.mark.parametrize("fault", ["abc", ERROR])
def test_a_box_on_which_no_check_rests_does_not_matter(key: str, fault: Any) -> None:
    values = _with(moves.place(moves.plan("metric").given(key)), fault)
    assert moves.named(values, "answer") == "go with care"


def test_a_known_act_decides_although_something_is_not_known() -> None:
    far = {key: value for key, value in moves.DEMO.items() if key != "to_nitrite"} | {"from_ph": 7.9, "to_ph": 7.1}
    values = moves.computed(far)
    assert moves.named(values, "answer") == "no-go"
    assert moves.named(values, "reason").endswith("; and not yet known: Filter at the destination")


# Each with what the destination needs before a go (the sheet Destination).
@pytest.mark.parametrize(("missing", "check"), [
    ("to_volume", "Room at the destination"), ("resident_weight", "Room at the destination"),
    ("to_tan", "Filter at the destination"), ("to_nitrite", "Filter at the destination"),
    ("feed_now", "Feed and filter"),
])
def test_no_go_without_knowing_the_destination(missing: str, check: str) -> None:
    values = moves.computed({key: value for key, value in moves.DEMO.items() if key != missing},
                            readings=moves.DEMO_READINGS)
    assert moves.named(values, "answer") == "not yet"
    assert moves.verdict(values, check).startswith("not known: ")
    assert "is missing" in moves.named(values, "reason")


def test_one_reading_beyond_its_limit_is_enough_for_an_act() -> None:
    values = moves.computed({key: value for key, value in moves.DEMO.items() if key != "to_nitrite"} | {"to_tan": 2.0})
    assert moves.verdict(values, "Filter at the destination").startswith("act")


@pytest.mark.parametrize(("label", "word"), [
    ("Oxygen on the road", "okay"), ("pH of both waters", None), ("Light", "#N/A"), ("Vessels", "fine!")])
def test_a_check_whose_word_was_overwritten_is_not_known(label: str, word: str | None, tmp_path: Path) -> None:
    plan = moves.filled(moves.DEMO, readings=moves.DEMO_READINGS)
    sheet, address = moves.place(checks.cell_of(label))
    plan.book.workbook[sheet][address.replace("B", "D")].value = word
    values = load_model(plan.book.save(tmp_path / "plan.xlsx")).calculate({}).values
    assert moves.named(values, "answer") == "not yet"
    assert moves.named(values, "reason") == "a check shows no verdict; see the sheet Go or no-go"


def test_what_does_not_apply_does_not_block() -> None:
    values = moves.computed(moves.DEMO | {"carried": "sealed bag with oxygen", "refill_source": "no refill"},
                            readings=moves.DEMO_READINGS)
    for label in ("Oxygen on the road", "Battery", "If the pump stops", "Refill water"):
        assert moves.verdict(values, label).startswith("not asked: "), label
    assert moves.named(values, "answer") == "go with care"


def test_a_species_that_is_not_chosen_is_never_simply_fine() -> None:
    values = moves.computed({key: value for key, value in moves.BASE.items() if key != "species"})
    assert moves.verdict(values, "Species and temperature").startswith("watch: no species is chosen")


def test_a_reading_of_a_morning_that_is_no_number_is_not_replaced_by_the_plan() -> None:
    readings = moves.computed(moves.DEMO, readings=moves.DEMO_READINGS[:1], more={("pH day by day", "J6"): "7,6"})
    assert readings["pH day by day", "I7"] == "not known: the pH of this morning is not a number"
    assert moves.named(readings, "answer") == "not yet"


def test_every_box_of_the_start_sheet_is_among_the_entries() -> None:
    names = {name for name, _ in _boxes()}
    plan = moves.plan("metric")
    for key in (*answers.REQUIRED, *start.ASSUMED, "as_of"):
        assert any(moves.place(plan.given(key)) == cell for _, cell in _boxes()), key
    assert len(names) == len(_boxes()), "no two boxes have one name"


@pytest.mark.libreoffice
@pytest.mark.parametrize(("key", "fault"), first([
    ("to_temperature", "#N/A"), ("limit_oxygen_act", "abc"), ("refill_source", "sea"), ("fish_count", -3.0)], 1))
def test_another_program_does_not_let_it_go_either(key: str, fault: Any, tmp_path: Path) -> None:
    calc.needed()
    plan = moves.filled(moves.DEMO, readings=moves.DEMO_READINGS, plain=True)
    sheet, address = moves.place(plan.given(key))
    plan.book.workbook[sheet][address].value = fault
    theirs = calc.recalculated(plan.book.save(tmp_path / "plan.xlsx"))
    ours = _with((sheet, address), ERROR if fault == "#N/A" else fault)
    assert moves.named(theirs, "answer") == moves.named(ours, "answer") == "not yet"
    assert moves.named(theirs, "reason") == moves.named(ours, "reason")
    assert moves.words(theirs) == moves.words(ours)
