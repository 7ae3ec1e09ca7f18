"""Computed values put behind the formulas of a workbook's file: nothing else in it changes by a byte."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest

from files import (
    BASIN,
    MAIN,
    TANK,
    first_sheet,
    parts,
    rebuilt,
    rich_workbook,
    sheet_part,
    stored,
)
from pailbook.hosts.cells import ErrorValue
from pailbook.workbook.package import Workbook, WorkbookError, inject_values, set_cells

VALUES: dict[tuple[str, str], Any] = {
    (TANK, "C2"): 0.125, (TANK, "C3"): "a < b & c", (TANK, "C4"): True, (TANK, "C5"): ErrorValue("#N/A"),
    (TANK, "C6"): "", (TANK, "C7"): -0.0, (BASIN, "A1"): 1e-12, (BASIN, "B1"): 3.0, (BASIN, "B2"): 4.0,
    (BASIN, "B3"): 5.0,
}

@pytest.fixture
def rich(tmp_path: Path) -> Path:
    return rich_workbook(tmp_path / "rich.xlsx")


def test_values_stand_behind_the_formulas_and_nothing_else_changes(rich: Path, tmp_path: Path) -> None:
    target = tmp_path / "computed.xlsx"
    inject_values(rich, target, VALUES)
    before, after = stored(rich), stored(target)
    assert list(before) == list(after)
    changed = {sheet_part(rich, TANK), sheet_part(rich, BASIN), "xl/workbook.xml"}
    assert {name for name in before if before[name] != after[name]} == changed
    assert {name: after[name][0] for name in changed} == {name: before[name][0] for name in changed}

    values = openpyxl.load_workbook(target, data_only=True)
    formulas = openpyxl.load_workbook(target)
    for (title, address), value in VALUES.items():
        shown = values[title][address].value
        assert shown == (value.code if isinstance(value, ErrorValue) else value or shown)
    assert values[TANK]["C6"].value in ("", None)
    assert values[TANK]["C7"].value == 0
    assert values[TANK]["C4"].value is True
    assert values[TANK]["C5"].data_type == "e"
    original = openpyxl.load_workbook(rich)
    for row in original[TANK].iter_rows():
        for cell in row:
            same = formulas[TANK][cell.coordinate]
            assert (same.value, same.style_id) == (cell.value, cell.style_id)


def test_the_part_without_our_values_is_the_part_as_it_was(rich: Path, tmp_path: Path) -> None:
    inject_values(rich, tmp_path / "computed.xlsx", {place: v for place, v in VALUES.items() if place[0] == TANK})
    after = first_sheet(tmp_path / "computed.xlsx")
    bare = re.sub(r"<v>[^<]*</v></c>", "<v></v></c>", re.sub(r' t="(str|b|e)"(?=><f>)', "", after))
    assert re.sub(r"(</f>)<v></v>", r"\1<v></v>", bare) == re.sub(r"(<v>)[^<]*(?=</v></c>)", r"\1",
                                                                  first_sheet(rich).replace("<v/>", "<v></v>"))


def test_values_may_be_exchanged_again(rich: Path, tmp_path: Path) -> None:
    first, second, direct = tmp_path / "1.xlsx", tmp_path / "2.xlsx", tmp_path / "3.xlsx"
    others = {place: ErrorValue("#NUM!") for place in VALUES}
    inject_values(rich, first, others)
    inject_values(first, second, VALUES)
    inject_values(rich, direct, VALUES)
    assert parts(second).keys() == parts(direct).keys()
    for title in (TANK, BASIN):
        one, other = (ElementTree.fromstring(parts(path)[sheet_part(path, title)]) for path in (second, direct))
        assert ElementTree.tostring(one) == ElementTree.tostring(other)


def test_values_are_kept_as_precisely_as_floats_are(rich: Path, tmp_path: Path) -> None:
    for i, value in enumerate([0.1, 1 / 3, 1e300, 5e-324, 123456789012345680.0, -1.5]):
        inject_values(rich, tmp_path / f"{i}.xlsx", {(TANK, "C2"): value})
        assert Workbook(tmp_path / f"{i}.xlsx").stored_values()[TANK, "C2"] == value


def test_a_value_needs_a_formula(rich: Path, tmp_path: Path) -> None:
    for place, why in (((TANK, "A2"), "has no formula"), ((TANK, "Z99"), "has no formula"),
                       (("Nowhere", "A1"), "no sheet 'Nowhere'"), ((TANK, "2C"), "no cell")):
        with pytest.raises(WorkbookError, match=why) as refused:
            inject_values(rich, tmp_path / "out.xlsx", {place: 1.0})
        assert "rich.xlsx" in str(refused.value)
    assert not (tmp_path / "out.xlsx").exists()


def calculation(path: Path) -> dict[str, str]:
    found = ElementTree.fromstring(parts(path)["xl/workbook.xml"]).find(f"{{{MAIN}}}calcPr")
    return dict(found.attrib) if found is not None else {}


def test_only_a_workbook_that_calls_our_functions_is_marked_as_computed(rich: Path, tmp_path: Path) -> None:
    assert calculation(rich) == {"calcId": "124519", "fullCalcOnLoad": "1"}
    inject_values(rich, tmp_path / "calls.xlsx", VALUES)
    assert calculation(tmp_path / "calls.xlsx") == {"calcId": "191029"}
    set_cells(tmp_path / "calls.xlsx", tmp_path / "typed.xlsx", {TANK: {"A2": 6.5}})
    assert calculation(tmp_path / "typed.xlsx") == {"calcId": "191029", "fullCalcOnLoad": "1"}

    book = openpyxl.Workbook()
    book.worksheets[0]["A1"] = "=1+1"
    book.save(tmp_path / "plain.xlsx")
    inject_values(tmp_path / "plain.xlsx", tmp_path / "out.xlsx", {("Sheet", "A1"): 2.0})
    assert parts(tmp_path / "plain.xlsx")["xl/workbook.xml"] == parts(tmp_path / "out.xlsx")["xl/workbook.xml"]


@pytest.mark.parametrize("tag", ["", "<calcPr/>", '<calcPr calcMode="auto" fullCalcOnLoad = \'1\' />',
                                 "<calcPr iterate='1'></calcPr>"])
def test_the_mark_is_set_however_the_file_is_written(rich: Path, tmp_path: Path, tag: str) -> None:
    text = parts(rich)["xl/workbook.xml"].decode()
    bare = re.sub(r"<calcPr[^>]*/>", tag, text)
    source = rebuilt(rich, tmp_path / "source.xlsx", {"xl/workbook.xml": bare.encode()})
    inject_values(source, tmp_path / "out.xlsx", VALUES)
    root = ElementTree.fromstring(parts(tmp_path / "out.xlsx")["xl/workbook.xml"])
    order = [child.tag.partition("}")[2] for child in root]
    assert order.index("calcPr") == order.index("definedNames") + 1
    found = calculation(tmp_path / "out.xlsx")
    assert found.pop("calcId") == "191029"
    assert "fullCalcOnLoad" not in found
    assert set(found) <= {"calcMode", "iterate"}
