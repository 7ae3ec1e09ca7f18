"""Inputs put into the cells of a workbook's file: styles stay, formulas are safe, text stays text."""

from __future__ import annotations

import math
import re
from datetime import date, datetime, time, timezone
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from files import (
    BASIN,
    MAIN,
    TANK,
    first_sheet,
    names_in,
    parts,
    rebuilt,
    rich_workbook,
    sheet_part,
    stored,
    with_rows,
    with_texts,
)
from pailbook.workbook.package import Workbook, WorkbookError, inject_values, set_cells


@pytest.fixture
def rich(tmp_path: Path) -> Path:
    return rich_workbook(tmp_path / "rich.xlsx")


def test_inputs_keep_their_style_and_text_stays_text(rich: Path, tmp_path: Path) -> None:
    inputs = {
        "A2": 6.8, "A3": None, "A4": "=1+1", "A5": "+49", "A6": "-", "A7": "@home", "B2": True, "B3": date(2026, 3, 2),
        "B4": datetime(2026, 3, 2, 6, 30), "B5": time(18), "B6": 5, "B7": " <0.25 & more\n", "A9": "in the first one",
    }
    set_cells(rich, tmp_path / "typed.xlsx", {TANK: inputs})
    before, after = openpyxl.load_workbook(rich)[TANK], openpyxl.load_workbook(tmp_path / "typed.xlsx")[TANK]
    for address, value in inputs.items():
        cell = after[address]
        assert cell.style_id == before[address].style_id
        assert cell.data_type != "f"
        if isinstance(value, (date, time)):
            value = {"B3": 46083, "B4": 46083 + 6.5 / 24, "B5": 0.75}[address]  # days since 1899-12-30
            assert cell.value == pytest.approx(value, rel=1e-12)
        else:
            assert cell.value == value
    assert after["C2"].value == before["C2"].value
    kept = {name for name, content in stored(rich).items() if stored(tmp_path / "typed.xlsx")[name] == content}
    assert set(stored(rich)) - kept == {sheet_part(rich, TANK)}


def test_cells_and_rows_that_are_not_there_are_added_in_order(rich: Path, tmp_path: Path) -> None:
    set_cells(rich, tmp_path / "typed.xlsx", {TANK: {
        "D2": 1, "AB2": 2, "A8": 3, "C20": 4, "A20": 5, "B15": 6, "XFD1048576": 7, "B8": None, "A99": None,
    }})
    root = ElementTree.fromstring(first_sheet(tmp_path / "typed.xlsx"))
    rows = root.findall(f"{{{MAIN}}}sheetData/{{{MAIN}}}row")
    numbers = [int(row.attrib["r"]) for row in rows]
    assert numbers == [*range(1, 10), 15, 20, 1048576]
    assert [c.attrib["r"] for c in rows[1]] == ["A2", "B2", "C2", "D2", "AB2"]
    assert [c.attrib["r"] for c in rows[10]] == ["A20", "C20"]
    dimension = root.find(f"{{{MAIN}}}dimension")
    assert dimension is not None
    assert dimension.attrib["ref"] == "A1:XFD1048576"
    sheet = openpyxl.load_workbook(tmp_path / "typed.xlsx")[TANK]
    assert [sheet[a].value for a in ("D2", "AB2", "A8", "C20", "A20", "B15", "XFD1048576")] == [1, 2, 3, 4, 5, 6, 7]


@pytest.mark.parametrize("rows", [
    "", "<row r='3'/>", '<row r="3" spans="1:2" ><c r="A3"/></row>', '<row r="9"><c r="B9" s="1"><v>1</v></c></row>',
    '<row><c><v>1</v></c><c r="D1" t="s"><v>0</v></c></row><row r="5"/>', "\n <row r='2'>\n  <c r='C2'/>\n </row>\n",
])
def test_cells_are_added_to_any_writing_of_a_sheet(rich: Path, tmp_path: Path, rows: str) -> None:
    source = with_rows(with_texts(rich, tmp_path / "texts.xlsx", "<si><t>old</t></si>"), tmp_path / "source.xlsx", rows)
    if not rows:
        bare = first_sheet(source).replace("<sheetData></sheetData>", "<sheetData />")
        source = rebuilt(source, tmp_path / "bare.xlsx", {sheet_part(rich, TANK): bare.encode()})
    cells = {"B1": 1.5, "A3": "x", "C3": 2.5, "B9": 4.5, "Z9": 5.5}
    set_cells(source, tmp_path / "typed.xlsx", {TANK: cells})
    head = f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\r\n<worksheet xmlns="{MAIN}">'
    assert first_sheet(tmp_path / "typed.xlsx").startswith(head)
    sheet = openpyxl.load_workbook(tmp_path / "typed.xlsx")[TANK]
    assert {address: sheet[address].value for address in cells} == cells
    assert "spans" not in first_sheet(tmp_path / "typed.xlsx")


