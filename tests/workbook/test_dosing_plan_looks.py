"""How the dosing plan looks: on paper, nothing cut off, a chart that says what is shown."""

from __future__ import annotations

import re
import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl.chart import ScatterChart

import calc
import plans
import render
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook import lines, style, workings
from pailbook.workbook.dosing_plan import chart, places, targets
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS
from paper import BOLD, check_nothing_cut_off, check_paper, check_texts_find_room
from thorough import first, thorough


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_sheets_are_set_up_for_paper(units: str) -> None:
    check_paper(plans.plan(units), units)


@pytest.mark.parametrize(("units", "plain"), first([("us", False), ("metric", True), ("metric", False), ("us", True)]))
def test_texts_find_room(units: str, plain: bool) -> None:
    for sheet in plans.plan(units, plain, 28 if thorough() else 5).book.workbook.worksheets:
        check_texts_find_room(sheet)


def test_the_chart_shows_readings_forecast_uncertainty_and_target_range() -> None:
    sheet = plans.plan("metric").book.workbook[chart.SHEET]
    (drawn,) = sheet._charts  # type: ignore[attr-defined]
    assert isinstance(drawn, ScatterChart)
    labels = [series.tx.v for series in drawn.series]
    assert labels == ["readings", "expected", "may be as low as", "may be as high as", "lower end of the target",
                      "upper end of the target", "watch: dose at or below"]
    lines = {series.graphicalProperties.line.prstDash for series in drawn.series[:4]}
    assert len(lines) == 3, "different without colour: solid, dashed, dotted"


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_verdicts_find_room_on_nutrients(units: str) -> None:
    sheet = plans.plan(units).book.workbook[targets.SHEET]
    found = 0
    for nutrient in NUTRIENTS:
        cell = sheet[plans.place(places.cell(nutrient, "state"))[1]]
        width, height = sheet.column_dimensions[cell.column_letter].width, sheet.row_dimensions[cell.row].height
        for text in re.findall(r'"((?:not known|act|watch|fine): [^"]*)"', str(cell.value)):
            assert lines.lines_of(text, width / BOLD) * lines.POINTS <= height, text
            found += 1
    assert found > 60


def test_a_blank_chart_says_what_to_fill_in() -> None:
    for inputs, begin in (({}, "Nothing to draw yet: fill in Nutrients"),
                          (plans.typed("metric"), "The latest 12 readings")):
        assert str(plans.computed("metric", inputs)[chart.SHEET, "A2"]).startswith(begin)


def test_the_workings_of_a_plain_plan_do_not_frighten(tmp_path: Path) -> None:
    made = plans.plan("metric", True, 5)
    made.book.save(tmp_path / "plan.xlsx")
    sheet = made.book.workbook[workings.SHEET]
    assert sheet.freeze_panes == "C5"
    assert "A pale error such as #N/A means that an input is blank" in str(sheet["A3"].value)
    looks = {(cell.font.name, cell.fill.fgColor.rgb) for row in sheet.iter_rows(5) for cell in row[2:] if cell.value}
    assert looks == {(style.FONT, "00EEF2F3")}
    (pale,) = [rule for span in sheet.conditional_formatting for rule in span.rules]
    assert pale.formula == ["ISERROR(C5)"]
    assert sheet.print_area == f"'{workings.SHEET}'!$A$1:$C$3", "a page that says what it is, not hundreds"


def test_the_forecast_grows_less_sure_with_each_day() -> None:
    values = plans.computed("metric", plans.typed("metric"))
    error, half = plans.named(values, "metric", "uptake_error"), 0.25  # of the resolution
    for day in (0, 1, 27):
        row = 6 + 2 * day
        expected, low, high = (values[chart.DATA, f"{letter}{row}"] for letter in "EFG")
        assert high - expected == pytest.approx(half + error * day)
        assert expected - low == pytest.approx(half + error * day)


@cache
def _printed(units: str, filled: bool) -> str:
    made = dosing_plan(units, True, plans.ROWS, 28)
    for (sheet, address), value in (plans.everything(units) if filled else {}).items():
        made.book.workbook[sheet][address].value = value
    with tempfile.TemporaryDirectory() as folder:
        path = made.book.save(Path(folder) / "plan.xlsx")
        return render.text_of(calc.convert(path, "pdf", Path(folder)))


@pytest.mark.libreoffice
@pytest.mark.parametrize(("units", "filled"), first([("us", True), ("metric", True), ("us", False), ("metric", False)]))
def test_nothing_is_cut_off_in_print(units: str, filled: bool) -> None:
    calc.needed()
    text = _printed(units, filled)
    check_nothing_cut_off(text)
    words = " ".join(text.split())
    for sheet in plans.plan(units).book.workbook.worksheets:
        assert f"plan.xlsx: {sheet.title}" in words
    for whole in ("Never dose lime or any hydroxide near phosphate: calcium phosphate precipitates and pH jumps.",
                  "Rules for every day's dose", "Safe dose at the lowest likely alkalinity"):
        assert whole in words, whole
    if units == "us":
        assert "US gal (3.785 L)" in words
    shown = ("if the reading is not the one expected, enter it first." if filled else
             "Fill in the sheets above, in that order.")
    assert shown in words
