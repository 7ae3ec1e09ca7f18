"""Formulas that somebody typed over, changed or cleared, rows that were added, and calls that were left."""

from __future__ import annotations

import re
from datetime import time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.formula.translate import Translator
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook.check import known, run
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.check.ours import FARM_LOG, blank_like
from pailbook.workbook.check.places import Places
from pailbook.workbook.check.run import check
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.farm_log import water_tests
from pailbook.workbook.templates import WORKBOOKS, build
from small_log import LAST, TESTS, address, blank, edited, found_in, place, serious, small_log
from thorough import examples, first

W = "Water tests"
DEMO, TEMPLATES = (Path(__file__).parents[2] / folder for folder in ("demo_workbooks", "workbook_templates"))


def with_rows_added(path: Path, sheet: str, at: int, count: int) -> Path:
    """The file as a program leaves it when rows are added to a sheet: what is below moves, references follow."""
    book = openpyxl.load_workbook(path)
    own: Worksheet = book[sheet]
    last = own.max_row
    own.move_range(f"A{at}:{openpyxl.utils.get_column_letter(own.max_column)}{last}", rows=count, translate=True)
    name = sheet if sheet.isalnum() else f"'{sheet}'"
    fixed = re.compile(r"(\$[A-Z]{1,3}\$)(\d+)")

    def moved(match: re.Match[str]) -> str:
        return match[1] + str(int(match[2]) + count * (int(match[2]) >= at))

    for one in book.worksheets:
        for row in one.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    mark = r"\$" if one.title == sheet else re.escape(name) + r"!\$"
                    cell.value = re.sub(rf"(?<![!A-Z$]){mark}[A-Z]{{1,3}}\$\d+(?::\$[A-Z]{{1,3}}\$\d+)?",
                                        lambda found: fixed.sub(moved, found[0]), cell.value)
    book.save(path)
    return path


BLANK = [*((name, "us", False) for name in WORKBOOKS), ("move-plan", "us", True),
         *((name, "metric", False) for name in WORKBOOKS if name != "farm-log")]


@pytest.mark.parametrize(("workbook", "units", "plain"), first(BLANK, *range(len(WORKBOOKS))))
def test_a_blank_workbook_has_no_findings(tmp_path: Path, workbook: str, units: str, plain: bool) -> None:
    path = build(workbook, tmp_path / "blank.xlsx", units, plain) if plain else TEMPLATES / f"{workbook}-{units}.xlsx"
    found = check(path)
    assert [finding for finding in found if finding.kind != run.OTHER_WORKBOOK] == []
    assert bool(found) == (workbook == "function-guide")  # which holds no data, and is looked at as any other


@pytest.mark.parametrize("name", [
    pytest.param(path.name, marks=pytest.mark.long if path.stem.endswith("-plain") else ())
    for path in sorted(DEMO.glob("*-plan*.xlsx"))])
def test_the_demos_plans_are_in_order(name: str) -> None:
    assert serious(check(DEMO / name)) == []


@pytest.mark.parametrize("name", first(["farm-log.xlsx", "farm-log-plain.xlsx"]))
def test_the_demos_log_has_those_that_its_story_tells(name: str) -> None:
    """Oxygen fell in South beds, backup air was not tried in time, fish died, the phosphate sachets expired in May."""
    found = serious(check(DEMO / name))
    assert [(finding.kind, finding.place) for finding in found if finding.verdict == "act"] == [
        ("outside the limits", f"{W}!F45"), ("upkeep overdue", "Upkeep!H9")]
    assert {finding.kind for finding in found if finding.verdict == "watch"} == {
        "outside the limits", "too many fish or deaths", "kit expired"}
    assert "phosphate powder sachets expired on 2026-05-31" in "\n".join(finding.what for finding in found)


@pytest.mark.parametrize("plain", first([False, True]))
def test_a_number_typed_over_a_formula(tmp_path: Path, plain: bool) -> None:
    path = edited(small_log(tmp_path, plain=plain), {W: {address(W, "nh3", 4): 0.01}})
    assert found_in(path) == {("act", "formula typed over", place(W, "nh3", 4))}
    (only,) = check(path)
    assert water_tests.table().column("nh3").heading.split("\n")[0] in only.what
    assert re.fullmatch(r"Copy the formula back from R\d+\.", only.remedy)


def test_a_text_typed_over_a_verdict(tmp_path: Path) -> None:
    path = edited(small_log(tmp_path), {W: {address(W, "verdict", LAST): "fine"}})
    assert found_in(path) == {("act", "formula typed over", place(W, "verdict", LAST))}


def test_a_column_pasted_as_values_is_one_finding_with_the_formula_to_put_back(tmp_path: Path) -> None:
    letter = address(W, "nh3", 0).rstrip("0123456789")
    path = edited(small_log(tmp_path), {W: {f"{letter}{row}": 0.003 for row in range(5, 17)}})
    (only,) = [finding for finding in check(path) if finding.kind == "formula typed over"]
    assert only.place == f"{W}!{letter}5:{letter}16"
    formula = blank()[0].book.workbook[W][f"{letter}5"].value
    assert only.remedy == f"Take the formula from a blank farm log: {formula}."


