"""How the dosing plan looks: on paper, nothing cut off, a chart that says what is shown."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl.chart import ScatterChart

import calc
import plans
import render
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook.dosing_plan import chart
from pailbook.workbook.dosing_plan.build import dosing_plan
from paper import check_nothing_cut_off, check_paper

pytestmark = pytest.mark.xdist_group("dosing plan")


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_sheets_are_set_up_for_paper(units: str) -> None:
    check_paper(plans.plan(units), units)


def test_the_chart_shows_readings_forecast_uncertainty_and_band() -> None:
    sheet = plans.plan("metric").book.workbook[chart.SHEET]
    (drawn,) = sheet._charts  # type: ignore[attr-defined]
    assert isinstance(drawn, ScatterChart)
    labels = [series.tx.v for series in drawn.series]
    assert labels == ["readings", "expected", "may be as low as", "may be as high as", "band from", "band to",
                      "watch: dose at or below"]
    lines = {series.graphicalProperties.line.prstDash for series in drawn.series[:4]}
    assert len(lines) == 3, "told apart without colour: solid, dashed, dotted"


def test_the_forecast_grows_less_sure_with_each_day() -> None:
    values = plans.computed("metric", plans.typed("metric"))
    error, half_step = plans.named(values, "metric", "uptake_error"), 1.0
    for day in (0, 1, 27):
        row = 6 + 2 * day
        expected, low, high = (values[chart.DATA, f"{letter}{row}"] for letter in "EFG")
        assert high - expected == pytest.approx(half_step + error * day)
        assert expected - low == pytest.approx(half_step + error * day)


@cache
def _printed(units: str, filled: bool) -> str:
    made = dosing_plan(units, True, plans.ROWS)
    for (sheet, address), value in (plans.everything(units) if filled else {}).items():
        made.book.workbook[sheet][address].value = value
    with tempfile.TemporaryDirectory() as folder:
        path = made.book.save(Path(folder) / "plan.xlsx")
        return render.text_of(calc.convert(path, "pdf", Path(folder)))


@pytest.mark.libreoffice
@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("filled", [False, True])
def test_nothing_is_cut_off_in_print(units: str, filled: bool) -> None:
    calc.needed()
    text = _printed(units, filled)
    check_nothing_cut_off(text)
    words = " ".join(text.split())
    for sheet in plans.plan(units).book.workbook.worksheets:
        assert f"plan.xlsx: {sheet.title}" in words
    for whole in ("Never dose lime, or any hydroxide, near phosphate: calcium phosphate falls out and pH leaps.",
                  "Rules that every day's dose keeps", "Safe dose if alkalinity is half a kit step lower"):
        assert whole in words, whole
    if units == "us":
        assert "US gal (3.785 L)" in words
    said = "Test before it; if the reading differs, enter it first." if filled else "Does the phosphate kit read PO4"
    assert said in words
