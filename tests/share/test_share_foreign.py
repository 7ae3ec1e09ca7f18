"""What the project did not make: pictures, charts, sparklines, slicers, comments, macros. They stay, or are listed.

The workbooks are XlsxWriter's; what it cannot write is put into their files by hand.
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest
import xlsxwriter

import calc
import pailbook
from copies import calls_in, formulas_in, stored
from files import MAIN, parts, rebuilt
from pailbook.hosts.areas import unquoted
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.columns import quoted
from pailbook.workbook.share.share import share
from test_share_formulas import shared

pytestmark = pytest.mark.filterwarnings("ignore:.*extension is not supported:UserWarning")  # by openpyxl, which reads

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
THREADED = "http://schemas.microsoft.com/office/2017/10/relationships"
SLICERS = "http://schemas.microsoft.com/office/2007/relationships"
# Parts that list the sheets and styles, or hold cells with formulas. All others must not change.
OURS = {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "docProps/app.xml", "xl/styles.xml",
        "xl/worksheets/sheet1.xml"}


def _picture() -> bytes:
    """A red dot, as .png."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0)) + chunk(
        b"IDAT", zlib.compress(b"\0\xff\0\0")) + chunk(b"IEND", b"")


def _foreign(path: Path, picture: Path, macros: Path | None = None) -> Path:
    """A workbook with all that XlsxWriter can write beside cells."""
    book = xlsxwriter.Workbook(str(path))
    sheet, other = book.add_worksheet("Water"), book.add_worksheet("Notes")
    bold = book.add_format({"bold": True, "bg_color": "#DDEEFF"})
    sheet.write_row("A1", ["pH", "temperature", "share"], bold)
    for row in range(1, 8):
        sheet.write_row(row, 0, [7 + row / 10, 18.0 + row])
        sheet.write_formula(row, 2, f"=AMMONIA_FRACTION(A{row + 1},B{row + 1})", bold)
    picture.write_bytes(_picture())
    sheet.insert_image("E2", str(picture))
    sheet.insert_textbox("E8", "AMMONIA_FRACTION(A1,B1) is explained here")
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Water!$C$2:$C$8", "categories": "=Water!$A$2:$A$8"})
    sheet.insert_chart("E12", chart)
    sheet.add_sparkline("D2", {"range": "Water!A2:C2"})
    sheet.conditional_format("C2:C8", {"type": "data_bar", "data_bar_2010": True})
    sheet.conditional_format("A2:A8", {"type": "icon_set", "icon_style": "3_traffic_lights"})
    sheet.data_validation("A2:A8", {"validate": "decimal", "criteria": "between", "minimum": 4, "maximum": 11})
    sheet.write_comment("A1", "read in the morning")
    sheet.add_table("G1:H3", {"name": "Kits", "columns": [{"header": "kit"}, {"header": "resolution"}]})
    sheet.freeze_panes(1, 0)
    sheet.write_rich_string("A10", "some ", bold, "bold", " words")
    other.write("A1", "no formula here")
    other.write_dynamic_array_formula("B1", "=_xlfn.SEQUENCE(3)", None, 1)
    book.define_name("share_now", "=Water!$C$8")
    book.set_properties({"title": "Water", "author": "a keeper"})
    if macros:
        macros.write_bytes(b"\xd0\xcf\x11\xe0 macros would be here")
        book.add_vba_project(str(macros))
    book.close()
    return path


def _related(content: bytes, kind: str, target: str, number: str) -> bytes:
    return content.replace(b"</Relationships>", (
        f'<Relationship Id="{number}" Type="{kind}" Target="{target}"/></Relationships>').encode())


def _grafted(path: Path, target: Path) -> Path:
    """The workbook with a slicer and a threaded comment, as current programs write them."""
    old = parts(path)
    sheet_rels, book_rels = "xl/worksheets/_rels/sheet1.xml.rels", "xl/_rels/workbook.xml.rels"
    slicer = '<slicers xmlns="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"><slicer name="Kit" ' \
             'cache="Slicer_Kit" caption="Kit" rowHeight="241300"/></slicers>'
    cache = '<slicerCacheDefinition xmlns="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" ' \
            'name="Slicer_Kit" sourceName="kit"/>'
    thread = '<ThreadedComments xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">' \
             '<threadedComment ref="B1" personId="{1}" id="{2}"><text>who read it?</text></threadedComment>' \
             "</ThreadedComments>"
    people = '<personList xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">' \
             '<person displayName="a keeper" id="{1}" userId="keeper" providerId="None"/></personList>'
    rels = _related(old[sheet_rels], f"{SLICERS}/slicer", "../slicers/slicer1.xml", "rIdSlicer")
    rels = _related(rels, f"{THREADED}/threadedComment", "../threadedComments/threadedComment1.xml", "rIdThread")
    book = _related(old[book_rels], f"{SLICERS}/slicerCache", "slicerCaches/slicerCache1.xml", "rIdCache")
    book = _related(book, f"{THREADED}/person", "persons/person.xml", "rIdPerson")
    types = old["[Content_Types].xml"]
    for part, kind in (("slicers/slicer1", "slicer"), ("slicerCaches/slicerCache1", "slicerCache"),
                       ("threadedComments/threadedComment1", "threadedcomments"), ("persons/person", "person")):
        types = types.replace(b"</Types>", (f'<Override PartName="/xl/{part}.xml" ContentType='
                                            f'"application/vnd.ms-excel.{kind}+xml"/></Types>').encode())
    return rebuilt(path, target, {
        sheet_rels: rels, book_rels: book, "[Content_Types].xml": types,
        "xl/slicers/slicer1.xml": slicer.encode(), "xl/slicerCaches/slicerCache1.xml": cache.encode(),
        "xl/threadedComments/threadedComment1.xml": thread.encode(), "xl/persons/person.xml": people.encode(),
    })


