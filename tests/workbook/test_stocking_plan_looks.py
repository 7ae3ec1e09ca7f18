"""How the stocking plan looks: on paper, nothing cut off, charts that say what is shown."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl.chart import ScatterChart

import calc
import render
import stocks
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook.stocking_plan import chart
from paper import check_nothing_cut_off, check_paper, check_texts_find_room
from thorough import first


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_sheets_are_set_up_for_paper(units: str) -> None:
    check_paper(stocks.plan(units), units)
    for sheet in stocks.plan(units).book.workbook.worksheets:
        check_texts_find_room(sheet)


@pytest.mark.parametrize(("units", "weight", "feed"), [("metric", "kg", "g"), ("us", "lb", "oz")])
def test_the_charts_show_weight_and_feed_with_their_limits(units: str, weight: str, feed: str) -> None:
    sheet = stocks.plan(units).book.workbook[chart.SHEET]
    charts = sheet._charts  # type: ignore[attr-defined]
    assert all(isinstance(drawn, ScatterChart) for drawn in charts)
    assert [[series.tx.v for series in drawn.series] for drawn in charts] == [
        ["fish at the end of the week", "act: highest stocking density"],
        ["daily feed", "act: limit of the filter", "act: limit of the air pump", "watch: limit of the plants"]]
    titles = [drawn.y_axis.title.tx.rich.p[0].r[0].t for drawn in charts]
    assert titles == [weight, feed]
    dashes = [series.graphicalProperties.line.prstDash for series in charts[1].series[1:]]
    assert len(set(dashes)) == 3, "different without colour: solid, dotted, dashed"


def test_limit_lines_are_what_the_balance_says() -> None:
    values = stocks.computed("metric", stocks.typed("metric"))
    # 20 kg/m³ of 3100 L; 10.5 m² at 45 g.
    assert values[chart.DATA, "C6"] == pytest.approx(62)
    assert values[chart.DATA, "G6"] == pytest.approx(472.5)
    # 150 L of 500 m²/m³ take 0.3 g at 25 °C, 10 % less for each degree below; 1 g of feed brings 0.32 x 0.092 g of
    # nitrogen.
    assert values[chart.DATA, "E6"] == pytest.approx(75 * 0.3 * 1.1**-1.5 / (0.32 * 0.092))


@cache
def _printed(units: str, filled: bool) -> str:
    with tempfile.TemporaryDirectory() as folder:
        path = stocks.saved(units, True, stocks.typed(units) if filled else {}, Path(folder))
        return render.text_of(calc.convert(path, "pdf", Path(folder)))


@pytest.mark.libreoffice
@pytest.mark.parametrize(("units", "filled"), first([("us", True), ("metric", True), ("us", False), ("metric", False)]))
def test_nothing_is_cut_off_in_print(units: str, filled: bool) -> None:
    calc.needed()
    text = _printed(units, filled)
    check_nothing_cut_off(text)
    words = " ".join(text.split())
    for sheet in stocks.plan(units).book.workbook.worksheets:
        assert f"plan.xlsx: {sheet.title}" in words
    for whole in ("the dosing plan calculates what to add.", "Total ammonia (TAN) it removes at 25 °C (77 °F)",
                  "Trout have 1.3 to 2.2, common practice (no published source); for other species we know of no",
                  "as fast as the filter can follow: test total ammonia and nitrite after each."):
        assert whole in words, whole
    if units == "us":
        assert "US gal (3.785 L)" in words
    if filled:
        assert "fine: the plants can use up to" in words
        assert "Without it, alkalinity falls to 20 mg/L in about 3 days" in words
        assert "12 fish from own hatch 2026 at" in words
