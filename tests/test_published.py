"""Every check value of tests/published through every host.

The hosts agree with each other to 1e-9 and with the printed value to the tolerance that its source allows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import calc
import hosts
from hosts import Row, published, rows_of
from inputs import agrees
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.functions.solution import activity_term, debye_hueckel_slope
from pailbook.quantities import Quantity
from plain import SINGLE
from thorough import each, part, thorough

KINDS = {"published table", "worked example", "reference library", "by hand", "common practice", "memory"}
FUNCTIONS = SINGLE
MOST_IN_STEPS = 3  # rows of a function whose plain form takes seconds; `test_engines` has all of them
each_row = each("row", published())
each_function = each("function", FUNCTIONS, lambda function: function.name)

# Units of the two systems and the way from one to the other, by the definitions of the units.
Conversion = Callable[[float], float]
TO_US: dict[tuple[str, str], Conversion] = {
    ("°C", "°F"): lambda celsius: celsius * 9 / 5 + 32,
    ("L", "US gal"): lambda litres: litres / 3.785411784,
    ("kg", "lb"): lambda kilograms: kilograms / 0.45359237,
    ("g", "oz"): lambda grams: grams / (453.59237 / 16),
    ("cm", "in"): lambda centimetres: centimetres / 2.54,
    ("mm", "in"): lambda millimetres: millimetres / 25.4,
    ("L/h", "US gal/h"): lambda litres: litres / 3.785411784,
    ("L", "ft³"): lambda litres: litres / 1000 / (12 * 0.0254) ** 3,
    ("m²/m³", "ft²/ft³"): lambda per_metre: per_metre * 12 * 0.0254,
    ("m", "ft"): lambda metres: metres / (12 * 0.0254),
    ("m²", "ft²"): lambda square_metres: square_metres / (12 * 0.0254) ** 2,
    ("kg/m³", "lb/US gal"): lambda density: density / 1000 / 0.45359237 * 3.785411784,
}
TO_METRIC: dict[tuple[str, str], Conversion] = {
    ("°C", "°F"): lambda fahrenheit: (fahrenheit - 32) * 5 / 9,
    ("L", "US gal"): lambda gallons: gallons * 3.785411784,
    ("kg", "lb"): lambda pounds: pounds * 0.45359237,
    ("g", "oz"): lambda ounces: ounces * (453.59237 / 16),
    ("cm", "in"): lambda inches: inches * 2.54,
    ("mm", "in"): lambda inches: inches * 25.4,
    ("L/h", "US gal/h"): lambda gallons: gallons * 3.785411784,
    ("L", "ft³"): lambda cubic_feet: cubic_feet * 1000 * (12 * 0.0254) ** 3,
    ("m²/m³", "ft²/ft³"): lambda per_foot: per_foot / (12 * 0.0254),
    ("m", "ft"): lambda feet: feet * (12 * 0.0254),
    ("m²", "ft²"): lambda square_feet: square_feet * (12 * 0.0254) ** 2,
    ("kg/m³", "lb/US gal"): lambda density: density * 0.45359237 / 3.785411784 * 1000,
}


@each_function
def test_every_function_has_check_values(function: WorksheetFunction) -> None:
    assert len(rows_of(function)) >= 2


@each_row
def test_rows_name_unit_source_and_kind(row: Row) -> None:
    units = row.function.result.unit_in(row.given.get("units", "metric"))
    assert not units or row.unit in (*units.split(" or "), "-"), f"{row}: the unit must be {units}"
    assert row.source, f"{row}: who says so?"
    assert row.kind in KINDS, f"{row}: {row.kind}"


def test_no_row_stands_twice() -> None:
    calls = [(row.function.name, str(row.given), row.source) for row in published()]
    assert len(set(calls)) == len(calls)


@each_row
def test_python_gives_the_printed_value(row: Row) -> None:
    assert is_printed(hosts.in_python(row), row), f"{row}: {row.source}"


def is_printed(value: Any, row: Row) -> bool:
    if isinstance(row.expected, str):
        return bool(value == row.expected)
    return bool(value == pytest.approx(row.expected, rel=0, abs=row.tolerance))


@each_function
@pytest.mark.parametrize("same_options", [True, False], ids=["one option", "columns of options"])
def test_columns_agree_with_single_calls(function: WorksheetFunction, same_options: bool) -> None:
    for group in hosts.alike(rows_of(function), same_options):
        for row, value in zip(group, hosts.in_columns(group)):
            assert agrees(value, hosts.in_python(row)), f"{row}: {value} in a column"


@each_function
def test_plain_formulas_agree(function: WorksheetFunction) -> None:
    """In `formulas` by itself."""
    rows = with_other_units(rows_of(function))
    for row in rows[: MOST_IN_STEPS if thorough() else 1] if function.in_steps else part(rows, 1):
        by_cells, by_constants = hosts.in_plain_formula(row)
        assert agrees(by_cells, hosts.in_python(row)), f"{row}: {by_cells} with cells"
        assert agrees(by_constants, hosts.in_python(row)), f"{row}: {by_constants} with constants"


@each_function
def test_the_headless_engine_agrees(function: WorksheetFunction) -> None:
    for row in part(with_other_units(rows_of(function)), 6):
        by_cells, by_constants = hosts.in_headless(row)
        assert agrees(by_cells, hosts.in_python(row)), f"{row}: {by_cells} with cells"
        assert agrees(by_constants, hosts.in_python(row)), f"{row}: {by_constants} with constants"


@pytest.mark.libreoffice
def test_plain_formulas_agree_in_libreoffice(tmp_path: Path) -> None:
    calc.needed()
    rows: list[Row] = []
    for function in CATALOGUE.values():
        own = with_other_units(rows_of(function))
        rows += own[: MOST_IN_STEPS + 1 if thorough() else 1] if function.in_steps else part(own, 2)
    wrong = []
    for row, (by_cells, by_constants) in zip(rows, hosts.in_calc(rows, tmp_path), strict=True):
        value = hosts.in_python(row)
        if not (agrees(by_cells, value) and agrees(by_constants, value)):
            wrong.append(f"{row}: {by_cells} with cells, {by_constants} with constants, not {value}")
    assert not wrong, "\n".join(wrong)


# Units ------------------------------------------------------------------------------------------------


def in_other_units(row: Row) -> Row | None:
    """The same call in the other unit system, the printed value converted too; None where there is only one system."""
    if not row.function.has_units:
        return None
    to_us = row.given.get("units") != "us"
    given: dict[str, Any] = {"units": "us"} if to_us else {}
    for argument in row.function.arguments:
        if argument.name in row.given:
            value = row.given[argument.name]
            is_number = isinstance(value, float)
            given[argument.name] = converted(value, argument.quantity, row, to_us) if is_number else value
    if isinstance(row.expected, str):
        return replace(row, given=given)
    expected, above = (converted(value, row.function.result, row, to_us)
                       for value in (row.expected, row.expected + row.tolerance))
    return replace(row, given=given, expected=expected, tolerance=above - expected + 1e-9 * abs(expected))


def converted(value: float, quantity: Quantity, row: Row, to_us: bool) -> float:
    if not quantity.us_unit:
        return value
    units = (quantity.unit, quantity.us_unit)
    if row.function.name == "SPECIES_LIMIT":
        if row.given["parameter"] != "temperature":
            return value
        units = ("°C", "°F")
    return (TO_US if to_us else TO_METRIC)[units](value)


def with_other_units(rows: Any) -> list[Row]:
    """The rows, each followed by the same call in the other unit system where there is one."""
    return [one for row in rows for one in (row, in_other_units(row)) if one is not None]


@each("row", [row for row in published() if row.function.has_units])
def test_the_other_unit_system_says_the_same(row: Row) -> None:
    other = in_other_units(row)
    assert other is not None
    here, there = hosts.in_python(row), hosts.in_python(other)
    to_us = other.given.get("units") == "us"
    assert agrees(there, converted(here, row.function.result, row, to_us)), f"{other}: {there}"
    assert is_printed(there, other), f"{other}: {row.source}"


def test_an_optional_argument_left_at_its_default_says_the_same() -> None:
    """Common practice as the defaults have it: 2 after handling, 24 kg/m³ and 80 % full, half the feed's weight."""
    spelt_out: dict[str, dict[str, Any]] = {
        "OXYGEN_CONSUMPTION": {"activity": 2.0, "species": "any fish"},
        "BUCKET_LOAD": {"fill": 0.8, "hauling_density": 24.0},
        "FISH_PER_VESSEL": {"fill": 0.8, "hauling_density": 24.0},
        "VESSELS_NEEDED": {"fill": 0.8, "hauling_density": 24.0},
        "OXYGEN_FROM_FEED": {"ratio": 0.5}, "BATTERY_HOURS": {"usable": 0.5, "inverter": 0.85},
        "PH_STEP_DAYS": {"daily_step": 0.2, "tolerance": 0.2}, "PH_STEP_TARGET": {"daily_step": 0.2, "tolerance": 0.2},
        "AMMONIA_CRITERION": {"salmonids": False}, "AIR_TRANSFER": {"stone": "coarse"},
    }
    metric = [row for row in published() if row.given.get("units") != "us" and row.function.name in spelt_out]
    for row in metric:
        full = replace(row, given={**spelt_out[row.function.name], **row.given})
        assert agrees(hosts.in_python(full), hosts.in_python(row)), row


