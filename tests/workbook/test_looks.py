"""How the farm log looks: on paper, in black and white, to colour-blind eyes; charts that say what is shown."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import pytest
from openpyxl.chart import ScatterChart

import calc
import logs
import render
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.terms import international
from pailbook.workbook import style, validation
from pailbook.workbook.farm_log import trends
from pailbook.workbook.lines import lines_of
from pailbook.workbook.measures import DAYS_BETWEEN
from paper import A4, LETTER, check_nothing_cut_off, check_texts_find_room
from thorough import first


def _luminance(colour: str) -> float:
    """Relative luminance of an RGB colour, W3C Web Content Accessibility Guidelines 2.1."""
    parts = [int(colour[i:i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    bright, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_words_can_be_read_on_their_colours() -> None:
    pairs = [(style.ACT, "FFFFFF"), (style.NOT_KNOWN, "000000"), (style.WATCH, "000000"), (style.FINE, "000000"),
             (style.HEADING, "FFFFFF"), ("FFFBEB", style.INK), ("EEF2F3", style.INK), ("FFFFFF", style.QUIET)]
    for pair in pairs:
        assert _contrast(*pair) >= 4.5, pair  # W3C WCAG 2.1, criterion 1.4.3


def test_verdicts_differ_in_darkness_and_not_by_colour_alone() -> None:
    assert _contrast(style.ACT, style.WATCH) > 3  # W3C WCAG 2.1, criterion 1.4.11
    assert _luminance(style.ACT) < _luminance(style.NOT_KNOWN) < _luminance(style.WATCH) < _luminance(style.FINE)
    assert _contrast(style.ACT, style.NOT_KNOWN) > 3
    sheet = logs.log("metric").book.workbook["Water tests"]
    rules = [rule for span in sheet.conditional_formatting for rule in span.rules]
    # The word makes the colour.
    assert [rule.formula[0].split('"')[1] for rule in rules] == ["act", "not known", "watch", "fine"]


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_sheets_are_set_up_for_paper_and_headings_stay(units: str) -> None:
    made = logs.log(units)
    for sheet in logs.sheets(made):
        page = sheet.page_setup
        assert (page.fitToWidth, page.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr is not None
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert page.paperSize == (LETTER if units == "us" else A4)
        assert sheet.print_area, sheet.title
    for table in made.tables.values():
        sheet = made.book.workbook[table.sheet]
        assert sheet.freeze_panes is not None
        assert sheet.freeze_panes.lstrip("ABCDEFGH") == str(table.first_row)
        assert sheet.print_title_rows == f"${table.heading_row}:${table.heading_row}"
        assert sheet.page_setup.orientation == "landscape"


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_texts_headings_and_choices_find_room(units: str) -> None:
    made = logs.log(units)
    for sheet in logs.sheets(made):
        check_texts_find_room(sheet)
        assert sheet.oddFooter is not None
        assert "&A" in str(sheet.oddFooter.left.text), sheet.title
    for table in made.tables.values():
        sheet = made.book.workbook[table.sheet]
        height = sheet.row_dimensions[table.heading_row].height
        for column in table.columns:
            heading = f"{column.heading}\n{'mg/L as CaCO3' if column.basis else column.unit(units)}".strip()
            lines = lines_of(heading, column.width)  # bold of 9 points is about as wide as plain of 10
            assert column.hidden or 11.5 * lines <= height - 2, (table.sheet, heading)
            assert all(len(choice) <= column.width for choice in column.choices), (table.sheet, column.choices)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_charts_say_what_they_show(units: str) -> None:
    sheet = next(sheet for sheet in logs.sheets(logs.log(units)) if sheet.title == trends.SHEET)
    charts = sheet._charts  # type: ignore[attr-defined]
    assert len(charts) == len(trends.TRENDS)
    for chart, trend in zip(charts, trends.TRENDS):
        assert isinstance(chart, ScatterChart)
        unit = trend.unit or {"metric": "°C", "us": "°F"}[units]
        assert trend.title in international(_text(chart.title))
        assert unit in _text(chart.title)
        assert _text(chart.y_axis.title) == unit
        assert _text(chart.x_axis.title) == "Date"
        assert not chart.x_axis.delete
        assert not chart.y_axis.delete
        assert chart.display_blanks == "gap"
        assert len(chart.series) == 1 + len(trend.lines)


def _text(title: object) -> str:
    return "".join(run.t for paragraph in title.tx.rich.p for run in paragraph.r or [])  # type: ignore[attr-defined]


@cache
def _printed(units: str, filled: bool) -> str:
    with tempfile.TemporaryDirectory() as folder:
        path = logs.log(units, True, filled).book.save(Path(folder) / "log.xlsx")
        return render.text_of(calc.convert(path, "pdf", Path(folder)))


@pytest.mark.libreoffice
@pytest.mark.parametrize("units", first(("us", "metric")))
def test_nothing_is_cut_off_in_print(units: str) -> None:
    calc.needed()
    text = _printed(units, True)
    check_nothing_cut_off(text)
    words = " ".join(text.split())
    for whole in ("act: haul water does not belong here (salt, ammonia, disease)",
                  "More air now. Stop feeding. Read oxygen again within the hour.",
                  "Systems whose latest test is too old", "Upkeep: watch this many days before it is due"):
        assert whole in words, whole
    for sheet in logs.sheets(logs.log(units)):
        assert f"log.xlsx: {sheet.title}" in words


@pytest.mark.long
@pytest.mark.libreoffice
def test_every_sheet_has_a_picture(tmp_path: Path) -> None:
    calc.needed()
    path = logs.log("us", True, True).book.save(tmp_path / "log.xlsx")
    made = render.pictures(path, tmp_path / "pictures", pages=1, dots=40)
    assert list(made) == [sheet.title for sheet in logs.sheets(logs.log("us"))]
    for title, files in made.items():
        assert len(files) == 1, title
        assert files[0].stat().st_size > 1000, title


def test_a_message_too_long_for_its_box_ends_with_a_whole_word() -> None:
    heading = "Kit: watch this many days before it expires"  # a title has 32 characters at most
    rule = validation.of_quantity(DAYS_BETWEEN, "metric", heading, help="the pump " * 40)
    assert rule.promptTitle == "Kit: watch this many days ..."
    assert rule.prompt is not None
    assert rule.prompt.endswith(("the ...", "pump ..."))
    assert 240 < len(rule.prompt) <= 255
