"""Every declaration of the catalogue is sound."""

from __future__ import annotations

import math
import re
from typing import Any

import formulas
import pytest

import pailbook
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE, WIZARD_TEXT, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.quantities import METRIC, UNIT_SYSTEMS, US
from pailbook.sources import Citation
from thorough import each

FUNCTIONS = list(CATALOGUE.values())
each_function = each("function", FUNCTIONS, lambda function: function.name)
CATEGORIES = {
    "Ammonia", "Oxygen and air", "pH and carbon dioxide", "Nutrients", "Moving fish", "Tanks and fish", "Species",
    "Stocking and feeding", "Growth", "Filters and pumps",
}


def test_the_catalogue_is_filled() -> None:
    assert len(FUNCTIONS) >= 86
    assert list(CATALOGUE) == [function.name for function in FUNCTIONS]


@each_function
def test_help_fits_every_wizard(function: WorksheetFunction) -> None:
    assert 1 <= len(function.summary) <= WIZARD_TEXT == 255
    assert re.search(r"[^.]\.$", function.summary), "the summary must end with a full stop"
    assert "\n" not in function.summary
    for text in (function.summary, *(a.quantity.help for a in function.arguments)):
        assert text == text.strip()


def test_names_are_no_functions_of_the_spreadsheet_itself() -> None:
    built_in = {
        name.upper().removeprefix("_XLFN.") for name, known in formulas.get_functions().items()
        if not hasattr(known, "worksheet_function")  # ours, once the headless engine has entered them
    }
    assert len(built_in) > 300
    assert built_in.isdisjoint(CATALOGUE)


@each_function
def test_the_example_has_a_finite_answer(function: WorksheetFunction) -> None:
    value = call(function, function.example)
    if function.result.choices:
        assert value in function.result.choices
    else:
        assert isinstance(value, float)
        assert math.isfinite(value)


@each_function
def test_categories_are_the_subjects_of_the_guide(function: WorksheetFunction) -> None:
    assert function.category in CATEGORIES


@each_function
def test_quantities_say_what_they_are(function: WorksheetFunction) -> None:
    pure_number = ("pH|times|confidence|index|share|ratio|activity|count|vessels|fill|efficiency|stone|hardness|"
                   "coefficient|factor")
    for argument in function.cell_arguments:
        quantity = argument.quantity
        assert quantity.help, f"{argument.name} has no help"
        assert quantity.takes_number or quantity.takes_text or quantity.flag
        assert quantity.unit or not quantity.takes_number or re.search(pure_number, quantity.label), argument.name
    assert function.result.unit or function.result.choices or re.search(pure_number, function.result.label)


@each_function
@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_numbers_have_limits_in_both_unit_systems(function: WorksheetFunction, units: str) -> None:
    for argument in function.arguments:
        if argument.quantity.takes_number:
            low, high = argument.quantity.limits(units)
            assert low is not None, argument.name
            assert high is not None, argument.name
            assert low < high


@each_function
def test_defaults_are_within_the_limits_or_stand_for_left_out(function: WorksheetFunction) -> None:
    for argument in function.arguments:
        if argument.required or argument.default_is_zero:
            continue
        call(function, [
            argument.default if a is argument else value
            for a, value in zip(function.arguments, _filled(function))
        ])


def _filled(function: WorksheetFunction) -> list[Any]:
    return [*function.example, *[None] * (len(function.arguments) - len(function.example))]


@each_function
def test_sources_are_works_that_can_be_found(function: WorksheetFunction) -> None:
    for citation in function.source:
        assert isinstance(citation, Citation)
        assert citation.place, f"{citation.work.reference} is cited without a place"
        assert str(citation).startswith(citation.work.reference)


def test_functions_are_at_hand_in_the_package() -> None:
    # Emerson et al. 1975, table 2: 20 °C and pH 7.5 give 1.24 % un-ionised.
    assert pailbook.ammonia_fraction(7.5, 20.0) == pytest.approx(0.0124, abs=0.00005)
    with pytest.raises(AttributeError, match="pailbook has no function 'amonia_fraction'"):
        pailbook.amonia_fraction  # noqa: B018
    assert not hasattr(pailbook, "AMMONIA_FRACTION")


def test_unit_systems_are_named_once() -> None:
    assert (METRIC, US) == UNIT_SYSTEMS
