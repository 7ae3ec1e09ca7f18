"""Workbooks with calls, as Excel meets them: bare names, stored values, no computing on opening unless it can."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from lxml import etree

from pailbook.formula.call_names import may_call
from pailbook.function import CATALOGUE
from pailbook.workbook.package import Workbook, set_cells
from pailbook.workbook.recalc import recalc

DEMO = Path(__file__).parents[2] / "demo_workbooks" / "farm-log.xlsx"
CURRENT = 191029  # what Excel 2019 and every later one write; a lower number makes them compute anew on opening
NAMESPACE = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@pytest.fixture(scope="module")
def computed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("computed") / "log.xlsx"
    recalc(DEMO, path)
    return path


def test_calls_stand_under_their_bare_names_and_carry_values(computed: Path) -> None:
    names = 0
    with zipfile.ZipFile(computed) as parts:
        for part in (name for name in parts.namelist() if name.startswith("xl/worksheets/sheet")):
            for cell in etree.fromstring(parts.read(part)).iter(f"{NAMESPACE}c"):
                text = cell.findtext(f"{NAMESPACE}f")
                if text and may_call(text):
                    assert cell.findtext(f"{NAMESPACE}v") is not None, f"{part} {cell.get('r')}"
                    found = re.findall(r"([\w.!\\'\[\]]+)\(", text)
                    names += len(set(found) & set(CATALOGUE))
                    assert not [one for one in found if may_call(f"{one}(") and one not in CATALOGUE]
    assert names > 10


def test_a_program_without_the_functions_is_not_asked_to_compute(computed: Path) -> None:
    with zipfile.ZipFile(computed) as parts:
        book = etree.fromstring(parts.read("xl/workbook.xml"))
    (mark,) = book.iter(f"{NAMESPACE}calcPr")
    assert int(mark.get("calcId", "0")) >= CURRENT
    assert mark.get("fullCalcOnLoad", "0") in ("0", "false")


def test_changed_inputs_are_computed_on_opening(computed: Path, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(computed)
    sheet, address = book.defined_names["log_functions_answer"].attr_text.replace("'", "").replace("$", "").split("!")
    free = "J" + re.sub(r"\D", "", address)
    copy = tmp_path / "changed.xlsx"
    set_cells(Workbook(computed), copy, {sheet: {free: 1.0}})
    with zipfile.ZipFile(copy) as parts:
        assert b'fullCalcOnLoad="1"' in parts.read("xl/workbook.xml")


def test_the_first_sheet_says_how_to_get_a_copy_that_lives_without_the_functions(computed: Path) -> None:
    book = openpyxl.load_workbook(computed)
    sheet, address = book.defined_names["log_functions_answer"].attr_text.replace("'", "").replace("$", "").split("!")
    assert sheet == book.sheetnames[0]
    row = re.sub(r"\D", "", address)
    assert "pailbook share" in str(book[sheet][f"D{row}"].value)
