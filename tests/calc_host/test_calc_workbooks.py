"""All workbooks with calls in real LibreOffice: the values of the headless engine, and they stay when it saves."""

from __future__ import annotations

import math
import shutil
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from openpyxl.utils.cell import coordinate_to_tuple

import calc
import office_fixtures
from calls_in_sheet import NUMBERS
from office_session import Session
from pailbook.demo.story import COPY, REPORT
from pailbook.hosts.cells import ErrorValue
from pailbook.workbook.recalc import recalc
from pailbook.workbook.templates import build

ROOT = Path(__file__).parents[2]
KINDS = {".xlsx": "Calc MS Excel 2007 XML", ".ods": "calc8"}
ERRORS = {number: code for code, number in NUMBERS.items()}
pytestmark = pytest.mark.libreoffice
extension_file = office_fixtures.extension_file
office = office_fixtures.office

Values = Mapping[tuple[str, str], Any]


def _with_calls(folder: str) -> list[Path]:
    """By their names: to read them all would keep every run waiting, of whatever tests."""
    return sorted(path for path in (ROOT / folder).glob("*.xlsx")
                  if not path.stem.endswith("-plain") and path.name not in (REPORT, COPY))


DEMO, BLANK = _with_calls("demo_workbooks"), _with_calls("workbook_templates")
filled_books = pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
each_book = pytest.mark.parametrize(
    "path", [pytest.param(path, marks=() if path.stem == "move-plan-first" else pytest.mark.long)
             for path in (*DEMO, *BLANK)], ids=lambda path: path.stem)


@cache
def _headless(path: Path) -> Values:
    return recalc(path).values


def _differences(found: Values, expected: Values) -> list[str]:
    return [f"{place}: {found.get(place)!r}, not {value!r}" for place, value in expected.items()
            if not _same(found.get(place, ""), value)]


def _plain(value: Any) -> Any:
    """A value as LibreOffice tells it from inside, where an error is its number there."""
    return ErrorValue(ERRORS[value["error"]]) if isinstance(value, dict) else value


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return (one or "") == (other or "") if not isinstance(one, ErrorValue) else one == other


@each_book
def test_libreoffice_gives_the_values_of_the_headless_engine(path: Path, tmp_path: Path) -> None:
    calc.needed()
    made = tmp_path / "computed.xlsx"
    computed = recalc(path, made, engine="calc")
    assert len(computed.values) == len(_headless(path)) > 100
    wrong = _differences(computed.values, _headless(path))
    assert not wrong, f"{len(wrong)} differ\n" + "\n".join(wrong[:20])
    stored = calc.values_in(made)
    assert sum(isinstance(value, (int, float)) for value in stored.values()) > 100


def _copy(path: Path, folder: Path) -> Path:
    """To be opened in its place: tests in other processes read the file, and would get a warning that it is open."""
    return Path(shutil.copy(path, folder))


@filled_books
def test_values_stay_when_libreoffice_saves_and_opens_again(path: Path, office: Session, tmp_path: Path) -> None:
    expected = _headless(path)
    with office.document(_copy(path, tmp_path)) as name:
        office("calculate", name=name)
        before = office("everything", name=name)
        found = {(sheet, cell): _plain(before[sheet][row - 1][column - 1]) for sheet, cell in expected
                 for row, column in [coordinate_to_tuple(cell)]}
        wrong = _differences(found, expected)
        assert not wrong, f"{len(wrong)} differ\n" + "\n".join(wrong[:20])
        for ending, kind in KINDS.items():
            office("store", name=name, url=(tmp_path / f"saved{ending}").as_uri(), kind=kind)
    for ending in KINDS:
        with office.document(tmp_path / f"saved{ending}") as name:
            office("calculate", name=name)
            after = office("everything", name=name)
        for sheet, rows in before.items():
            for y, row in enumerate(rows):
                for x, value in enumerate(row):
                    other = after[sheet][y][x] if y < len(after[sheet]) and x < len(after[sheet][y]) else None
                    assert _same(other or "", value or ""), f"{ending} {sheet} row {y + 1}, column {x + 1}"


@filled_books
def test_what_libreoffice_saved_is_recalculated_without_it(path: Path, office: Session, tmp_path: Path) -> None:
    saved = tmp_path / "saved.xlsx"
    with office.document(_copy(path, tmp_path)) as name:
        office("store", name=name, url=saved.as_uri(), kind=KINDS[".xlsx"])
    again = recalc(saved)
    assert not again.problems
    wrong = _differences(again.values, _headless(path))
    assert not wrong, f"{len(wrong)} differ\n" + "\n".join(wrong[:20])


def test_what_libreoffice_saved_without_the_functions_is_recalculated_too(tmp_path: Path) -> None:
    """It writes the names of functions that it does not know in lower case."""
    calc.needed()
    build("move-plan", tmp_path / "plan.xlsx")
    saved = calc.convert(tmp_path / "plan.xlsx", "xlsx", tmp_path / "saved")
    wrong = _differences(recalc(saved).values, recalc(tmp_path / "plan.xlsx").values)
    assert not wrong, "\n".join(wrong[:20])
