"""Whatever the inputs: a plain formula is an error exactly where the call is refused, and equals it elsewhere.

Here in the headless engine, in test_formula_libreoffice in LibreOffice. Random expressions show that what is written is
what was calculated.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product, zip_longest
from typing import Any

import pytest
from hypothesis import example, given, reject, settings
from hypothesis import strategies as st

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from expressions import CELLS, Expression, Unclear, cells, expressions, in_python, written
from inputs import agrees, calls, columns_of, expected_of, odd_values, quick, typed, with_argument
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.headless import evaluate
from pailbook.outcomes import ErrorInput
from pailbook.quantities import METRIC, US
from plain import SINGLE, Form, plain_form, value_of
from thorough import each, examples, first, part

each_function = each("function", SINGLE, lambda function: function.name)

# Random expressions ------------------------------------------------------------------------------------


@settings(quick, max_examples=examples(400))
@given(expressions, cells)
@example(lambda v: v[0] ** v[1] ** v[2], (2.0, 3.0, 2.0))
@example(lambda v: -(v[0] ** 2) - -v[1], (3.0, 5.0, 0.0))
@example(lambda v: v[0] - (v[1] - (v[2] - 1)), (3.0, 5.0, 9.0))
@example(lambda v: v[0] ** -v[1] / (v[2] / 1e-9), (3.0, 2.0, 9.0))
def test_what_is_written_is_what_was_calculated(expression: Expression, values: tuple[float, float, float]) -> None:
    try:
        expected, formula = in_python(expression, values), written(expression, 1)
    except (Unclear, ArithmeticError, ValueError):
        reject()
    found = evaluate(formula, dict(zip(CELLS, values)))
    assert agrees(found, expected), f"{formula} with {values}: {found}, but {expected} in Python"


# Inputs of a function ----------------------------------------------------------------------------------


def _in_formulas(form: Form, columns: Sequence[str], values: Sequence[Any]) -> Any:
    return value_of(form, {
        f"{column}1": ErrorValue(value.code) if isinstance(value, ErrorInput) else value
        for column, value in zip(columns, values)
    })


def test_what_is_refused_is_refused_where_its_value_is_not_needed() -> None:
    """Aired out, pH does not depend on the CO2 before; phosphate of 100 mg/L cannot stand in water with 1 mg/L."""
    function = CATALOGUE["TRIP_PH"]
    columns = columns_of(function)
    formula = plain_form(function, [f"{column}1" for column in columns])
    water = [8.0, 1.0, 0.5, 300.0, 8.0, 16.0, 24.0, 1.5, 100.0, None, None, None]
    for venting in ("expected", "kept in", "aired out"):
        values = [*water, venting, None]
        assert expected_of(function, values) is None
        assert agrees(_in_formulas(formula, columns, values), None), venting


@each_function
def test_all_arguments_as_cells(function: WorksheetFunction) -> None:
    columns = columns_of(function)
    formula = plain_form(function, [f"{column}1" for column in columns])

    @settings(quick, max_examples=examples(20))
    @given(calls(function))
    def check(values: list[Any]) -> None:
        expected = expected_of(function, values)
        found = _in_formulas(formula, columns, values)
        assert agrees(found, expected), f"{function.name}({values}): {found}, but {expected} by the call"

    check()


@each_function
def test_every_odd_value_of_each_argument(function: WorksheetFunction) -> None:
    columns = columns_of(function)
    formula = plain_form(function, [f"{column}1" for column in columns])
    for argument in function.cell_arguments:
        for value in part(odd_values(argument, METRIC), 4 if function.in_steps else 7):
            values = with_argument(function, argument.name, value, value if argument.name == "units" else None)
            expected = expected_of(function, values)
            found = _in_formulas(formula, columns, values)
            assert agrees(found, expected), f"{function.name}, {argument.name} = {value!r}: {found}, not {expected}"


@each_function
@pytest.mark.parametrize("units", first([US, METRIC]))
def test_the_unit_system_as_a_constant(function: WorksheetFunction, units: str) -> None:
    if not function.has_units:
        assert not function.result.converts
        return
    columns = columns_of(function)[:-1]
    named = f'"{units}"' if units == US else ""
    formula = plain_form(function, [*(f"{column}1" for column in columns), named])

    @settings(quick, max_examples=examples(12))
    @given(calls(function, units))
    def check(values: list[Any]) -> None:
        expected = expected_of(function, values)
        found = _in_formulas(formula, columns, values)
        assert agrees(found, expected), f"{function.name}({values}): {found}, but {expected} by the call"

    check()


@each_function
def test_all_arguments_as_constants(function: WorksheetFunction) -> None:
    @settings(quick, max_examples=examples(40))
    @given(calls(function))
    def check(values: list[Any]) -> None:
        if any(isinstance(value, ErrorInput) for value in values):
            return
        expected = expected_of(function, values)
        formula = plain_form(function, [typed(value) for value in values])
        found = ErrorValue("#N/A") if formula.final == "NA()" else value_of(formula, {})
        assert agrees(found, expected), f"{function.name}({values}): {formula}, but {expected} by the call"

    check()


@each_function
def test_cells_beside_constants(function: WorksheetFunction) -> None:
    columns = columns_of(function)

    @settings(quick, max_examples=examples(12))
    @given(calls(function), st.data())
    def check(values: list[Any], data: st.DataObject) -> None:
        as_cells = [
            isinstance(value, ErrorInput) or data.draw(st.booleans(), f"{column} is a cell")
            for column, value in zip(columns, values)
        ]
        arguments = [f"{c}1" if is_cell else typed(v) for c, v, is_cell in zip(columns, values, as_cells)]
        expected = expected_of(function, values)
        found = _in_formulas(plain_form(function, arguments), columns, values)
        assert agrees(found, expected), f"{function.name}({arguments}), {values}: {found}, but {expected} by the call"

    check()


@each_function
def test_every_combination_of_options(function: WorksheetFunction) -> None:
    """All options but those of the last such argument as cells; the numbers from the example."""
    options: list[list[Any]] = [
        [*a.quantity.choices, *(["15-5-30", "0-0-60"] if a.quantity.grade else [])] or [False, True]
        if a.quantity.choices or a.quantity.flag else [value]
        for a, value in zip_longest(function.arguments, function.example)
    ]
    columns = columns_of(function)
    varying = [i for i, values in enumerate(options) if len(values) > 1]
    numbers = 0
    for constant in part(options[varying[-1]], 8) if varying else []:
        arguments = [f"{column}1" for column in columns[: len(options)]]
        arguments[varying[-1]] = typed(constant)
        formula = plain_form(function, arguments)
        for values in part(list(product(*options[: varying[-1]], [constant], *options[varying[-1] + 1:])), 8):
            expected = expected_of(function, values)
            numbers += expected is not None
            found = _in_formulas(formula, columns, values)
            assert agrees(found, expected), f"{function.name}{values}: {found}, but {expected} by the call"
    assert numbers or not varying