def test_a_formula_typed_over_outside_a_table(tmp_path: Path) -> None:
    path = edited(small_log(tmp_path), {"Settings": {"D15": 3.066}})
    assert ("act", "formula typed over", "Settings!D15") in found_in(path)


def test_formulas_cleared_and_changed(tmp_path: Path) -> None:
    path = small_log(tmp_path)
    old = openpyxl.load_workbook(path)[W][address(W, "no3", 3)].value
    edited(path, {W: {address(W, "tan_n", 2): None, address(W, "no3", 3): f"{old}+0"}})
    assert found_in(path) == {("watch", "formula missing", place(W, "tan_n", 2)),
                              ("watch", "formula changed", place(W, "no3", 3))}


def test_rows_added_in_the_middle_of_a_table(tmp_path: Path) -> None:
    """One added row has its formulas filled down, the other none; below them one was typed over."""
    path = with_rows_added(small_log(tmp_path), W, at=9, count=2)
    book = openpyxl.load_workbook(path)
    sheet = book[W]
    for cell in sheet[8]:
        letter = openpyxl.utils.get_column_letter(cell.column or 1)
        if isinstance(cell.value, str) and cell.value.startswith("="):
            sheet[f"{letter}9"].value = Translator(cell.value, cell.coordinate).translate_formula(f"{letter}9")
        else:
            sheet[f"{letter}9"].value = sheet[f"{letter}10"].value = cell.value
    for row, hour in ((9, 9), (10, 15)):  # else it would be one test thrice
        sheet[address(W, "time", 0).rstrip("0123456789") + str(row)].value = time(hour)
    book.save(path)
    whole = {finding for finding in found_in(path) if finding[1] != "formula missing"}
    assert whole == set()
    missing = {finding[2] for finding in found_in(path)}
    assert place(W, "nh3", 5) in missing
    assert all(cell.endswith("10") for cell in missing)
    edited(path, {W: {address(W, "nh3", 7): 0.002}})
    assert {finding for finding in found_in(path) if finding[1] != "formula missing"} == {
        ("act", "formula typed over", place(W, "nh3", 7))}


def test_rows_added_above_cells_that_stand_below_a_table(tmp_path: Path) -> None:
    path = with_rows_added(small_log(tmp_path), "Kits", at=12, count=3)
    assert {finding for finding in found_in(path) if finding[0] != "fine"} == set()
    book = openpyxl.load_workbook(path)["Kits"]
    label = blank()[0]["Kits"].column("high").heading
    row = next(row for row in range(30, 60) if book[f"A{row}"].value == label)
    edited(path, {"Kits": {f"G{row}": 99.0}})
    assert ("act", "formula typed over", f"Kits!G{row}") in found_in(path)


def test_rows_that_are_in_order_need_not_be_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With rows left out, with their values known, and with all computed by the engine, the same is found."""
    slips = {W: {("oxygen", 2): 2.0, ("ph", 5): 8.7, ("tan", LAST): "trace", ("alkalinity", 7): 10.0,
                 ("phosphate", 7): 80.0}}
    path = small_log(tmp_path, slips)
    found = check(path)
    monkeypatch.setattr(known, "FEW", 2)
    assert check(path) == found
    monkeypatch.setattr(run, "known_values", lambda log: ({}, None))
    assert check(path) == found
    assert len(found) >= 4


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_known_values_are_what_the_engine_gives(tmp_path: Path, units: str) -> None:
    subject = Subject(small_log(tmp_path, units=units))
    values, _ = known.known_values(FarmLog(Places(subject, blank_like(subject, FARM_LOG))))
    subject.compute({})
    shown = ("verdict", "why", "nh3", "saturation", "co2", "tan_n", "no2", "no3", "po4", "when")
    assert {(W, address(W, key, row)) for key in shown for row in range(TESTS)} <= values.keys()
    for (sheet, cell), value in values.items():
        assert subject.calculation.values[sheet, cell] == (
            value if isinstance(value, str) else pytest.approx(value, rel=1e-12)), cell


def test_a_call_left_in_a_plain_copy(tmp_path: Path) -> None:
    path = edited(small_log(tmp_path, plain=True), {W: {address(W, "nh3", LAST): "=AMMONIA_UNIONIZED(0.3,7.4,22)"}})
    found = found_in(path)
    assert ("act", "call left in a plain copy", place(W, "nh3", LAST)) in found
    assert {kind for _, kind, _ in found} == {"call left in a plain copy", "formula changed"}


NONSENSE = (float("1e300"), -1e300, 0.0, -5.0, 1e-300, "", " ", "inf", "#", "=1", True, 45000.5, "12:30")


@settings(max_examples=examples(8), deadline=None, derandomize=True,
          suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_nonsense_stops_the_check(tmp_path: Path, data: st.DataObject) -> None:
    """Anything typed or pasted anywhere gives findings, never an exception."""
    changes: dict[str, dict[tuple[str, int], Any]] = {}
    for sheet, table in blank()[0].tables.items():
        for column in table.inputs:
            for row in range(min(6, table.rows)):
                if data.draw(st.booleans()):
                    changes.setdefault(sheet, {})[column.key, row] = data.draw(st.sampled_from(NONSENSE))
    for units in UNIT_SYSTEMS:
        assert all(finding.what and finding.remedy for finding in check(small_log(tmp_path, changes, units=units)))