def test_every_foreign_part_stays_byte_for_byte(tmp_path: Path) -> None:
    plain = _foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png")
    original = _grafted(plain, tmp_path / "grafted.xlsx")
    copy, done = shared(original)
    before, after = parts(original), parts(copy)
    assert {"xl/media/image1.png", "xl/charts/chart1.xml", "xl/comments1.xml", "xl/slicers/slicer1.xml",
            "xl/threadedComments/threadedComment1.xml", "xl/persons/person.xml", "xl/tables/table1.xml"} <= set(before)
    assert {name for name in before if after.get(name) != before[name]} <= OURS
    assert set(after) - set(before) == {"xl/worksheets/sheet3.xml"}  # about the copy
    assert not calls_in(copy)
    assert stored(copy)["Water", "C2"] == pytest.approx(pailbook.ammonia_fraction(7.1, 19.0), rel=1e-12)
    assert done.done.notes == ()
    sheet = after["xl/worksheets/sheet1.xml"]
    for kept in (b"sparkline", b"dataBar", b"iconSet", b"dataValidation", b"legacyDrawing", b"tablePart", b"<drawing"):
        assert kept in sheet
        assert sheet.count(kept) == before["xl/worksheets/sheet1.xml"].count(kept)
    for listing in ("xl/_rels/workbook.xml.rels", "[Content_Types].xml"):
        old = set(before[listing].replace(b"><", b">\n<").splitlines())
        assert not [line for line in old if line not in after[listing].replace(b"><", b">\n<").splitlines()]


