"""Plain formulas in LibreOffice: an error where the call is refused, equal to it elsewhere, whatever the inputs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

import calc
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from expressions import Unclear, cells, expressions, in_python, written
from inputs import agrees, calls, columns_of, expected_of, quick
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.outcomes import ErrorInput
from plain import SINGLE, plain_form
from thorough import examples, part, thorough

RESULT = 30  # column of the formulas, right of all arguments
ERRORS = {"#N/A": "=NA()", "#VALUE!": '=VALUE("x")', "#DIV/0!": "=1/0", "#NUM!": "=LN(-1)", "#REF!": "=NA()"}
pytestmark = pytest.mark.libreoffice


class Rows:
    """Formulas, one per row, with their inputs, and what each has to show."""

    def __init__(self) -> None:
        self.book = openpyxl.Workbook()
        self.sheet: Any = self.book.active
        self.expected: list[tuple[str, float | None]] = []

    @property
    def row(self) -> int:
        """The number of the next row."""
        return len(self.expected) + 1

    def add(self, what: str, inputs: Sequence[Any], formula: str, expected: float | None) -> None:
        """Enters a row. An empty text is entered as the formula that gives one."""
        for column, value in enumerate(inputs, start=1):
            entered = ERRORS[value.code] if isinstance(value, ErrorInput) else '=""' if value == "" else value
            self.sheet.cell(self.row, column, entered)
        self.sheet.cell(self.row, RESULT, f"={formula}")
        self.expected.append((what, expected))

    def add_call(self, function: WorksheetFunction, values: Sequence[Any]) -> None:
        """Enters a call as a plain formula that has a cell for each argument."""
        form = plain_form(function, [f"{column}{self.row}" for column in columns_of(function)], self.row)
        for address, text in form.steps.items():
            self.sheet[address] = f"={text}"
        self.add(f"{function.name}({values})", values, form.final, expected_of(function, values))

    def check(self, path: Path, settings: str = "") -> None:
        """Has LibreOffice calculate them."""
        self.book.save(path)
        found = calc.recalculated(path, settings=settings)
        column = get_column_letter(RESULT)
        shown = [found.get((self.sheet.title, f"{column}{row}")) for row in range(1, self.row)]
        wrong = [
            f"{what}: {one}, but {value} in Python"
            for (what, value), one in zip(self.expected, shown) if not agrees(one, value)
        ]
        assert not wrong, "\n".join(wrong)


def _drawn(strategy: st.SearchStrategy[Any], count: int) -> list[Any]:
    """A number of examples of the strategy, the same in every run."""
    found: list[Any] = []

    @settings(quick, max_examples=count)
    @given(strategy)
    def keep(value: Any) -> None:
        found.append(value)

    keep()
    return found


def test_any_inputs_of_every_function_and_random_expressions(tmp_path: Path) -> None:
    calc.needed()
    rows = Rows()
    for function in SINGLE:
        count = (3 if function.in_steps else 16) if thorough() else 1 if function.in_steps else 2
        for values in _drawn(calls(function), count):
            # LibreOffice keeps TRUE as the number 1 and counts it like any number.
            if not any(isinstance(v, bool) and a.quantity.takes_number for a, v in zip(function.arguments, values)):
                rows.add_call(function, values)
    species = CATALOGUE["SPECIES_LIMIT"]
    for one in part(species.arguments[0].quantity.choices, 6):
        for parameter in part(species.arguments[1].quantity.choices, 2):
            rows.add_call(species, [one, parameter, "watch high", "us"])
    products = CATALOGUE["NUTRIENT_DOSE"]
    for product in (*part(products.arguments[0].quantity.choices, 8), "15-5-30"):
        rows.add_call(products, [product, "K", 100.0, 0.0, 10.0, 50.0, None, None])
    for expression, values in _drawn(st.tuples(expressions, cells), examples(300)):
        try:
            formula, value = written(expression, rows.row), in_python(expression, values)
        except (Unclear, ArithmeticError, ValueError):
            continue
        rows.add(f"{formula} with {values}", values, formula, value)
    assert len(rows.expected) > examples(800)
    assert sum(value is not None for _, value in rows.expected) > examples(400)
    rows.check(tmp_path / "inputs.xlsx")


def test_label_grades_where_the_decimal_sign_is_a_comma(tmp_path: Path) -> None:
    """VALUE reads by the user's language: there VALUE("15.5") is an error, or a date."""
    calc.needed()
    german = ('<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">'
              "<value>de-DE</value></prop></item>")
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet["A1"] = '=0.5&""'
    book.save(tmp_path / "language.xlsx")
    assert calc.recalculated(tmp_path / "language.xlsx", settings=german)[sheet.title, "A1"] == "0,5"
    rows = Rows()
    for grade in ("15-5-30", "15.5-0-1", "4.5-0.25-100", "15,5-0-1", "15.5.0-0-1"):
        for nutrient in ("N", "P2O5", "K2O"):
            rows.add_call(CATALOGUE["NUTRIENT_DOSE"], [grade, nutrient, 1000.0, 0.0, 30.0, None, None, None])
    rows.check(tmp_path / "grades.xlsx", settings=german)
