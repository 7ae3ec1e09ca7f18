"""What a person reads uses one word for one thing, and the English of its unit system."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.quantities import UNIT_SYSTEMS, US
from pailbook.workbook.builder import Book
from pailbook.workbook.templates import WORKBOOKS

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "addin" / "pailbook"
PAGES = ("README.md", "DEVELOPERS.md", "docs/functions.md", "docs/*.md", "addin/pailbook/demo/*.csv")


def _constants(path: Path) -> Iterator[tuple[int, str]]:
    """Every text of a module, its docstrings among them, with its line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.lineno, node.value


MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path.name != "terms.py")  # which holds the refused words


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_text_of_a_module_uses_a_refused_word(path: Path) -> None:
    assert not [f"line {line}: {hit}" for line, text in _constants(path) for hit in terms.refused(text)]


@pytest.mark.parametrize(
    "path", sorted({path for page in PAGES for path in ROOT.glob(page)}), ids=lambda path: path.name)
def test_no_page_uses_a_refused_word(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert not [f"line {number}: {hit}" for number, line in enumerate(lines, 1) for hit in terms.refused(line)]


def _texts(book: Book) -> Iterator[tuple[str, str]]:
    """What a person reads in a workbook, each with where it stands: titles, cells, texts within formulas, messages."""
    for sheet in book.workbook.worksheets:
        yield f"the tab {sheet.title}", sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str):
                    where, text = f"{sheet.title}!{cell.coordinate}", cell.value
                    parts = re.findall(r'"((?:[^"]|"")*)"', text) if text.startswith("=") else [text]
                    yield from ((where, part) for part in parts)
        for rule in sheet.data_validations.dataValidation:
            for text in (rule.prompt, rule.promptTitle, rule.error, rule.errorTitle, rule.formula1):
                if isinstance(text, str):
                    yield f"{sheet.title}!{rule.sqref}", text


def _built(name: str, units: str) -> Book:
    return WORKBOOKS[name](units, False).book


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("name", sorted(WORKBOOKS))
def test_no_sheet_uses_a_refused_word_or_the_other_english(name: str, units: str) -> None:
    wrong = []
    for where, text in _texts(_built(name, units)):
        wrong += [f"{where}: {hit}" for hit in terms.refused(text)]
        here = terms.american(text) if units == US else terms.international(text)
        wrong += [f"{where}: {text!r} would be {here!r} in {units} workbooks"] if here != text else []
    assert not wrong, "\n".join(wrong[:20])


def test_help_of_every_function_fits_the_wizard_and_uses_no_refused_word() -> None:
    for function in CATALOGUE.values():
        for text in (function.summary, *(argument.quantity.help for argument in function.cell_arguments)):
            assert len(text) <= 255, function.name
            assert not terms.refused(text), function.name


@pytest.mark.parametrize(("text", "say"), [
    ("fish in each bucket", "vessel"), ("TAN-N in mg/L", "total ammonia (TAN)"), ("half a kit step", "resolution"),
    ("the low end of your band", "target range"), ("falls out as scale", "precipitates"),
    ("a row a test", "one row per test"), ("no mains water", "tap water"), ("the threshold", "limit"),
    ("Do the functions answer?", "installed"), ("turn to the nearer end", "drive to whichever end is nearer"),
    ("what the log works out", "calculate"), ("a batch of fish", "cohort"),
])
def test_a_refused_word_is_found_with_what_to_say_instead(text: str, say: str) -> None:
    (hit,) = terms.refused(text)
    assert say in hit


@pytest.mark.parametrize("text", [
    "BUCKET_LOAD(60) for vessels such as buckets or drums", "loading takes ten minutes",
    "it carries the load", "a full clean-out of the sump", "the share command", "an outfall", "stepwise, in two steps",
])
def test_a_word_that_means_something_else_passes(text: str) -> None:
    assert not terms.refused(text)


def test_both_englishes_lead_back_to_each_other() -> None:
    for here, there in terms.PAIRS:
        for text in (f"Some {here} here", f"{here[0].upper()}{here[1:]}."):
            assert terms.american(text) != text
            assert terms.international(terms.american(text)) == text
        assert terms.american(there) == there
    assert terms.american("greyed, colourful, re-ionised") == "greyed, colourful, re-ionised"  # whole words alone

