"""Random inputs of every kind: a value or a refusal in words comes out, never an unhandled exception.

The long run, with N cases for each of most tests: PAILBOOK_FUZZ=N pytest -n 0 tests/trust/test_fuzz.py
"""

from __future__ import annotations

import contextlib
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuzz_cases import XML_PIECES, columns, few, fuzz, many, mutated, singles
from fuzz_seeds import FORMULA_PIECES, RECORD_PIECES, RECORDS, small_workbook
from pailbook.formula.read import Unreadable, pieces_of, text_of, tokens
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call, spread
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import ENGINES, Formulas
from pailbook.hosts.references import Names, dissect, filled_form, shape_of
from pailbook.outcomes import ERROR_CODES, Outcome
from pailbook.workbook.package import Workbook, WorkbookError, inject_values, set_cells
from pailbook.workbook.readings import ReadingsError, read_readings
from pailbook.workbook.readings.daily import daily


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


# Functions ---------------------------------------------------------------------------------------------------

@fuzz
@given(st.sampled_from(sorted(CATALOGUE)), st.lists(st.one_of(singles, columns), max_size=9))
def test_a_function_gives_a_value_or_an_outcome(name: str, values: list[Any]) -> None:
    try:
        result = call(CATALOGUE[name], values)
    except Outcome as outcome:
        assert outcome.code in ERROR_CODES
        assert str(outcome)
    else:
        assert isinstance(result, (float, str, bool))
        assert result == result


ranges = st.integers(1, 3).flatmap(
    lambda width: st.lists(st.lists(singles, min_size=width, max_size=width), min_size=1, max_size=3))


@few
@given(st.sampled_from(sorted(CATALOGUE)), st.lists(st.one_of(singles, ranges), max_size=7))
def test_a_function_over_ranges_gives_values_and_outcomes(name: str, values: list[Any]) -> None:
    rows = spread(CATALOGUE[name], values)
    assert all(isinstance(one, (float, str, bool, Outcome)) for row in rows for one in row)


# Records -----------------------------------------------------------------------------------------------------


def read_record(place: Path, content: bytes, name: str = "record.csv", **options: Any) -> None:
    """Reads it in both ways; refusals name the file."""
    path = place / name
    path.write_bytes(content)
    options = {"system": "North raft", "day_first": True, "timezone": "Europe/Madrid", **options}
    try:
        frame = read_readings(path, decimal="point", **options).frame
        assert set(frame["system"].map(type)) <= {str}
    except ReadingsError as refusal:
        assert str(refusal)
    try:
        daily(path, place / "daily.csv", overwrite=True, **options)
    except ReadingsError as refusal:
        assert str(refusal)


@fuzz
@given(st.data())
def test_a_record_with_places_exchanged(place: Path, data: st.DataObject) -> None:
    read_record(place, mutated(data, data.draw(st.sampled_from(RECORDS)), RECORD_PIECES))


@fuzz
@given(st.lists(st.sampled_from(RECORD_PIECES), max_size=40).map(b"".join))
def test_a_record_of_pieces(place: Path, content: bytes) -> None:
    read_record(place, content)


@few
@given(st.one_of(st.binary(max_size=300), st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))))
def test_a_record_of_anything(place: Path, content: bytes) -> None:
    read_record(place, content)
    read_record(place, b"Date,Tank,pH\n" + content)


# Formulas ----------------------------------------------------------------------------------------------------

soup = st.one_of(
    st.lists(st.sampled_from(FORMULA_PIECES), max_size=14).map("".join), st.text(max_size=12),
    st.lists(st.one_of(st.sampled_from(FORMULA_PIECES), st.text(max_size=3)), max_size=8).map("".join))


@many
@given(soup)
def test_a_formula_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(Unreadable):
        assert "".join(token.value for token in tokens(text)) == text.removeprefix("=")
    with contextlib.suppress(Unreadable):
        text_of(pieces_of(text))
    names = Names({"log": "Log"}, {("", "share"): "Log!$A$1", ("", "round"): "round+1"})
    with contextlib.suppress(Unreadable):
        dissect(text, names, "Log", 4, 2)
    filled_form(text, 4, 2)
    shape_of(text)


CELLS = {"A1": 7.5, "A2": 24.0, "A3": "text", "A4": True, "A5": ErrorValue("#N/A"), "A6": FormulaCell("A1*2")}


@fuzz
@given(st.lists(soup, min_size=1, max_size=3), st.sampled_from(ENGINES))
def test_formulas_are_calculated_or_reported(texts: list[str], engine: str) -> None:
    cells = {f"B{row}": FormulaCell(text) for row, text in enumerate(texts, start=1)}
    found = Formulas({"Log": {**CELLS, **cells}, "Other": {}}, {(None, "share"): "Log!$A$1"}, engine).calculate()
    assert set(found.values) == {("Log", address) for address in ("A6", *cells)}
    assert all(isinstance(value, (float, str, bool, ErrorValue)) for value in found.values.values())


# Workbooks ---------------------------------------------------------------------------------------------------

SMALL = small_workbook()
with zipfile.ZipFile(io.BytesIO(SMALL)) as _book:
    PARTS = {name: _book.read(name) for name in _book.namelist()}
def read_workbook(place: Path, content: bytes) -> None:
    """All that is read of a workbook, and a copy written with a value in it; refusals name the file."""
    path = place / "book.xlsx"
    path.write_bytes(content)
    try:
        book = Workbook(path)
        contents = book.contents()
        book.stored_values()
        _ = book.names, book.calls_functions, book.from_1904, book.texts
        title = next(iter(book.sheets), "")
        if title:
            set_cells(book, place / "typed.xlsx", {title: {"D9": "typed", "A1": 5.0}}, overwrite=True)
            typed = Workbook(place / "typed.xlsx").stored_values()
            assert (typed[title, "D9"], typed[title, "A1"]) == ("typed", 5.0)
        formulas = {(sheet, address): 1.0 for sheet, cells in contents.items()
                    for address, content in cells.items() if isinstance(content, FormulaCell)}
        inject_values(book, place / "computed.xlsx", formulas, overwrite=True)
        assert Workbook(place / "computed.xlsx").contents() == contents
    except WorkbookError as refusal:
        assert ".xlsx" in str(refusal)


@fuzz
@given(st.data())
def test_a_workbook_with_bytes_exchanged(place: Path, data: st.DataObject) -> None:
    read_workbook(place, mutated(data, SMALL, [b"PK\3\4", b"PK\1\2", b"PK\5\6", bytes(4), b"\xff" * 4, b"\xff"]))


@fuzz
@given(st.data())
def test_a_workbook_with_parts_edited(place: Path, data: st.DataObject) -> None:
    parts = dict(PARTS)
    for _ in range(data.draw(st.integers(1, 3))):
        name = data.draw(st.sampled_from(sorted(parts)))
        kind = data.draw(st.integers(0, 9))
        if kind == 0:
            del parts[name]
            if not parts:
                break
        elif kind == 1:
            other = data.draw(st.sampled_from(sorted(parts)))
            parts[name], parts[other] = parts[other], parts[name]
        else:
            parts[name] = mutated(data, parts[name], XML_PIECES)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in parts.items():
            out.writestr(name, content)
    read_workbook(place, made.getvalue())
