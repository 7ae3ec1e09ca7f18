"""A workbook's file read and written with care: what is in it, what is wrong with it, and that nothing is lost."""

from __future__ import annotations

import io
import os
import stat
import zipfile
from pathlib import Path
from typing import Any

import pytest

from files import BASIN, MAIN, TANK, names_in, parts, rebuilt, rich_workbook, sheet_part, stored, with_rows, with_texts
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.workbook import archive
from pailbook.workbook.package import Workbook, WorkbookError, set_cells
from pailbook.workbook.recalc import load_model


@pytest.fixture
def rich(tmp_path: Path) -> Path:
    return rich_workbook(tmp_path / "rich.xlsx")


# Reading ----------------------------------------------------------------------------------------------------


def test_sheets_names_and_cells_are_found(rich: Path) -> None:
    book = Workbook(rich)
    assert list(book.sheets) == [TANK, BASIN, "Workings"]
    assert [(name.name, name.sheet, name.text) for name in book.names] == [
        ("share", None, f"'{BASIN}'!$A$1"), ("own", BASIN, f"'{BASIN}'!$B$1")]
    cells = book.contents()
    assert cells[TANK]["A2"] == 7.2
    assert cells[TANK]["A1"] == "pH"
    assert cells[TANK]["C3"] == FormulaCell("AMMONIA_FRACTION(A3,B3)")
    assert cells[BASIN]["B1"] == FormulaCell("'Reuben''s tank'!A2:A4", "B1:B3")
    assert cells["Workings"] == {}
    assert book.calls_functions


def test_every_kind_of_value_is_read(rich: Path, tmp_path: Path) -> None:
    source = with_rows(rich, tmp_path / "source.xlsx", (
        '<row r="1"><c r="A1" t="s"><v>1</v></c><c r="B1" t="s"><v>0</v></c><c r="C1" t="inlineStr"><is><r><t>a</t></r>'
        '<r><t xml:space="preserve"> b</t></r><rPh sb="0" eb="1"><t>no</t></rPh></is></c><c r="D1" t="b"><v>1</v></c>'
        '<c r="E1" t="e"><v>#DIV/0!</v></c><c r="F1"><v>1.5e3</v></c><c r="G1" t="d"><v>2026-03-02T12:00:00</v></c>'
        '<c r="H1"/><c r="I1" t="str"><f>1</f><v>x_x000D_</v></c><c r="J1" t="n"><f>1</f></c><c t="b"><v>false</v></c>'
        "</row>"
    ))
    source = with_texts(source, tmp_path / "texts.xlsx",
                        "<si><t>one</t></si><si><r><t>t</t></r><r><t>wo</t></r><rPh><t>no</t></rPh></si>")
    values = Workbook(source).stored_values()
    assert {address: value for (title, address), value in values.items() if title == TANK} == {
        "A1": "two", "B1": "one", "C1": "a b", "D1": True, "E1": ErrorValue("#DIV/0!"), "F1": 1500, "G1": 46083.5,
        "I1": "x\r", "K1": False}


def test_shared_formulas_are_written_out(rich: Path, tmp_path: Path) -> None:
    source = with_rows(rich, tmp_path / "source.xlsx", (
        '<row r="2"><c r="C2"><f t="shared" ref="C2:D4" si="0">A2*$B$1+SUM(B$1:B2)</f></c><c r="D2">'
        '<f t="shared" si="0"/></c></row>'
        '<row r="3"><c r="C3"><f t="shared" si="0"/></c><c r="D3"><f t="shared" si="0">A1</f></c></row>'
        '<row r="4"><c r="C4"><f t="shared" si="7"/></c><c r="D4"><f t="shared" ref="D4:D5" si="1">A1</f></c></row>'
    ))
    assert Workbook(source).contents()[TANK] == {
        "C2": FormulaCell("A2*$B$1+SUM(B$1:B2)"), "D2": FormulaCell("B2*$B$1+SUM(C$1:C2)"),
        "C3": FormulaCell("A3*$B$1+SUM(B$1:B3)"), "D3": FormulaCell("A1"), "C4": FormulaCell(""),
        "D4": FormulaCell("A1")}


# Writing ----------------------------------------------------------------------------------------------------


