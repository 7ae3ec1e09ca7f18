"""How the move plan looks: on paper and in the charts; what is printed stays whole."""

from __future__ import annotations

import re
import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl.chart import ScatterChart

import calc
import moves
import render
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.terms import american
from pailbook.workbook.move_plan import checklist, road
from paper import A4, LETTER, check_nothing_cut_off
from thorough import first

ONE_PAGE = ("Start", "Road card", "Checklist")


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_sheets_are_set_up_for_paper(units: str) -> None:
    for sheet in moves.plan(units).book.workbook.worksheets:
        page = sheet.page_setup
        assert page.fitToWidth == 1, sheet.title
        assert page.fitToHeight == (1 if sheet.title in ONE_PAGE else 0), sheet.title
        assert page.paperSize == (LETTER if units == "us" else A4)
        assert sheet.print_area, sheet.title


def test_charts_show_cases_and_limits_that_differ_without_colour() -> None:
    sheet = moves.plan("metric").book.workbook[road.SHEET]
    charts = sheet._charts  # type: ignore[attr-defined]
    assert len(charts) == 2
    for chart in charts:
        assert isinstance(chart, ScatterChart)
        lines = [s.graphicalProperties.line for s in chart.series]
        looks = {(line.prstDash, line.solidFill, line.w) for line in lines}
        assert len(looks) == len(chart.series) == 5
        assert {line.prstDash for line in lines[:3]} == {"solid", "sysDash", "sysDot"}
        names = [s.tx.v for s in chart.series]
        assert names[3:] == ["watch", "act"]


@cache
def _printed(units: str, name: str) -> str:
    inputs, readings = {"blank": ({}, ()), "demo": (moves.DEMO, moves.DEMO_READINGS)}[name]
    with tempfile.TemporaryDirectory() as folder:
        path = moves.filled(inputs, units, readings, plain=True).book.save(Path(folder) / "plan.xlsx")
        return render.text_of(calc.convert(path, "pdf", Path(folder)))


def _pages(text: str, sheet: str) -> list[str]:
    """The pages of a sheet, by their footer; the words of each with single spaces."""
    pages = [page for page in text.split("\f") if re.search(rf"plan\.xlsx: {re.escape(sheet)}\s", page)]
    return [" ".join(page.split()) for page in pages]


@pytest.mark.libreoffice
@pytest.mark.parametrize(
    ("units", "name"), first([("us", "demo"), ("metric", "demo"), ("us", "blank"), ("metric", "blank")]))
def test_nothing_is_cut_off_in_print(units: str, name: str) -> None:
    calc.needed()
    text = _printed(units, name)
    check_nothing_cut_off(text)
    for sheet in ONE_PAGE:
        assert len(_pages(text, sheet)) == 1, sheet


@pytest.mark.libreoffice
def test_the_summary_the_road_card_and_the_checklist_carry_what_counts() -> None:
    calc.needed()
    text = _printed("us", "demo")
    summary, card, ticks = (_pages(text, sheet)[0] for sheet in ONE_PAGE)
    for words in ("go with care", "Minutes left if the pump stops", "assumed: 10 minutes", "Acids and bases burn",
                  "no: with a resolution of 0.1 the true gap may be up to 0.3"):
        assert words in summary, words
    for words in ("School tank to Court wall", "Quillon Court on 2026-06-10", "70 fish", "18 fish in each",
                  "Start the spare pump", "Replace 50 % of the vessel's water with tank water. Wait",
                  "Keep the water they traveled in (haul water) out of the tank"):
        assert words in card, words
    assert card.index("Number to call") < card.index("Go?")
    for _, lines in checklist.lines(moves.plan("us")):  # every line, whole, but for those that are calculated
        for line in lines:
            assert line.startswith("=") or american(line) in ticks, line
    assert "a full vessel weighs 170 lb, so take two people or a hand truck" in ticks
    assert "Stop feeding 72 hours before loading" in ticks  # 21 cm long; Piper p. 357: 8 in and longer, 72 h
    for words in ("household current only with GFCI protection", "soft mesh without knots", "let them dry",
                  "keep the haul water out of the tank", "live transport", "ask a vet"):
        assert words in ticks, words
    # In the order of the work: what comes first in time stands first.
    parts = [heading for heading, _ in checklist.lines(moves.plan("us"))]
    assert parts[:4] == ["Three weeks before", "One to two weeks before", "Two to three days before", "The day before"]
    places = [ticks.index(part) for part in parts]
    assert places == sorted(places)
    sheet = _pages(text, "After the move")
    assert len(sheet) == 1
    assert "call a vet" in sheet[0]


@pytest.mark.long
@pytest.mark.libreoffice
def test_every_sheet_has_a_picture(tmp_path: Path) -> None:
    calc.needed()
    path = moves.filled(moves.DEMO, "metric", moves.DEMO_READINGS, plain=True).book.save(tmp_path / "plan.xlsx")
    made = render.pictures(path, tmp_path / "pictures", pages=1, dots=40)
    assert len(made) == len(moves.plan("metric").book.workbook.sheetnames) + 1  # and Workings
    for title, files in made.items():
        assert len(files) == 1, title
        assert files[0].stat().st_size > 1000, title
