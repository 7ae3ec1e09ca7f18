"""Files as other programs and the add-in's hosts write them: names with prefixes, links, LibreOffice's own way."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest

import calc
import pailbook
from copies import calls_in, formulas_in, in_office, links_in, off, stored
from files import MAIN, parts, rebuilt
from pailbook.formula.call_names import function_name, linked_book, may_call
from test_share_formulas import ARRAYS, FORMULAS, TESTS, shared, values_of, workbook

RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
EXPECTED = pytest.approx(pailbook.ammonia_fraction(7.1, 24.0), rel=1e-12)


@pytest.mark.parametrize("spelt", [
    "AMMONIA_FRACTION", "ammonia_fraction", "Ammonia_Fraction", "_xll.AMMONIA_FRACTION", "_xludf.AMMONIA_FRACTION",
    "_xldudf_AMMONIA_FRACTION", "_xlfn.AMMONIA_FRACTION", "_xlfn._xludf.AMMONIA_FRACTION",
    r"'C:\\Users\\A B\\pailbook.xlam'!AMMONIA_FRACTION", "[1]!AMMONIA_FRACTION", "'[2]'!ammonia_fraction",
    "@AMMONIA_FRACTION", "COM.EXAMPLE.PAILBOOK.FUNCTIONS.AMMONIA_FRACTION", "org.pailbook.ammonia_fraction",
])
def test_every_spelling_is_the_same_function(tmp_path: Path, spelt: str) -> None:
    assert function_name(spelt) == "AMMONIA_FRACTION"
    assert may_call(f"1+{spelt}(A1,B1)")
    copy, done = shared(workbook(tmp_path / "own.xlsx", {"one": f"{spelt}(A1,B1)"}))
    assert done.done.found.replaced == 1
    assert not calls_in(copy)
    assert not links_in(copy)
    assert stored(copy)[TESTS, "J1"] == EXPECTED


@pytest.mark.parametrize("spelt", ["MY_AMMONIA_FRACTION", "AMMONIA_FRACTIONS", "other.AMMONIA_FRACTION", "SUM"])
def test_what_only_looks_like_it_is_another(spelt: str) -> None:
    assert function_name(spelt) != "AMMONIA_FRACTION"
    assert not may_call(f"{spelt}(A1,B1)")


def test_the_number_of_a_linked_file() -> None:
    assert linked_book("[12]!AMMONIA_FRACTION(") == linked_book("'[12]'!X(") == linked_book("[12]Sheet1!A1") == 12
    assert linked_book("Table1[2]") is linked_book("SUM(") is None


def _linked(path: Path, target: Path, files: list[str], functions: tuple[str, ...] = ()) -> Path:
    """The workbook with links to those files, in that order; the first is said to hold these functions."""
    old = parts(path)
    workbook_part = old["xl/workbook.xml"].decode()
    references = "".join(f'<externalReference r:id="rIdLink{i}"/>' for i in range(1, len(files) + 1))
    workbook_part = workbook_part.replace("<workbook ", f'<workbook xmlns:r="{RELATIONS}" ', 1).replace(
        "</sheets>", f"</sheets><externalReferences>{references}</externalReferences>")
    relations, types = old["xl/_rels/workbook.xml.rels"].decode(), old["[Content_Types].xml"].decode()
    changes = {"xl/workbook.xml": workbook_part.encode()}
    for i, file in enumerate(files, 1):
        relations = relations.replace("</Relationships>", (
            f'<Relationship Id="rIdLink{i}" Type="{RELATIONS}/externalLink" '
            f'Target="externalLinks/externalLink{i}.xml"/></Relationships>'))
        types = types.replace("</Types>", (
            f'<Override PartName="/xl/externalLinks/externalLink{i}.xml" ContentType="application/vnd.openxmlformats-'
            'officedocument.spreadsheetml.externalLink+xml"/></Types>'))
        names = "".join(f'<definedName name="{name}"/>' for name in functions if i == 1)
        changes[f"xl/externalLinks/externalLink{i}.xml"] = (
            f'<externalLink xmlns="{MAIN}"><externalBook xmlns:r="{RELATIONS}" r:id="rId1"><sheetNames>'
            f'<sheetName val="Prices"/></sheetNames><definedNames>{names}</definedNames></externalBook></externalLink>'
        ).encode()
        changes[f"xl/externalLinks/_rels/externalLink{i}.xml.rels"] = (
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship '
            f'Id="rId1" Type="{RELATIONS}/externalLinkPath" Target="{file}" TargetMode="External"/></Relationships>'
        ).encode()
    changes["xl/_rels/workbook.xml.rels"], changes["[Content_Types].xml"] = relations.encode(), types.encode()
    return rebuilt(path, target, changes)


def test_a_link_that_served_the_add_in_goes_with_all_that_mentions_it(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", {"one": "[1]!AMMONIA_FRACTION(A1,B1)"})
    linked = _linked(own, tmp_path / "linked.xlsx", [r"file:///C:\Users\A%20B\pailbook.xlam"], ("AMMONIA_FRACTION",))
    copy, done = shared(linked)
    assert done.done.notes == ("the link to pailbook.xlam was taken out: nothing uses it now",)
    assert not links_in(copy)
    assert not [name for name, content in parts(copy).items() if b"external" in content.lower()]
    assert stored(copy)[TESTS, "J1"] == EXPECTED


def test_other_links_stay_and_keep_their_meaning(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", {
        "one": "[1]!AMMONIA_FRACTION(A1,B1)", "two": "[2]Prices!$A$1*'[3]Pri ces'!B2", "three": '"[2]Prices!A1"&A1'})
    linked = _linked(own, tmp_path / "linked.xlsx", ["pailbook.xlam", "prices.xlsx", "other.xlsx"])
    copy, done = shared(linked)
    assert done.done.notes == (
        "the link to pailbook.xlam was taken out: nothing uses it now",
        "the link to prices.xlsx stays: other formulas of the workbook use it",
        "the link to other.xlsx stays: other formulas of the workbook use it")
    assert "[1]Prices!$A$1*'[2]Pri ces'!B2" in formulas_in(copy)
    assert '"[2]Prices!A1"&A1' in formulas_in(copy)
    left = parts(copy)
    assert left["xl/externalLinks/externalLink2.xml"] == parts(linked)["xl/externalLinks/externalLink2.xml"]
    assert left["xl/workbook.xml"].count(b"<externalReference ") == 2
    assert openpyxl.load_workbook(copy)._external_links[0].file_link.Target == "prices.xlsx"  # type: ignore[attr-defined]


def test_an_add_in_that_other_formulas_use_stays(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", {"one": "[1]!AMMONIA_FRACTION(A1,B1)", "two": "[1]!SOMETHING_ELSE(A1)"})
    copy, done = shared(_linked(own, tmp_path / "linked.xlsx", ["tools.xlam"]))
    assert done.done.notes == ("the link to tools.xlam stays: other formulas of the workbook use it",)
    assert "[1]!SOMETHING_ELSE(A1)" in formulas_in(copy)


@pytest.mark.libreoffice
def test_a_workbook_that_libreoffice_saved(tmp_path: Path) -> None:
    """Saved without the functions: LibreOffice keeps the calls, in lower case, and stores #NAME? for them."""
    calc.needed()
    own = workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS)
    saved = calc.convert(own, "xlsx", tmp_path / "saved")
    assert stored(saved)[TESTS, "J1"] == "#NAME?"
    assert any("ammonia_fraction(" in text for text in formulas_in(saved))
    copy, done = shared(saved)
    assert not done.done.found.frozen
    assert not calls_in(copy)
    assert off(values_of(own), stored(copy)) == []
    assert off(values_of(own), in_office(copy)) == []


def test_a_file_whose_elements_carry_a_prefix(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", FORMULAS, ARRAYS)
    old = parts(own)
    prefixed = {
        name: re.sub(rb"<(/?)([A-Za-z])", rb"<\1x:\2", old[name]).replace(b"xmlns=", b"xmlns:x=")
        for name in ("xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/styles.xml")
    }
    copy, done = shared(rebuilt(own, tmp_path / "prefixed.xlsx", prefixed))
    assert not done.done.found.frozen
    assert not calls_in(copy)
    assert off(values_of(own), stored(copy)) == []