@pytest.mark.libreoffice
def test_another_program_opens_it(tmp_path: Path) -> None:
    calc.needed()
    copy, _ = shared(_foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png"))
    found = calc.recalculated(copy)
    assert found["Water", "C2"] == pytest.approx(pailbook.ammonia_fraction(7.1, 19.0), rel=1e-9)
    assert found["About this copy", "A1"] == "About this copy"
    assert found["Notes", "A1"] == "no formula here"


@pytest.mark.parametrize(("title", "written"), [
    ("Water", "Water"), ("2026", "'2026'"), ("Q1", "'Q1'"), ("rc", "'rc'"), ("True", "'True'"),
    ("My tank", "'My tank'"), ("Marek's", "'Marek''s'"),
])
def test_sheets_names_are_quoted_as_spreadsheets_ask_for(title: str, written: str) -> None:
    assert quoted(title) == written
    assert unquoted(written) == title


@pytest.mark.libreoffice
def test_sheets_whose_names_read_as_something_else(tmp_path: Path) -> None:
    """A year, an address, a column's letter of another notation, a truth: references from Workings need quotes."""
    calc.needed()
    titles = ["2026", "Q1", "R", "TRUE"]
    book = xlsxwriter.Workbook(str(tmp_path / "foreign.xlsx"))
    for title in titles:
        sheet = book.add_worksheet(title)
        sheet.write_row("A1", [50.0, 25.0])
        sheet.write_formula("C1", "=PH_AERATED(A1,B1,,,77)")  # in steps
    book.close()
    found = calc.recalculated(shared(tmp_path / "foreign.xlsx")[0])
    # phreeqpython 1.6.2, phreeqc.dat, CO2(g) at 425 µatm, as in tests/published/mixing.csv
    assert [found[title, "C1"] for title in titles] == pytest.approx([8.166] * 4, abs=0.01)


def test_what_the_engine_cannot_calculate_keeps_its_value_and_is_listed(tmp_path: Path) -> None:
    original = _foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png")
    copy, done = shared(original)
    assert {(problem.sheet, problem.cell) for problem in done.unchecked} == {("Notes", "B1")}
    assert done.unknown == 1
    assert stored(copy)["Notes", "B1"] == stored(original)["Notes", "B1"] == 1


def test_a_column_of_a_table_named_by_its_heading(tmp_path: Path) -> None:
    """Current programs write it so; the engine cannot compute it, nor what hangs on it, and says so."""
    book = xlsxwriter.Workbook(str(tmp_path / "table.xlsx"))
    sheet = book.add_worksheet("Water")
    sheet.add_table("A1:C3", {"name": "Tests", "columns": [{"header": "pH"}, {"header": "warm"}, {"header": "share"}]})
    for row, (ph, warm) in enumerate([(7.2, 20.0), (7.8, 25.0)], 1):
        share_now = pailbook.ammonia_fraction(ph, warm)
        sheet.write_row(row, 0, [ph, warm])
        sheet.write_formula(row, 2, "=AMMONIA_FRACTION(Tests[[#This Row],[pH]],Tests[[#This Row],[warm]])",
                            None, share_now)
        sheet.write_formula(row, 4, f"=IFERROR(C{row + 1},0)*2", None, 2 * share_now)
        sheet.write_formula(row, 5, f"=A{row + 1}+1", None, 0)
    book.close()
    copy, done = shared(tmp_path / "table.xlsx")
    assert not calls_in(copy)
    assert done.unknown == 4
    assert done.checked == 2
    assert any("[#This Row]" in text for text in formulas_in(copy))
    found = stored(copy)
    for row, (ph, warm) in enumerate([(7.2, 20.0), (7.8, 25.0)], 2):
        assert found["Water", f"C{row}"] == pailbook.ammonia_fraction(ph, warm)
        assert found["Water", f"E{row}"] == 2 * pailbook.ammonia_fraction(ph, warm)
        assert found["Water", f"F{row}"] == ph + 1
    frozen, done = shared(tmp_path / "table.xlsx", freeze=True, overwrite=True)
    assert stored(frozen)["Water", "C2"] == pytest.approx(pailbook.ammonia_fraction(7.2, 20.0), rel=1e-12)
    assert stored(frozen)["Water", "E2"] == pytest.approx(2 * pailbook.ammonia_fraction(7.2, 20.0), rel=1e-12)


def test_macros_go_and_the_report_says_so(tmp_path: Path) -> None:
    original = _foreign(tmp_path / "foreign.xlsm", tmp_path / "dot.png", tmp_path / "macros.bin")
    copy, done = shared(original)
    before, after = parts(original), parts(copy)
    assert "xl/vbaProject.bin" in before
    assert b"macroEnabled" in before["[Content_Types].xml"]
    assert not [name for name in after if "vba" in name.lower()]
    assert not [name for name, content in after.items() if b"vbaProject" in content or b"macroEnabled" in content]
    assert done.done.notes == ("macros were taken out: a copy carries no programs",)
    assert {name for name in before if name in after and after[name] != before[name]} <= OURS


def test_a_sheet_of_macros_is_refused_with_the_reason(tmp_path: Path) -> None:
    original = _foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png")
    old = parts(original)
    rels = _related(old["xl/_rels/workbook.xml.rels"], "http://schemas.microsoft.com/office/2006/relationships/"
                    "xlMacrosheet", "macrosheets/sheet1.xml", "rIdMacros")
    path = rebuilt(original, tmp_path / "old.xlsx", {
        "xl/_rels/workbook.xml.rels": rels, "xl/macrosheets/sheet1.xml": b"<x/>"})
    with pytest.raises(WorkbookError, match=r"old\.xlsx has a sheet of old macros"):
        share(path, tmp_path / "copy.xlsx")
    assert not (tmp_path / "copy.xlsx").exists()


def test_the_order_of_computing_goes_with_the_formulas_that_it_lists(tmp_path: Path) -> None:
    original = _foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png")
    old = parts(original)
    rels = _related(old["xl/_rels/workbook.xml.rels"], f"{OFFICE}/calcChain", "calcChain.xml", "rIdChain")
    types = old["[Content_Types].xml"].replace(b"</Types>", (
        b'<Override PartName="/xl/calcChain.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        b'spreadsheetml.calcChain+xml"/></Types>'))
    chain = f'<calcChain xmlns="{MAIN}"><c r="C2" i="1"/></calcChain>'.encode()
    path = rebuilt(original, tmp_path / "chain.xlsx", {
        "xl/_rels/workbook.xml.rels": rels, "[Content_Types].xml": types, "xl/calcChain.xml": chain})
    copy, _ = shared(path)
    assert not [name for name, content in parts(copy).items() if "calcChain" in name or b"calcChain" in content]


def test_the_list_of_sheets_in_the_properties_grows(tmp_path: Path) -> None:
    copy, _ = shared(_foreign(tmp_path / "foreign.xlsx", tmp_path / "dot.png"))
    properties = parts(copy)["docProps/app.xml"].decode()
    assert "<vt:i4>3</vt:i4>" in properties
    assert properties.index("<vt:lpstr>Notes<") < properties.index("<vt:lpstr>About this copy<") < properties.index(
        "<vt:lpstr>share_now<")