# Facts that are no single call ------------------------------------------------------------------------


def test_freezing_water_lies_outside_the_cell_form_but_not_outside_the_equations() -> None:
    """0 °C stands for a blank cell; the bodies still hold there."""
    saturation = CATALOGUE["OXYGEN_SATURATION"].body
    assert saturation(0.0) == pytest.approx(14.621, abs=0.0005)  # Benson & Krause 1984; APHA 4500-O table I (memory)
    assert saturation(0.0) == pytest.approx(14.6, abs=0.05)  # EN 25814 / ISO 5814 table, seen in a reprint
    criterion = CATALOGUE["AMMONIA_CRITERION"].body
    assert criterion(7.0, 0.0, "acute", True) == pytest.approx(24, abs=0.5)  # USEPA 2013, table 5a (transcript)
    assert criterion(7.0, 0.0, "chronic") == pytest.approx(4.4, abs=0.05)  # USEPA 2013, table 6 (transcript)


def test_resting_metabolism_grows_sixfold_from_polar_to_tropical_fish() -> None:
    """Clarke & Johnston 1999, abstract: about six times from 0 to 30 °C, mean Q10 of 1.83 (looked up)."""
    consumption = CATALOGUE["OXYGEN_CONSUMPTION"].body
    ratio = consumption(50.0, 30.0, 1.0) / consumption(50.0, 0.0, 1.0)
    assert ratio == pytest.approx(6, abs=0.5)
    assert ratio ** (1 / 3) == pytest.approx(1.83, abs=0.005)


