"""The workbooks speak one language: the same verdict words, marks, units, order of parts, titles and feet of pages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import US
from pailbook.workbook import templates
from pailbook.workbook.workings import SHEET as WORKINGS

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"
ALL = tuple(templates.WORKBOOKS)
PARTS = ("What it is for", "Fill in first", "How to read a page", "The answer", "Key results", "Assumed until",
         "Are the functions installed?", "Safety notes")
# The answer to "Go?" on a move; all else says act, watch or fine.
GO_SHEETS = ("Start", "Road card", "Go or no-go")
_QUOTED = re.compile(r'"((?:[^"]|"")*)"')
# What formulas compare with, and the levels of the table of species' limits.
_LEVELS = re.compile(r"(act|watch)( low| high)?|fine|not known|not asked")
_VERDICT = re.compile(r"(act|not known|watch|fine|not asked): (\S.*)?", re.DOTALL)


@cache
def workbook(name: str) -> Workbook:
    """The blank workbook in US units, as it is on disk."""
    return load_workbook(TEMPLATES / f"{name}-{US}.xlsx")


def sheets(name: str) -> list[Worksheet]:
    """The sheets that people read."""
    return [sheet for sheet in workbook(name).worksheets if sheet.title != WORKINGS]


def texts(sheet: Worksheet) -> Iterator[tuple[str, str]]:
    """Each text on the sheet and in its formulas, with its cell."""
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str):
                for text in _QUOTED.findall(cell.value) if cell.value.startswith("=") else [cell.value]:
                    yield cell.coordinate, text


@pytest.mark.parametrize("name", ALL)
def test_a_verdict_begins_with_its_word_and_a_colon_parts_it_from_its_reason(name: str) -> None:
    for sheet in sheets(name):
        for cell, text in texts(sheet):
            if re.match(r"(act|not known|watch|fine|not asked)\b(?! below)", text):
                assert _LEVELS.fullmatch(text) or _VERDICT.fullmatch(text), (sheet.title, cell, text)
            assert "not judged:" not in text, (sheet.title, cell, text)
            hidden = sheet.column_dimensions[cell.rstrip("0123456789")].hidden  # answers that formulas read, not people
            assert sheet.title in GO_SHEETS or hidden or "no-go" not in text, (sheet.title, cell, text)


@pytest.mark.parametrize("name", ALL)
def test_units_are_written_in_one_way(name: str) -> None:
    wrong = re.compile(
        r"mg/L (PO4|NO3|NO2|CaCO3|K|Na|Ca|Mg|Fe)\b|lb/gal|\d ?gal\b|(?<!US )\bgal\b|/d\b|\bd\Z|\bg/m²\Z|time\(s\)")
    for sheet in sheets(name):
        if name == "function-guide" and sheet.title != "Start":
            continue  # there units belong to the functions
        for cell, text in texts(sheet):
            unit = text.split("\n")[-1]
            assert not wrong.search(unit), (sheet.title, cell, text)


@pytest.mark.parametrize("name", ALL)
def test_headings_of_verdicts_and_of_where_numbers_come_from_are_the_same(name: str) -> None:
    for sheet in sheets(name):
        for cell, text in texts(sheet):
            assert text not in ("State", "Where this comes from", "Source of the number"), (sheet.title, cell)
            assert not text.startswith(("default:", "as planned:")), (sheet.title, cell, text)


@pytest.mark.parametrize("name", ALL)
def test_the_first_sheet_has_its_parts_in_one_order(name: str) -> None:
    found = [PARTS.index(part) for row in workbook(name)["Start"].iter_rows(max_col=1) for part in PARTS
             if isinstance(row[0].value, str) and row[0].value.startswith(part)]
    assert found == sorted(found)
    assert {0, 4, 6, 7} <= set(found), "what it is for, key results, the functions, safety notes"
    assert {1, 2} & set(found), "what comes first"


@pytest.mark.parametrize("name", ALL)
def test_every_sheet_bears_its_name_and_the_page_at_its_foot(name: str) -> None:
    for sheet in workbook(name).worksheets:
        assert sheet.title in ("Start", sheet["A1"].value), sheet.title
        foot: Any = sheet.oddFooter
        assert (foot.left.text, foot.right.text) == ("&F: &A", "page &P of &N")


@pytest.mark.parametrize("name", ALL)
def test_nothing_is_said_in_a_programmers_words(name: str) -> None:
    jargon = re.compile(
        r"\b(null|NaN|boolean|integer|string|parameter|iterate|trigger|override|default|invalid|deprecated|runtime)\b",
        re.IGNORECASE)
    for sheet in sheets(name):
        if name == "function-guide" and sheet.title != "Start":
            continue  # it speaks to those who write formulas
        for cell, text in texts(sheet):
            assert not jargon.search(text), (sheet.title, cell, text)