def test_nothing_is_overwritten_unasked(rich: Path, tmp_path: Path) -> None:
    target = tmp_path / "there.xlsx"
    target.write_bytes(b"a season's log")
    for path in (target, rich):
        before = path.read_bytes()
        with pytest.raises(WorkbookError, match="already exists"):
            set_cells(rich, path, {TANK: {"A2": 7}})
        assert path.read_bytes() == before
    set_cells(rich, target, {TANK: {"A2": 5.5}}, overwrite=True)
    set_cells(rich, rich, {TANK: {"A2": 5.5}}, overwrite=True)
    assert stored(rich) == stored(target)
    assert names_in(tmp_path) == ["rich.xlsx", "there.xlsx"]


def test_a_write_that_fails_leaves_everything_as_it_was(rich: Path, tmp_path: Path, monkeypatch: Any) -> None:
    before = rich.read_bytes()

    def fails(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(WorkbookError, match="cannot be written: No space left"):
        set_cells(rich, rich, {TANK: {"A2": 7}}, overwrite=True)
    assert rich.read_bytes() == before
    assert names_in(tmp_path) == ["rich.xlsx"]
    with pytest.raises(WorkbookError, match="cannot be written"):
        set_cells(rich, tmp_path / "no" / "folder.xlsx", {TANK: {"A2": 7}})


def test_permissions_comment_and_ways_of_packing_stay(rich: Path, tmp_path: Path) -> None:
    source = tmp_path / "source.xlsx"

    class OneWay(io.RawIOBase):
        """A stream without a way back: sizes then stand behind each entry instead of before it."""

        def __init__(self) -> None:
            self.data = bytearray()

        def writable(self) -> bool:
            return True

        def write(self, data: Any) -> int:
            self.data += data
            return len(data)

    stream = OneWay()
    with zipfile.ZipFile(stream, "w") as out:
        out.comment = b"a note"
        for i, (name, content) in enumerate(parts(rich).items()):
            entry = zipfile.ZipInfo(name, (1999, 12, 31, 23, 59, i * 2 % 60))
            out.writestr(entry, content, zipfile.ZIP_STORED if i % 2 else zipfile.ZIP_DEFLATED)
    source.write_bytes(b"a stub before it" + stream.data)
    source.chmod(0o640)
    set_cells(source, tmp_path / "typed.xlsx", {TANK: {"A2": 7}})
    before, after = parts(source), parts(tmp_path / "typed.xlsx")
    assert list(before) == list(after)
    assert {name for name in before if before[name] != after[name]} == {sheet_part(rich, TANK)}
    assert b"a stub before it" not in (tmp_path / "typed.xlsx").read_bytes()
    with zipfile.ZipFile(source) as one, zipfile.ZipFile(tmp_path / "typed.xlsx") as other:
        assert other.comment == b"a note"
        assert [(e.filename, e.compress_type, e.date_time) for e in one.infolist()] == [
            (e.filename, e.compress_type, e.date_time) for e in other.infolist()]
    assert stat.S_IMODE((tmp_path / "typed.xlsx").stat().st_mode) == 0o640


# Files that are not in order --------------------------------------------------------------------------------


def refused(path: Path, why: str) -> None:
    with pytest.raises(WorkbookError, match=why) as refusal:
        load_model(path)
    assert path.name in str(refusal.value)


def test_files_that_are_no_workbook(rich: Path, tmp_path: Path) -> None:
    path = tmp_path / "odd.xlsx"
    refused(path, "cannot be read: No such file")
    refused(tmp_path, "cannot be read")
    for content, why in (
        (b"", "is not an .xlsx workbook"), (b"date,ph\n", "is not an .xlsx workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "is an old .xls file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(99) + "EncryptedPackage".encode("utf-16-le"), "by a password"),
        (rich.read_bytes()[: rich.stat().st_size // 2], "is cut off or damaged"),
        (rich.read_bytes()[:-40], "is cut off or damaged"),
    ):
        path.write_bytes(content)
        refused(path, why)
    with zipfile.ZipFile(path, "w") as file:
        file.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    refused(path, "is not an .xlsx workbook")


def test_damaged_parts(rich: Path, tmp_path: Path) -> None:
    part = sheet_part(rich, TANK)
    rich = with_texts(rich, tmp_path / "texts.xlsx", "<si><t>old</t></si>")
    shares = parts(rich)[part].replace(b't="n"><v>7.2</v>', b't="s"><v>0</v>')
    rich = rebuilt(rich, tmp_path / "shares.xlsx", {part: shares})
    entity = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
    xml = parts(rich)
    for changes, why in (
        ({part: None}, "lacks the part of the sheet"), ({"xl/workbook.xml": None}, "lacks the part xl/workbook.xml"),
        ({"_rels/.rels": None}, "is not an .xlsx workbook"), ({"xl/_rels/workbook.xml.rels": None}, "lacks the part"),
        ({part: xml[part][:-30]}, "is not well-formed"), ({"xl/workbook.xml": b"<workbook"}, "is not well-formed"),
        ({part: entity + xml[part]}, "declares a document type"),
        ({"xl/workbook.xml": entity + xml["xl/workbook.xml"]}, "declares a document type"),
        ({"xl/sharedStrings.xml": entity + xml["xl/sharedStrings.xml"]}, "declares a document type"),
        ({part: xml[part].decode().encode("utf-16")}, "is not written in UTF-8"),
        ({part: b'<?xml version="1.0" encoding="latin1"?>' + xml[part]}, "is not written in UTF-8"),
        ({"xl/workbook.xml": (entity + xml["xl/workbook.xml"]).decode().encode("utf-16")}, "declares a document type"),
        ({part: b"<html/>"}, "its part is a html"),
        ({part: f'<worksheet xmlns="{MAIN}"/>'.encode()}, "no place for cells"),
        ({part: xml[part].replace(b'<row r="3"', b'<row r="1"')}, "row 1 comes after row 2"),
        ({part: xml[part].replace(b'<row r="3"', '<row r="²"'.encode())}, "row ² comes after row 2"),
        ({part: xml[part].replace(b"<sheetData>", b'<cols><col min="x" max="3"/></cols><sheetData>')}, "which columns"),
        ({part: xml[part].replace(b'r="B3"', b'r="A3"')}, "cell A3 is in the wrong place"),
        ({part: xml[part].replace(b'r="B3"', b'r="B"')}, "cell B is in the wrong place"),
        ({part: xml[part].replace(b'<mergeCell ref="A9:C9"', b'<mergeCell ref=""')}, "'' is not a range of cells"),
        ({part: xml[part].replace(b"<v>7.3</v>", b"<v>seven</v>")}, r"Reuben's tank!A3 is damaged: its value 'seven'"),
        ({part: xml[part].replace(b't="s"><v>0', b't="s"><v>99')}, "its value '99'"),
        ({"xl/workbook.xml": xml["xl/workbook.xml"].replace(b'localSheetId="1"', b'localSheetId="9"')}, "name own"),
    ):
        path = rebuilt(rich, tmp_path / "damaged.xlsx", changes)
        refused(path, why)


def test_a_flipped_byte_is_noticed(rich: Path, tmp_path: Path) -> None:
    data = bytearray(rich.read_bytes())
    with zipfile.ZipFile(rich) as file:
        entry = file.getinfo(sheet_part(rich, TANK))
    data[entry.header_offset + 30 + len(entry.filename) + entry.compress_size // 2] ^= 0xFF
    (tmp_path / "flipped.xlsx").write_bytes(data)
    refused(tmp_path / "flipped.xlsx", "is cut off or damaged in the part xl/worksheets/sheet1.xml")


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_hostile_archives(rich: Path, tmp_path: Path, monkeypatch: Any) -> None:
    for name, why in (("../evil.xml", "unsafe name"), ("/etc/evil", "unsafe name"), ("C:/evil", "unsafe name"),
                      (r"xl\..\..\evil", "unsafe name"), ("xl/workbook.xml", "2 times"),
                      ("XL/Workbook.xml", "2 times")):
        path = tmp_path / "hostile.xlsx"
        path.write_bytes(rich.read_bytes())
        with zipfile.ZipFile(path, "a") as file:
            file.writestr(name, b"x")
        refused(path, why)
    monkeypatch.setattr(archive, "MODEST_SIZE", 1 << 20)
    bomb = rebuilt(rich, tmp_path / "bomb.xlsx", {"xl/media/image.bin": bytes(1 << 24)})
    refused(bomb, "would unpack to 16 MB")
    monkeypatch.setattr(archive, "MAX_RATIO", 10**6)
    Workbook(bomb)
    monkeypatch.setattr(archive, "MAX_SIZE", 1 << 22)
    refused(bomb, "would unpack to 16 MB")


def test_a_locked_entry_is_not_called_damaged(rich: Path, tmp_path: Path) -> None:
    data = bytearray(rich.read_bytes())
    directory = data.index(b"PK\x01\x02")
    data[directory + 8] |= 1
    (tmp_path / "locked.xlsx").write_bytes(data)
    refused(tmp_path / "locked.xlsx", "is protected by a password")