def test_a_prefix_extensions_and_unknown_attributes_stay(rich: Path, tmp_path: Path) -> None:
    sheet = (
        f'<?xml version="1.0"?><x:worksheet xmlns:x="{MAIN}" xmlns:mc="http://schemas.openxmlformats.org/'
        'markup-compatibility/2006" mc:Ignorable="w" xmlns:w="urn:w"><x:dimension ref="A1"/><x:sheetData>'
        '<x:row r="1" w:height="a > b"><x:c r="A1" s="1" vm="1" w:note="&lt;t=&quot;1&quot;"><x:f ca="1">B1&gt;2</x:f>'
        '<x:v>1</x:v><x:extLst><x:ext uri="u"/></x:extLst></x:c><x:c r="B1" t="s" vm="2"><x:v>0</x:v></x:c></x:row>'
        '</x:sheetData><x:extLst><x:ext uri="u"><w:c r="A1"/><w:f/></x:ext></x:extLst></x:worksheet>'
    )
    source = rebuilt(rich, tmp_path / "source.xlsx", {sheet_part(rich, TANK): sheet.encode()})
    inject_values(source, tmp_path / "1.xlsx", {(TANK, "A1"): "yes"})
    assert first_sheet(tmp_path / "1.xlsx") == sheet.replace(
        ' vm="1" w:note="&lt;t=&quot;1&quot;">', ' w:note="&lt;t=&quot;1&quot;" t="str">'
    ).replace("<x:v>1</x:v>", "<x:v>yes</x:v>")
    set_cells(tmp_path / "1.xlsx", tmp_path / "2.xlsx", {TANK: {"B1": 3, "C2": "t"}})
    assert first_sheet(tmp_path / "2.xlsx") == first_sheet(tmp_path / "1.xlsx").replace(
        '<x:c r="B1" t="s" vm="2"><x:v>0</x:v></x:c></x:row>',
        '<x:c r="B1"><x:v>3</x:v></x:c></x:row><x:row r="2"><x:c r="C2" t="inlineStr"><x:is><x:t xml:space="preserve">t'
        "</x:t></x:is></x:c></x:row>",
    ).replace('ref="A1"', 'ref="A1:C2"', 1)


def test_a_new_cell_takes_the_style_of_its_row_or_column(rich: Path, tmp_path: Path) -> None:
    source = with_rows(rich, tmp_path / "source.xlsx", '<row r="1" s="2" customFormat="1"/><row r="2" s="2"/>',
                       before='<cols><col min="1" max="2" width="9" style="1"/></cols>')
    set_cells(source, tmp_path / "typed.xlsx", {TANK: {"A1": 1, "B2": 2, "C2": 3, "A3": 4}})
    styles = dict(re.findall(r'<c r="(\w+)"(?: s="(\d)")?', first_sheet(tmp_path / "typed.xlsx")))
    assert styles == {"A1": "2", "B2": "1", "C2": "", "A3": "1"}


def test_a_formula_is_not_overwritten(rich: Path, tmp_path: Path) -> None:
    source = with_rows(rich, tmp_path / "source.xlsx", (
        '<row r="1"><c r="A1"><f t="shared" ref="A1:A2" si="0">B1*2</f></c><c r="D1"><f t="dataTable" ref="D1:D2"/>'
        '<v>1</v></c></row><row r="2"><c r="A2"><f t="shared" si="0"/></c><c r="D2"><v>1</v></c></row>'))
    for path, title, address, why in (
        (rich, TANK, "C2", r"Reuben's tank!C2 holds a formula \(=AMMONIA_FRACTION"), (rich, BASIN, "B1", "a formula"),
        (rich, BASIN, "B3", "filled by the formula in B1"),
        (rich, TANK, "B9", "merged cells; their value is in A9"),
        (source, TANK, "A2", "a formula"), (source, TANK, "D2", "filled by the formula in D1"),
    ):
        with pytest.raises(WorkbookError, match=why):
            set_cells(path, tmp_path / "out.xlsx", {TANK: {"E1": 1}, title: {address: 1}})
        assert not (tmp_path / "out.xlsx").exists()


@pytest.mark.parametrize("value", [math.nan, math.inf, "x" * 32768, "\ud800", [1], 10**30 + 1,
                                   datetime(2026, 3, 2, tzinfo=timezone.utc)])
def test_what_a_cell_cannot_hold_is_refused(rich: Path, tmp_path: Path, value: Any) -> None:
    with pytest.raises(WorkbookError, match=r"rich\.xlsx Reuben's tank!A2 cannot hold this"):
        set_cells(rich, tmp_path / "out.xlsx", {TANK: {"A2": value}})
    assert names_in(tmp_path) == ["rich.xlsx"]


def test_a_workbook_of_1904_gets_its_own_dates(rich: Path, tmp_path: Path) -> None:
    text = parts(rich)["xl/workbook.xml"].replace(b"<workbookPr/>", b'<workbookPr date1904="1"/>')
    source = rebuilt(rich, tmp_path / "source.xlsx", {"xl/workbook.xml": text})
    set_cells(source, tmp_path / "typed.xlsx", {TANK: {"B3": date(2026, 3, 2)}})
    assert Workbook(tmp_path / "typed.xlsx").stored_values()[TANK, "B3"] == 46083 - 1462


@given(st.dictionaries(
    st.tuples(st.integers(10, 50), st.integers(4, 40)).map(lambda place: f"{get_column_letter(place[1])}{place[0]}"),
    st.one_of(
        st.floats(allow_nan=False, allow_infinity=False), st.booleans(), st.integers(-10**6, 10**6),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=20), st.sampled_from(["_x0041_", "=a", "\r\n"]),
    ), max_size=12,
))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_put_in_comes_out(rich: Path, cells: dict[str, Any]) -> None:
    target = rich.with_name("typed.xlsx")
    set_cells(rich, target, {TANK: cells}, overwrite=True)
    values = Workbook(target).stored_values()
    assert {address: values[TANK, address] for address in cells} == cells
    ElementTree.fromstring(first_sheet(target))
    if cells:
        openpyxl.load_workbook(target)
