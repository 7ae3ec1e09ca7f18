"""The function guide: nothing of the catalogue is missing from it, and its examples are live and right."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

import calc
import pailbook.cli  # noqa: F401 - enters the commands
from locks import check_protection
from pailbook.commands.app import app
from pailbook.function import CATALOGUE
from pailbook.quantities import UNIT_SYSTEMS, US
from pailbook.terms import american
from pailbook.workbook.builder import Book
from pailbook.workbook.function_guide.build import function_guide
from pailbook.workbook.function_guide.markdown import markdown
from pailbook.workbook.function_guide.pages import AGREES, Block
from pailbook.workbook.function_guide.words import need
from pailbook.workbook.recalc import load_model, recalc
from paper import check_texts_find_room
from thorough import first

DOCUMENT = Path(__file__).parents[2] / "docs" / "functions.md"
each_unit_system = pytest.mark.parametrize("units", UNIT_SYSTEMS)


@cache
def guide(units: str, plain: bool = False) -> tuple[Book, dict[str, Block]]:
    made = function_guide(units, plain)
    return made.book, dict(made.blocks)


@cache
def values(units: str, plain: bool) -> dict[tuple[str, str], Any]:
    with tempfile.TemporaryDirectory() as folder:
        found = recalc(guide(units, plain)[0].save(Path(folder) / "guide.xlsx"))
    assert not found.problems
    return dict(found.values)


def sheet_of(book: Book, block: Block) -> Worksheet:
    return book.workbook[block.sheet]


@each_unit_system
def test_every_function_is_in_it_with_its_arguments_and_sources(units: str) -> None:
    book, blocks = guide(units)
    assert set(blocks) == set(CATALOGUE)
    for name, function in CATALOGUE.items():
        block = blocks[name]
        assert block.sheet == function.category
        sheet = sheet_of(book, block)
        first, last = int(block.heading[1:]), int(block.printed[1:]) + 2
        texts = [str(cell.value) for row in sheet.iter_rows(first, last) for cell in row if cell.value is not None]
        summary = american(function.summary) if units == US else function.summary
        assert texts[:2] == [function.signature, summary]
        for argument in function.arguments:
            assert argument.name in texts, (name, argument.name)
            unit = argument.quantity.us_unit if units == US and argument.quantity.us_unit else argument.quantity.unit
            assert not unit or unit in texts, (name, unit)
        for citation in function.source:
            assert any(citation.work.reference in text for text in texts), (name, citation)


@each_unit_system
def test_every_text_finds_room(units: str) -> None:
    for sheet in guide(units)[0].workbook.worksheets:
        check_texts_find_room(sheet)


@each_unit_system
def test_contents_lead_to_every_function(units: str) -> None:
    book, blocks = guide(units)
    targets = {
        cell.value: cell.hyperlink.location
        for row in book.workbook["Contents"].iter_rows() for cell in row if cell.hyperlink is not None
    }
    for name, block in blocks.items():
        sheet, address = str(targets[name]).rsplit("!", 1)
        assert (sheet.strip("'"), address) == (block.sheet, block.heading)


@pytest.mark.parametrize(
    ("units", "plain"), first([(units, plain) for units in UNIT_SYSTEMS for plain in (False, True)], 3))
def test_live_examples_give_the_printed_values(units: str, plain: bool) -> None:
    book, blocks = guide(units, plain)
    found = values(units, plain)
    for name, block in blocks.items():
        printed = sheet_of(book, block)[block.printed].value
        live = found[block.sheet, block.live]
        assert live == (printed if isinstance(printed, str) else pytest.approx(printed, rel=1e-5)), name
        assert found[block.sheet, block.agrees] == AGREES, name


@each_unit_system
def test_an_example_without_its_first_input_gives_nothing(units: str) -> None:
    book, blocks = guide(units)
    blanks: dict[tuple[str, str], Any] = {}
    for block in blocks.values():
        sheet, row = sheet_of(book, block), int(block.heading[1:])
        while sheet[f"A{row}"].value != "Argument":
            row += 1
        for column in range(6, sheet.max_column + 1):
            if sheet.cell(row + 1, column).value is not None:
                blanks[block.sheet, sheet.cell(row + 1, column).coordinate] = None
    with tempfile.TemporaryDirectory() as folder:
        model = load_model(book.save(Path(folder) / "guide.xlsx"))
    found = model.calculate(blanks).values
    for name, block in blocks.items():
        assert found[block.sheet, block.live] == "", name
        assert found[block.sheet, block.agrees] == "", name


@pytest.mark.libreoffice
@pytest.mark.parametrize("units", first(UNIT_SYSTEMS))
def test_another_program_gives_the_printed_values_too(units: str) -> None:
    calc.needed()
    book, blocks = guide(units, True)
    with tempfile.TemporaryDirectory() as folder:
        found = calc.recalculated(book.save(Path(folder) / "guide.xlsx"))
    wrong = {name: found.get((block.sheet, block.live)) for name, block in blocks.items()
             if found.get((block.sheet, block.agrees)) != AGREES}
    assert wrong == {}
    for name, block in blocks.items():
        printed = found[block.sheet, block.printed]
        live = found[block.sheet, block.live]
        assert live == (printed if isinstance(printed, str) else pytest.approx(printed, rel=1e-5)), name


def test_a_plain_formula_is_shown_as_text_and_not_computed() -> None:
    book, blocks = guide("metric")
    block = blocks["VESSEL_DENSITY"]
    cell = sheet_of(book, block)[f"B{int(block.printed[1:]) + 2}"]
    assert str(cell.value).startswith("=IF(COUNT(")
    assert cell.data_type == "s"


def test_the_plain_form_is_the_one_of_the_guides_unit_system() -> None:
    """70 fish of 85 g in 1600 L are 3.72 kg/m³; of 2.998 oz in 422.7 US gal, as in its boxes, 0.031 lb/US gal."""
    for units, expected in (("metric", 70 * 85 / 1600), ("us", 70 * 2.998 / 16 / 422.7)):
        book, blocks = guide(units)
        block = blocks["STOCKING_DENSITY"]
        with tempfile.TemporaryDirectory() as folder:
            path = book.save(Path(folder) / "guide.xlsx")
            workbook = load_workbook(path)
            sheet = workbook[block.sheet]
            sheet[block.live].value = str(sheet[f"B{int(block.printed[1:]) + 2}"].value)
            workbook.save(path)
            found = recalc(path)
        assert found.values[block.sheet, block.live] == pytest.approx(expected, rel=1e-6)


def test_what_leaving_out_means_is_said_once() -> None:
    """No "optional; if left out: 0 g/m²" beside "if left out, the middle of the crop's range"."""
    for function in CATALOGUE.values():
        for argument in function.cell_arguments:
            if "left out" in argument.quantity.help:
                assert need(argument) == "optional", (function.name, argument.name)


def test_the_document_is_current() -> None:
    """Made anew by: pailbook functions --markdown -o docs/functions.md --overwrite."""
    assert DOCUMENT.read_text(encoding="utf-8") == markdown()


def test_the_document_has_every_function_with_its_arguments() -> None:
    parts = markdown().split("\n### ")[1:]
    assert [part.split("\n")[0] for part in parts] == sorted(CATALOGUE, key=[p.split("\n")[0] for p in parts].index)
    for part in parts:
        function = CATALOGUE[part.split("\n")[0]]
        assert function.signature in part
        rows = [line for line in part.splitlines() if line.startswith("| `")]
        assert [row.split("`")[1] for row in rows] == [argument.name for argument in function.cell_arguments]
        assert len({row.replace(r"\|", "").count("|") for row in rows}) == 1


def test_the_command_writes_the_document_and_replaces_nothing_unasked(tmp_path: Path) -> None:
    target = tmp_path / "functions.md"
    runner = CliRunner()
    assert runner.invoke(app, ["functions", "--markdown", "-o", str(target)]).exit_code == 0
    assert target.read_text(encoding="utf-8") == markdown()
    target.write_text("mine", encoding="utf-8")
    refused = runner.invoke(app, ["functions", "--markdown", "-o", str(target)])
    assert refused.exit_code != 0
    assert "already exists" in str(refused.exception)
    assert target.read_text(encoding="utf-8") == "mine"
    assert runner.invoke(app, ["functions", "VESSEL_DENSITY", "--markdown"]).exit_code != 0


@each_unit_system
def test_only_the_examples_inputs_may_be_typed_into_and_each_has_its_rule(units: str) -> None:
    book, blocks = guide(units)
    for title in {block.sheet for block in blocks.values()}:
        sheet = book.workbook[title]
        assert check_protection(sheet)
