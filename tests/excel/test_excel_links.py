"""Every spelling of a call in a file of Excel: recalculated, and gone from the client's copy."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.packaging.relationship import Relationship
from openpyxl.workbook.external_link.external import ExternalBook, ExternalLink

from pailbook.formula.call_names import function_name
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import recalc
from pailbook.workbook.share.share import share

CALL = "AMMONIA_FRACTION(A1,B1)"
SPELLINGS = {
    "plain": CALL,
    "lower case": CALL.lower(),
    "path": rf"'C:\Users\Some One\AppData\Roaming\Microsoft\Excel\XLSTART\Pailbook.xlam'!{CALL}",
    "address": f"'https://example.org/shared documents/Pailbook.xlam'!{CALL}",
    "name": f"Pailbook.xlam!{CALL}",
    "number": f"[1]!{CALL}",
    "quoted number": f"'[1]'!{CALL}",
    "unknown function": f"_xldudf_{CALL}",
    "registered function": f"_xll.{CALL}",
    "newer function": f"_xlfn.{CALL}",
    "user's function": f"_xludf.{CALL}",
    "number and prefix": f"[1]!_xldudf_{CALL}",
    "within others": f'IF(A1>0,ROUND([1]!{CALL}*100,2)/100,LEN("[1]!x"))',
}


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    """A file with each spelling, linked to an add-in's file as Excel links it."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Water"
    sheet["A1"], sheet["B1"] = 8.0, 25.0
    for row, text in enumerate(SPELLINGS.values(), start=1):
        sheet.cell(row, 3, f"={text}")
    link = ExternalLink(externalBook=ExternalBook(id="rId1"))
    link.file_link = Relationship(type="externalLinkPath", Id="rId1", TargetMode="External",
                                  Target=r"file:///C:\Users\Some%20One\XLSTART\Pailbook.xlam")
    book._external_links.append(link)  # type: ignore[attr-defined]
    path = tmp_path / "water.xlsx"
    book.save(path)
    with zipfile.ZipFile(path) as parts:
        assert any("externalLink" in name for name in parts.namelist())
    return path


# Emerson et al. 1975, as in tests/published: pK = 0.09018 + 2729.92/T.
SHARE = 1 / (1 + 10 ** (0.09018 + 2729.92 / 298.15 - 8.0))


@pytest.mark.parametrize("text", SPELLINGS.values(), ids=SPELLINGS)
def test_the_bare_name_is_found(text: str) -> None:
    name = text.partition("(")[0] if not text.startswith("IF(") else f"[1]!{CALL}".partition("(")[0]
    assert function_name(name) == "AMMONIA_FRACTION"


def test_every_spelling_is_recalculated_and_stays_as_it_was(workbook: Path, tmp_path: Path) -> None:
    assert Workbook(workbook).calls_functions
    copy = tmp_path / "copy.xlsx"
    assert not recalc(workbook, copy).problems
    values = openpyxl.load_workbook(copy, data_only=True)["Water"]
    texts = openpyxl.load_workbook(copy)["Water"]
    for row, (kind, text) in enumerate(SPELLINGS.items(), start=1):
        assert values.cell(row, 3).value == pytest.approx(SHARE, abs=1e-4 if kind == "within others" else 1e-12), kind
        assert texts.cell(row, 3).value == f"={text}"


def test_no_spelling_and_no_link_is_left_in_the_clients_copy(workbook: Path, tmp_path: Path) -> None:
    copy = tmp_path / "client.xlsx"
    assert not share(workbook, copy).differences
    with zipfile.ZipFile(copy) as parts:
        assert not any("externalLink" in name for name in parts.namelist())
        sheet = parts.read("xl/worksheets/sheet1.xml").decode("utf-8").casefold()
    for leftover in ("ammonia_fraction", "xlam", "_xl", "[1]!ammonia"):
        assert leftover not in sheet
    values = openpyxl.load_workbook(copy, data_only=True)["Water"]
    for row, kind in enumerate(SPELLINGS, start=1):
        assert values.cell(row, 3).value == pytest.approx(SHARE, abs=1e-4 if kind == "within others" else 1e-12), kind