def test_the_general_formula_of_oxygen_use_is_on_the_safe_side_of_single_species() -> None:
    """It lies above what calorimetry and respirometry found of single freshwater species, and within 2.3 times.

    Goldfish at 20 °C, J. Exp. Biol. 142:325: 51.5 mg/h for 1 kg. Pacu (fasting heat 0.04643 W^0.7882 T^1.837 kJ/d, W in
    kg; An. Acad. Bras. Cienc. 89:1305), at 13.6 J per mg of oxygen and 25 °C: 52.6 mg/h for 1 kg. Both looked up.
    """
    consumption = CATALOGUE["OXYGEN_CONSUMPTION"].body
    pacu = 0.04643 * 25**1.837 * 1000 / 24 / 13.6
    for found, temperature in ((51.5, 20.0), (pacu, 25.0)):
        assert 1 < consumption(1000.0, temperature, 1.0) / found < 2.3


def test_ions_are_as_active_as_handbooks_say_of_sodium_chloride() -> None:
    """Mean activity coefficients of NaCl at 25 °C, Robinson & Stokes, Electrolyte Solutions, by mol/L (memory)."""
    for strength, coefficient in ((0.001, 0.965), (0.01, 0.903), (0.05, 0.821), (0.1, 0.778)):
        conductivity = strength / 1.3e-5  # the usual factor for fresh waters
        assert 10 ** -activity_term(1, 25.0, conductivity) == pytest.approx(coefficient, abs=0.004)


def test_the_slope_of_the_activity_equation_is_the_handbooks() -> None:
    """Debye-Hueckel A, molar, Robinson & Stokes, Electrolyte Solutions, appendix 7.1 (memory)."""
    for temperature, slope in ((0, 0.4918), (10, 0.4989), (15, 0.5028), (25, 0.5115), (30, 0.5161), (40, 0.5262)):
        assert debye_hueckel_slope(temperature) == pytest.approx(slope, abs=0.0001)
