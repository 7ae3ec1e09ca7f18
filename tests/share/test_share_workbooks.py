"""Every workbook of the project shared: the copy says what the original says, in any program, and calls nothing."""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import coordinate_to_tuple

import calc
import filled
import moves
import plans
from copies import Values, calls_in, defined, in_office, links_in, off, stored
from pailbook.quantities import US
from pailbook.workbook.contents import Workbook
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.front import NONE_NEEDED
from pailbook.workbook.recalc import load_model, own_cells
from pailbook.workbook.share.question import ANSWER
from pailbook.workbook.share.share import Shared, share
from thorough import first

ROOT = Path(__file__).parents[2]
BUILT = {path.stem: path for folder in ("workbook_templates", "demo_workbooks")
         for path in sorted((ROOT / folder).glob("*.xlsx"))
         if not path.stem.endswith(("-plain", "-copy", "-report"))}  # which call nothing
FILLED = ("farm log", "move plan", "dosing plan")  # in US units, by the tests
CASES = [
    pytest.param(name, marks=() if name == FILLED[0] else pytest.mark.long) for name in (*BUILT, *FILLED)
]
WITH_READINGS = [case for case in CASES if case.values[0] not in BUILT or "demo" in str(BUILT[str(case.values[0])])]


@dataclass(frozen=True)
class Case:
    original: Path
    copy: Path
    shared: Shared
    values: Values  # of the original, but for what it asks about the functions


@cache
def _folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="share-")


@cache
def _case(name: str) -> Case:
    folder = Path(_folder().name)
    original = BUILT.get(name) or _filled(name, folder / f"{name}.xlsx")
    copy = folder / f"{name} for a client.xlsx"
    values = load_model(original).calculate().values
    return Case(original, copy, share(original, copy),
                {place: value for place, value in values.items() if place not in asked(original)})


def asked(path: Path) -> tuple[tuple[str, str], ...]:
    """The cell that says whether the functions are installed, and the note beside it, which a copy answers itself."""
    title, address = own_cells(Workbook(path))[ANSWER]
    row, column = coordinate_to_tuple(address)
    return (title, address), (title, f"{get_column_letter(column + 1)}{row}")


def _filled(name: str, path: Path) -> Path:
    if name == "farm log":
        return filled.filled(US, False, 40).book.save(path)
    if name == "move plan":
        return moves.filled(moves.DEMO, US, moves.DEMO_READINGS).book.save(path)
    book = dosing_plan(US, False, plans.ROWS, 28).book
    for (sheet, address), value in plans.everything(US).items():
        book.workbook[sheet][address].value = value
    return book.save(path)


@pytest.mark.parametrize("name", CASES)
def test_the_copy_calls_nothing_and_links_to_nothing(name: str) -> None:
    case = _case(name)
    assert calls_in(case.original)
    assert not calls_in(case.copy)
    assert not links_in(case.copy)
    assert case.shared.done.found.replaced >= (80 if "guide" in name else 250)  # which has an example a function
    assert not case.shared.done.found.frozen
    assert not case.shared.done.elsewhere.dropped


@pytest.mark.parametrize("name", CASES)
def test_the_copy_carries_the_originals_values_under_its_names(name: str) -> None:
    case = _case(name)
    assert not case.shared.differences
    assert not case.shared.unchecked
    assert case.shared.checked == len(case.values)
    assert off(case.values, stored(case.copy)) == []
    assert defined(case.copy) == defined(case.original)


@pytest.mark.parametrize("name", CASES)
def test_the_copy_says_that_no_add_in_is_needed(name: str) -> None:
    case = _case(name)
    (title, answer), (_, note) = asked(case.original)
    sheet = openpyxl.load_workbook(case.copy)[title]
    assert sheet[answer].value == NONE_NEEDED
    assert sheet[note].value is None
    assert any(answer in str(area) and note in area for area in sheet.merged_cells.ranges)
    shown = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert not [text for text in shown if "pailbook install" in text]


@pytest.mark.long
@pytest.mark.parametrize("name", WITH_READINGS)
def test_the_reference_engine_gives_the_originals_values(name: str) -> None:
    case = _case(name)
    assert off(case.values, load_model(case.copy, "reference").calculate().values) == []


@pytest.mark.libreoffice
@pytest.mark.parametrize("name", WITH_READINGS)
def test_another_program_gives_the_originals_values(name: str) -> None:
    """Known failure 17: a workbook sent to a client that shows #NAME?."""
    calc.needed()
    case = _case(name)
    found = in_office(case.copy)
    assert "#NAME?" not in {str(value) for value in found.values()}
    assert off(case.values, found) == []


@pytest.mark.parametrize("name", first(FILLED))
def test_what_is_filled_in_counts(name: str) -> None:
    """The copy is alive: another input, another result, the same as in the original."""
    case = _case(name)
    inputs = {place: value for place, value in _numbers(case).items() if isinstance(value, float)}
    changed = {place: value * 1.01 for place, value in list(inputs.items())[::7]}
    one, other = (load_model(path).calculate(changed).values for path in (case.original, case.copy))
    assert sum(one[place] != value for place, value in case.values.items()) > 20
    assert off({place: one[place] for place in case.values}, other) == []


def _numbers(case: Case) -> dict[tuple[str, str], object]:
    return {(title, address): value for title, cells in Workbook(case.original).contents().items()
            for address, value in cells.items() if not re.search("Limits|Species", title)}
