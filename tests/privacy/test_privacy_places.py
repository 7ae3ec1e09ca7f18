"""Words of other clients are gone from every kind of place; what is the client's stays."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import openpyxl
import pytest

import calc
from client_logs import BEDS, KEPT, OTHERS, TANK, left_over, parts
from files import sheet_part
from pailbook.workbook.package import Workbook
from pailbook.workbook.privacy import Removed, keep_client
from pailbook.workbook.recalc import own_cells, recalc
from planted import NOTES, planted_log

# Parts of the planted file that hold others' words, so that the search after it is one for something that was there.
PLANTED = (
    "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml", "docProps/core.xml", "docProps/app.xml",
    "docProps/custom.xml", "docProps/thumbnail.jpeg", "customXml/item1.xml", "xl/persons/person.xml",
    "xl/threadedComments/threadedComment1.xml", "xl/printerSettings/printerSettings1.bin", "xl/connections.xml",
    "xl/revisions/revisionHeaders.xml", "xl/revisions/userNames.xml", "xl/strange.xml", "xl/vbaProject.bin",
    "xl/externalLinks/externalLink1.xml", "xl/externalLinks/_rels/externalLink1.xml.rels",
    "xl/queryTables/queryTable1.xml", "xl/pivotCache/pivotCacheDefinition1.xml", "xl/pivotTables/pivotTable1.xml",
    "xl/pivotCache/pivotCacheRecords1.xml", "xl/media/quillon-wall.png", "xl/media/image2.emf",
)
PLANTED_KINDS = ("xl/worksheets/sheet", "xl/charts/chart", "xl/drawings/drawing", "xl/tables/table", "xl/comments")


class Copy(NamedTuple):
    """The planted log and what became of it."""

    source: Path
    path: Path
    removed: Removed


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    folder = tmp_path_factory.mktemp("planted")
    source = planted_log(folder)
    return Copy(source, folder / "copy.xlsx", keep_client(source, folder / "copy.xlsx", KEPT))


def test_no_byte_of_another_clients_words_is_left(copy: Copy) -> None:
    before = left_over(copy.source)
    assert set(PLANTED) <= set(before)
    for kind in PLANTED_KINDS:
        assert any(name.startswith(kind) for name in before), kind
    more = ("quillon.example", "Тихая", "Заводь", "静水", "zinnia", "private remark on number 1", "kestrel", "egret")
    assert not left_over(copy.path, (*OTHERS, *more))


def test_a_part_of_a_name_is_pointed_out(copy: Copy) -> None:
    assert openpyxl.load_workbook(copy.path)[NOTES]["N2"].value == "the Quillons"
    [line] = [line for line in copy.removed if line.startswith("read these cells before you send")]
    assert set(line.rpartition(": ")[2].split(", ")) == {f"{NOTES}!{cell}" for cell in ("N2", "P1", "P2", "Q1", "Q2")}


def test_no_number_of_another_client_is_left(copy: Copy) -> None:
    numbers = [f"47{number}" for number in range(11, 21)]
    found = {name: [number for number in numbers if re.search(rf">{number}<|\"{number}\"".encode(), data)]
             for name, data in parts(copy.source).items()}
    assert sorted({number for some in found.values() for number in some}) == numbers
    for name, data in parts(copy.path).items():
        assert not [number for number in numbers if re.search(rf">{number}<|\"{number}\"".encode(), data)], name


def test_what_is_the_clients_stays(copy: Copy) -> None:
    notes = openpyxl.load_workbook(copy.path)[NOTES]
    stays = {"A1": "Tank", "A3": BEDS, "B3": "Bittern pump", "C3": 55, "E1": BEDS, "E2": 31, "E3": 32,
             "I1": "Month", "A10": "='Water tests'!$E$5", "A14": None, "A13": "=Overview!$A$5",
             "A15": "='Kept back'!$B$3*2", "A16": "kept remark", "A17": "=SUM(rate_in_use)", "A62": "plain text",
             "B70": 8, "Q1": "wall", "P2": "Quillon", "Q2": "wall of the house",
             "C70": "=AMMONIA_FRACTION(7,20)", "D70": "=BUCKET_LOAD(20)", "N1": 3}
    assert {place: notes[place].value for place in stays} == stays
    gone = ("A2", "B2", "C2", "A4", "A7", "A8", "A9", "A11", "F1", "F2", "F3", "H1", "H2", "A60", "A64", "A70", "A81")
    assert {place: notes[place].value for place in gone} == dict.fromkeys(gone)
    texts = " ".join(data.decode() for name, data in parts(copy.path).items() if "drawing" in name)
    assert "a harmless line" in texts
    assert "photo" not in texts


def test_rules_lists_and_headers(copy: Copy) -> None:
    notes = openpyxl.load_workbook(copy.path)[NOTES]
    [rule] = notes.data_validations.dataValidation
    assert rule.formula1 == f'"{BEDS}"'
    assert not rule.prompt
    assert not list(notes.conditional_formatting)
    assert notes.oddHeader is not None
    assert notes.oddFooter is not None
    assert not notes.oddHeader.left.text
    assert notes.oddFooter.center.text == "&P of &N"
    assert notes["N1"].number_format == "General"
    assert list(notes.tables) == ["Pumps"]


def test_sheets_and_names(copy: Copy) -> None:
    book = openpyxl.load_workbook(copy.path)
    before = openpyxl.load_workbook(copy.source.with_name("planted.xlsx"))  # as the library can read it
    dropped = {"Secret", "Top secret", "About Quillon wall"}
    assert book.sheetnames == [title for title in before.sheetnames if title not in dropped]
    assert book["Kept back"].sheet_state == "hidden"
    assert book["Kept back"]["B3"].value == 21
    assert set(copy.removed.sheets) == dropped
    gone = {"Quillon_wall_share", "old_text", "_hidden_one", "row_of_other"}
    assert set(book.defined_names) == set(before.defined_names) - gone
    assert book.defined_names["my_beds"].attr_text == "'Water tests'!$E$5"
    assert not any(name.comment for name in book.defined_names.values())
    for sheet in book.worksheets:
        assert sheet.print_area == before[sheet.title].print_area


def test_kinds_of_parts_that_are_left(copy: Copy) -> None:
    kept = {re.sub(r"\d+(?=\.\w+(\.rels)?$)", "", name) for name in parts(copy.path)}
    assert kept == {
        "[Content_Types].xml", "_rels/.rels", "docProps/core.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels",
        "xl/styles.xml", "xl/theme/theme.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet.xml",
        "xl/worksheets/_rels/sheet.xml.rels", "xl/drawings/drawing.xml", "xl/drawings/_rels/drawing.xml.rels",
        "xl/charts/chart.xml", "xl/tables/table.xml", "xl/media/part.png",
    }
    book = Workbook(copy.path)
    everything = set(book.part_names)
    for name in everything:
        if not name.endswith(".rels") and name != "[Content_Types].xml":
            folder, _, last = name.rpartition("/")
            if f"{folder}/_rels/{last}.rels" in everything:
                assert {part for _, part in book.related(name).values()} <= everything


def test_every_reference_to_a_relation_has_one(copy: Copy) -> None:
    book = Workbook(copy.path)
    for name in book.part_names:
        if name.endswith(".xml") and name.startswith("xl/"):
            folder, _, last = name.rpartition("/")
            known = set(book.related(name)) if f"{folder}/_rels/{last}.rels" in book else set()
            used = {value for element in book.xml(name).iter("{*}*") for key, value in element.attrib.items()
                    if "officeDocument/2006/relationships}" in key}
            assert used <= known, name


def test_the_report_lists_what_was_taken_out(copy: Copy) -> None:
    text = str(copy.removed)
    for words in (
        KEPT, BEDS, TANK, "Systems: 4 rows", "Water tests: 16 rows", "comments", "threaded comments",
        "printer settings", "links to other workbooks", "custom XML", "pivot caches", "document properties",
        "revision logs", "macros",
        "data connections", "3 sheets taken out", "an unknown kind (strangeThing)", "scenarios", "check the pictures",
        f"{NOTES}!A7", f"{NOTES}!A9", "words in drop-down lists", "headers and footers", "the preview picture",
    ):
        assert words in text, words
    assert list(copy.removed) == text.splitlines()


def test_it_recalculates_without_new_problems(copy: Copy) -> None:
    before, after = recalc(copy.source), recalc(copy.path)
    places = {(problem.sheet, problem.cell) for problem in before.problems}
    assert {(problem.sheet, problem.cell) for problem in after.problems} <= places
    assert after.values[NOTES, "A13"] == BEDS
    assert after.values[NOTES, "A15"] == 42


@pytest.mark.libreoffice
def test_libreoffice_reads_the_copy(copy: Copy) -> None:
    calc.needed()
    found = calc.recalculated(copy.path)
    assert found["Overview", "A5"] == BEDS
    assert found["Overview", "A6"] == TANK
    assert ("Overview", "A7") not in found or found["Overview", "A7"] in ("", None)
    assert found[own_cells(Workbook(copy.path))["fish_on_hand"]] == 2 * 60 - 6
    assert found[NOTES, "A15"] == 42


def test_the_source_is_as_it_was(copy: Copy) -> None:
    assert sheet_part(copy.source, NOTES)
    assert "xl/vbaProject.bin" in parts(copy.source)
