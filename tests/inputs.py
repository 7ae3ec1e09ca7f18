"""Inputs for calls: the example of a function with one argument changed, and anything at all, good or odd."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import zip_longest
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from pailbook.function import Argument, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.hosts.cells import ErrorValue
from pailbook.outcomes import ERROR_CODES, ErrorInput, Outcome
from pailbook.quantities import METRIC, US, Quantity

quick = settings(
    deadline=None, derandomize=True, database=None, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow, HealthCheck.data_too_large],
)

# Units by their definitions: the exact inch, pound, US gallon and degree Fahrenheit.
TO_US: dict[tuple[str, str], Callable[[float], float]] = {
    ("°C", "°F"): lambda celsius: celsius * 9 / 5 + 32,
    ("L", "US gal"): lambda litres: litres / 3.785411784,
    ("L/h", "US gal/h"): lambda litres: litres / 3.785411784,
    ("L", "ft³"): lambda litres: litres / 1000 / 0.3048**3,
    ("kg", "lb"): lambda kilograms: kilograms / 0.45359237,
    ("g", "oz"): lambda grams: grams * 16 / 453.59237,
    ("cm", "in"): lambda centimetres: centimetres / 2.54,
    ("mm", "in"): lambda millimetres: millimetres / 25.4,
    ("m", "ft"): lambda metres: metres / 0.3048,
    ("m²", "ft²"): lambda square_metres: square_metres / 0.3048**2,
    ("m²/m³", "ft²/ft³"): lambda per_metre: per_metre * 0.3048,
    ("kg/m³", "lb/US gal"): lambda density: density / 1000 / 0.45359237 * 3.785411784,
}


def to_us(quantity: Quantity, metric: float) -> float:
    """A metric value in US units; of a limit that is a temperature or something else, as a temperature."""
    return TO_US[quantity.unit.split(" or ")[0], quantity.us_unit.split(" or ")[0]](metric)


def with_argument(function: WorksheetFunction, name: str, value: Any, units: Any = None) -> list[Any]:
    """The values of a call in the order of the cell form: the example's, and this one.

    In US units the example's numbers are converted, the given value is not.
    """
    values: dict[str, Any] = dict(zip((a.name for a in function.arguments), function.example))
    values |= {name: value, "units": units}
    if units == US:
        for argument in function.arguments:
            if argument.name != name and argument.name in values and argument.quantity.converts:
                values[argument.name] = to_us(argument.quantity, values[argument.name])
    return [values.get(a.name) for a in function.cell_arguments]


def _good(argument: Argument, units: str) -> st.SearchStrategy[Any]:
    """Values that the argument takes, the bounds of its limits among them."""
    quantity = argument.quantity
    options: list[st.SearchStrategy[Any]] = []
    if quantity.choices:
        options.append(st.sampled_from([*quantity.choices, quantity.choices[0].upper()]))
    if quantity.grade:
        options.append(st.sampled_from(["15-5-30", "15.5-0-0", "0-0-60", "4.5-0.25-100"]))
    if quantity.flag:
        options.append(st.sampled_from([True, False, 1.0, 0.0]))
    if quantity.takes_number:
        low, high = quantity.limits(units)
        assert low is not None
        assert high is not None
        if quantity.whole:
            options.append(st.integers(math.ceil(low) + quantity.above, min(math.floor(high), 5000)).map(float))
        else:
            evenly = low < 0 or high <= 100
            inner = st.floats(low, high) if evenly else st.floats(-2, math.log10(high)).map(lambda e: 10**e)
            least = low + (1e-6 * (high - low) if quantity.above else 0)  # no 1e-300, where ROUND gives up
            options.append(inner.map(lambda x: min(max(float(f"{x:.7g}"), least), high)))
        bounds = [float(b) for b, out in ((low, quantity.above), (high, quantity.below)) if not out]
        options.append(st.sampled_from(bounds or [high / 2]))
    return st.one_of(options)


def _near(argument: Argument, value: Any, units: str) -> st.SearchStrategy[Any]:
    """Values near one of the example; other options now and then."""
    quantity = argument.quantity
    if not isinstance(value, float) or quantity.whole:
        return st.one_of(st.just(value), st.just(value), _good(argument, units))
    low, high = quantity.limits(units)
    assert low is not None
    assert high is not None
    if units == US and quantity.converts:
        value = to_us(quantity, value)
    scaled = st.floats(0.9, 1.1).map(lambda factor: float(f"{value * factor:.7g}"))
    return scaled.filter(lambda x: low < x < high) if low < 0.9 * value else st.just(value)


def odd_values(argument: Argument, units: str) -> list[Any]:
    """Values that it may refuse: blanks, texts, flags, errors, numbers at and beyond its limits."""
    quantity = argument.quantity
    values: list[Any] = [None, "", "x", "7.5", " ", True, False, 0.0, 1.0, -1.0, 46143.0, ErrorInput("#DIV/0!")]
    if quantity.choices:
        first = quantity.choices[0]
        values += ["?", "*", "~" + first, first + " ", first[:-1] + "?", first[:1] + "*", first + "|" + first]
        values += [text[:-1] + "?" for text in quantity.choices if len(text) == 1]
    if quantity.grade:
        values += ["15-5", "15-5-30-2", "15-x-30", "5%-5-5", "15-5-5%", "1:30-2-3", "15- 5-30", "15,5-0-0", "-15-5-30",
                   "0-0-0", "15-5-5E2"]
    if quantity.whole:
        values.append(2.5)
    for limit in quantity.limits(units) if quantity.takes_number else ():
        if limit is not None:
            step = 1.0 if quantity.whole else max(abs(limit), 1) * 1e-8
            values += [limit, limit - step, limit + step]
    return values


@st.composite
def calls(draw: st.DrawFn, function: WorksheetFunction, units: Any = None) -> list[Any]:
    """Values for the cell form, up to two of them odd; `units` is one system, or None for any or none."""
    named = draw(st.sampled_from([METRIC, US, "US", None, ""])) if units is None else units
    system = US if named in (US, "US") else METRIC
    values: list[Any] = []
    by_example = draw(st.booleans())  # arguments that fit each other
    for argument, near in zip_longest(function.arguments, function.example):
        good = _near(argument, near, system) if by_example and near is not None else _good(argument, system)
        values.append(draw(good if argument.required else st.one_of(good, st.none())))
    if function.has_units:
        values.append(named)
        if units is None and not draw(st.integers(0, 9)):
            values[-1] = draw(st.sampled_from(["imperial", 1.0, True, "?", ErrorInput("#REF!")]))
    for i in draw(st.lists(st.integers(0, len(function.arguments) - 1), max_size=2)):
        values[i] = draw(st.sampled_from(odd_values(function.arguments[i], system)))
    return values


def expected_of(function: WorksheetFunction, values: Sequence[Any]) -> Any:
    """The call's value, a number or a text; None where it is refused."""
    try:
        return call(function, values)
    except Outcome:
        return None


def columns_of(function: WorksheetFunction) -> list[str]:
    """A sheet's columns for the arguments of the cell form."""
    return [get_column_letter(i + 1) for i in range(len(function.cell_arguments))]


def typed(value: Any) -> str:
    """A constant as it stands in a formula; nothing for a blank."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    return '"' + value + '"' if isinstance(value, str) else repr(value)


AGREEMENT = 1e-9  # relative, between hosts


def agrees(found: Any, expected: Any) -> bool:
    """Whether a host gives the expected number or text, or an error where there is none."""
    if isinstance(expected, str):
        return bool(found == expected)
    if expected is None:
        return isinstance(found, ErrorValue) or found in ERROR_CODES
    is_number = isinstance(found, (int, float)) and not isinstance(found, bool)
    return is_number and math.isclose(found, expected, rel_tol=AGREEMENT, abs_tol=1e-12)
