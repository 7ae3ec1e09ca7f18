"""Random inputs through every other way in: columns, plain formulas, and the commands that read whole workbooks.

As in test_fuzz: PAILBOOK_FUZZ=N pytest -n 0 tests/trust/test_fuzz_whole.py
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

import pailbook
from conftest import CLIENT
from fuzz_cases import XML_PIECES, columns, few, fuzz, mutated, rare, singles
from fuzz_seeds import RECORD_PIECES, RECORDS
from inputs import columns_of
from pailbook.demo.scenario import NORTH_RAFT
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.cells import ErrorValue, FormulaCell, as_cell_value
from pailbook.hosts.engines import Formulas
from pailbook.outcomes import BadInput, ErrorInput, Outcome
from pailbook.visit_report.make import make_report
from pailbook.workbook.check.run import check
from pailbook.workbook.farm_log import water_tests
from pailbook.workbook.package import Workbook, set_cells
from pailbook.workbook.readings import import_readings
from pailbook.workbook.share.share import share
from plain import SINGLE, Form, plain_form

some_function = st.sampled_from([CATALOGUE[name] for name in sorted(CATALOGUE)])
as_columns = st.one_of(
    singles, columns, columns.map(lambda values: pandas.Series(values, dtype=object)),
    columns.map(lambda values: np.array(values, dtype=object)),
    st.lists(st.floats(), max_size=4).map(np.array), st.lists(st.floats(-50, 50), min_size=2, max_size=2).map(np.array))


@fuzz
@given(some_function, st.lists(as_columns, max_size=9))
def test_columns_give_values_or_are_refused(function: WorksheetFunction, values: list[Any]) -> None:
    with np.errstate(all="ignore"):
        try:
            result = getattr(pailbook, function.name.lower())(*values)
        except (BadInput, Outcome) as refusal:
            assert str(refusal)
        else:
            assert np.ndim(result) <= 1


_forms: dict[str, Form] = {}


def _cell(value: Any) -> Any:
    """What a cell can hold of it; a text where it can hold nothing of the kind."""
    if isinstance(value, ErrorInput):
        return ErrorValue(value.code)
    try:
        held = as_cell_value(value)
    except (TypeError, ValueError, OverflowError):
        held = str(value)
    return held.encode(errors="replace").decode() if isinstance(held, str) else held  # no halves of characters


@few
@given(st.sampled_from(SINGLE), st.lists(singles, max_size=9))
def test_plain_formulas_and_calls_give_values_or_errors(function: WorksheetFunction, values: list[Any]) -> None:
    addresses = [f"{column}1" for column in columns_of(function)]
    form = _forms.setdefault(function.name, plain_form(function, addresses))
    formulas = {**form.steps, "ZZ1": form.final, "ZZ2": f"{function.name}({','.join(addresses)})"}
    held = {address: _cell(value) for address, value in zip(addresses, values) if value is not None}
    found = Formulas({"S": {**held, **{place: FormulaCell(text) for place, text in formulas.items()}}}).calculate()
    plain, called = found.values["S", "ZZ1"], found.values["S", "ZZ2"]
    assert all(isinstance(value, (float, str, bool, ErrorValue)) for value in (plain, called))
    assert isinstance(plain, ErrorValue) == isinstance(called, ErrorValue)


# Whole workbooks -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory, season: Path) -> Path:
    folder = tmp_path_factory.mktemp("fuzz")
    (folder / "readings.csv").write_bytes((season / "readings.csv").read_bytes())
    return folder


def all_commands(log: Path, readings: Path, place: Path) -> None:
    """Everything that reads a workbook; refusals are in words."""
    for work in (
        lambda: check(log),
        lambda: import_readings(
            readings, log, place / "with.xlsx", system=NORTH_RAFT.name, day_first=True, overwrite=True),
        lambda: make_report(log, CLIENT, "2026-05-01", place / "report.xlsx", overwrite=True),
        lambda: share(log, place / "copy.xlsx", client=CLIENT, overwrite=True),
        lambda: share(log, place / "copy.xlsx", overwrite=True),
    ):
        try:
            work()
        except BadInput as refusal:
            assert str(refusal)
            assert "\n" not in str(refusal)


@rare
@given(st.data())
def test_a_log_with_anything_typed_anywhere(place: Path, season: Path, data: st.DataObject) -> None:
    """In cells that are free and in those that are locked."""
    book = Workbook(season / "log.xlsx")
    typed: dict[str, dict[str, Any]] = {}
    for _ in range(data.draw(st.integers(1, 12))):
        sheet = data.draw(st.sampled_from([*book.sheets, water_tests.SHEET, "Systems"]))
        address = f"{data.draw(st.sampled_from('ABCDEFGHIJKL'))}{data.draw(st.integers(1, 20))}"
        typed.setdefault(sheet, {})[address] = data.draw(st.one_of(
            st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=9), st.booleans(), st.dates(),
            st.sampled_from(
                ["=1+1", CLIENT, f"{CLIENT.casefold()} ", NORTH_RAFT.name, 46145.0, 1e300, -1.0, "2026-05-03"])))
    try:
        set_cells(book, place / "log.xlsx", typed, overwrite=True)
    except BadInput as refusal:
        assert str(refusal)
    else:
        all_commands(place / "log.xlsx", place / "readings.csv", place)


@rare
@given(st.data())
def test_a_log_with_parts_edited(place: Path, season: Path, data: st.DataObject) -> None:
    with zipfile.ZipFile(season / "log.xlsx") as book:
        parts = {name: book.read(name) for name in book.namelist()}
    for _ in range(data.draw(st.integers(1, 3))):
        name = data.draw(st.sampled_from(sorted(parts)))
        parts[name] = mutated(data, parts[name], XML_PIECES)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in parts.items():
            out.writestr(name, content)
    (place / "log.xlsx").write_bytes(made.getvalue())
    all_commands(place / "log.xlsx", place / "readings.csv", place)


@rare
@given(st.data())
def test_a_record_into_a_log(place: Path, season: Path, data: st.DataObject) -> None:
    (place / "record.csv").write_bytes(mutated(data, data.draw(st.sampled_from(RECORDS)), RECORD_PIECES))
    before = (season / "log.xlsx").read_bytes()
    try:
        import_readings(place / "record.csv", season / "log.xlsx", place / "with.xlsx", system=NORTH_RAFT.name,
                        day_first=True, timezone="Europe/Madrid", decimal="point", overwrite=True)
    except BadInput as refusal:
        assert str(refusal)
    else:
        Workbook(place / "with.xlsx").contents()
    assert (season / "log.xlsx").read_bytes() == before
