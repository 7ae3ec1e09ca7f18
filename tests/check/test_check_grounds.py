"""What the findings on a log rest on: a basis or limit that is not known, the trend of a reading."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pailbook.workbook.check.run import check
from pailbook.workbook.farm_log import limits
from pailbook.workbook.log.cells import Cells
from pailbook.workbook.log.season import Season
from pailbook.workbook.log.trend import Trend, Trends
from pailbook.workbook.log.water import water_tests
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import own_cells
from small_log import FIRST_DAY, LAST, LAST_DAY, RAFT, TESTS, Changes, edited, place, small_log

W, K = "Water tests", "Kits"
FALLS = {("alkalinity", i): 86.0 - 6 * i for i in range(TESTS)}  # by 2 mg/L a day


def _dose(day: int, aim: str = "alkalinity") -> dict[tuple[str, int], Any]:
    return {("date", 0): FIRST_DAY + timedelta(days=day), ("system", 0): RAFT, ("aim", 0): aim}


def _trend(folder: Path, changes: Changes) -> Trend | None:
    season = Season(Cells(small_log(folder, {W: FALLS, **changes})))
    return Trends(season, water_tests(season)).of(RAFT.casefold(), "alkalinity")


@pytest.mark.parametrize("basis", ["PO5", None])
def test_a_basis_that_is_not_known_is_not_taken_for_the_first_choice(tmp_path: Path, basis: str | None) -> None:
    """12 mg/L of phosphate is fine as PO4; as P it would be far above its limit."""
    path = small_log(tmp_path)
    sheet, cell = own_cells(Workbook(path))["basis_phosphate"]
    found = check(edited(path, {sheet: {cell: basis}}))
    (known,) = [one for one in found if one.kind == "basis not known"]
    assert (known.verdict, known.place) == ("not known", f"{sheet}!{cell}")
    assert known.what.endswith(f"so {TESTS} readings were not judged")
    assert not [one for one in found if "phosphate" in one.what and one.kind in ("outside the limits", "unit or basis")]


def test_a_limit_that_cannot_be_used_leaves_a_reading_unjudged(tmp_path: Path) -> None:
    path = small_log(tmp_path)
    row = next(cell.row for cell in openpyxl.load_workbook(path)["Limits"]["A"] if cell.value == "pH: act below")
    edited(path, {"Limits": {f"C{row}": "six"}})
    assert [one.place for one in check(path) if one.kind == "no verdict" and "pH: act below" in one.what] == [
        place(W, "ph", LAST)]


def test_a_limit_on_days_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    """Else tests that are overdue would be passed over."""
    path = small_log(tmp_path, as_of=LAST_DAY + timedelta(days=30))
    label = next(limit.label for limit in limits.GENERAL if limit.key == "days_watch")
    row = next(cell.row for cell in openpyxl.load_workbook(path)["Limits"]["A"] if cell.value == label)
    edited(path, {"Limits": {f"C{row}": "a week"}})
    assert [(one.verdict, one.place) for one in check(path) if one.kind == "limit not known" and label in one.what] == [
        ("not known", "Limits")]


def test_a_log_without_its_limits_is_not_found_fine(tmp_path: Path) -> None:
    path = small_log(tmp_path)
    book = openpyxl.load_workbook(path)
    for cell in book["Limits"]["C"]:
        if cell.value == "For all":
            cell.value = "For everything"
    book.save(path)
    assert ("not known", "limits not found") in {(one.verdict, one.kind) for one in check(path)}


@pytest.mark.parametrize(("changes", "readings", "later"), [
    ({}, TESTS, False), ({"Doses": _dose(9)}, 6, False), ({"Doses": _dose(9, "iron")}, TESTS, False),
    ({"Doses": _dose(27)}, 0, False),  # on the day of the latest reading, which may be from before the dose
    ({"Doses": _dose(28)}, TESTS, True),
])
def test_what_a_trend_rests_on(tmp_path: Path, changes: Changes, readings: int, later: bool) -> None:
    trend = _trend(tmp_path, changes)
    assert trend is not None
    assert (trend.readings, trend.later is not None) == (readings, later)
    assert trend.fall == (pytest.approx(2.0) if readings else None)


def test_a_kit_whose_resolution_is_not_known_is_not_taken_as_exact(tmp_path: Path) -> None:
    """Readings fall evenly by 6, so the resolution is 6 at most; the kit says 5."""
    known, unknown = (_trend(tmp_path, {K: {("resolution", 2): resolution}}) for resolution in (5.0, None))
    assert known is not None
    assert unknown is not None
    assert known.error is not None
    assert unknown.error == pytest.approx(known.error * 6 / 5)


def test_a_dose_after_the_latest_reading_is_named(tmp_path: Path) -> None:
    (found,) = [one for one in check(small_log(tmp_path, {W: FALLS, "Doses": _dose(28)}))
                if one.kind == "alkalinity running out"]
    assert found.what.endswith(f"days. What went in on {LAST_DAY + timedelta(days=1)} is not in this")
