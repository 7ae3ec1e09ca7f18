"""The outcome policy over the whole catalogue: limits, blanks, wrong kinds, unit systems."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import to_us, with_argument
from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.outcomes import VALUE, MissingInput, NotInTable, NotPossible, Outcome, OutOfLimits, WrongKind
from pailbook.quantities import METRIC, US
from plain import SINGLE
from thorough import each

FUNCTIONS = SINGLE
each_function = each("function", FUNCTIONS, lambda function: function.name)
AMMONIA = CATALOGUE["AMMONIA_FRACTION"]


def _limits(units: str) -> list[Any]:
    return [
        (function, argument, units, limit, side)
        for function in FUNCTIONS for argument in function.arguments if argument.quantity.takes_number
        for side, limit in zip(("low", "high"), argument.quantity.limits(units)) if limit is not None
    ]


@each(("function", "argument", "units", "limit", "side"), [*_limits(METRIC), *_limits(US)],
      lambda value: str(getattr(value, "name", value)))
def test_limits_at_and_just_beyond_each_bound(
    function: WorksheetFunction, argument: Argument, units: str, limit: float, side: str
) -> None:
    quantity = argument.quantity
    beyond = -1 if side == "low" else 1
    step = max(abs(limit), 1.0) * 1e-7
    if quantity.whole:
        step = 1.0
    at, out, within = limit, limit + beyond * step, limit - beyond * step
    excluded = quantity.above if side == "low" else quantity.below
    assert _is_refused(function, argument.name, out, units), f"{out} is beyond {limit}"
    assert not _is_refused(function, argument.name, within, units), f"{within} is within {limit}"
    if at == 0 and argument.default_is_zero:
        assert not _is_refused(function, argument.name, at, units), "0 stands for left out"
    else:
        assert _is_refused(function, argument.name, at, units) == excluded
    if units == US and quantity.converts:  # as somebody would type it, from a table of ten digits
        metric = quantity.low if side == "low" else quantity.high
        assert metric is not None
        typed = float(f"{to_us(quantity, metric):.10g}")
        if typed or not argument.default_is_zero:
            assert _is_refused(function, argument.name, typed, units) == excluded


def _is_refused(function: WorksheetFunction, name: str, value: float, units: str) -> bool:
    try:
        call(function, with_argument(function, name, value, units if function.has_units else None))
    except OutOfLimits as reason:
        return f"{function.name}: {name} is " in str(reason) and "; expected " in str(reason)
    except (NotPossible, NotInTable):
        return False  # within its own limits; together with the others it has no answer
    return False


# 0 °C and 40 °C are 32 °F and 104 °F by the definition of the scale.
@pytest.mark.parametrize(("fahrenheit", "accepted"), [(104.0, True), (104.1, False), (32.0, False), (32.1, True)])
def test_round_limits_of_fahrenheit(fahrenheit: float, accepted: bool) -> None:
    if accepted:
        assert 0 < call(AMMONIA, [8.0, fahrenheit, None, "us"]) < 1
    else:
        with pytest.raises(OutOfLimits, match="expected a number above 32 and up to 104 °F"):
            call(AMMONIA, [8.0, fahrenheit, None, "us"])


def test_a_number_equal_to_a_metric_default_is_still_in_us_units() -> None:
    """24 kg/m³ is the default hauling density; 24 lb/US gal would be 2876 kg/m³."""
    load = CATALOGUE["BUCKET_LOAD"]
    assert call(load, [60.0, None, 24.0]) == call(load, [60.0])
    with pytest.raises(OutOfLimits, match="hauling_density is 24 lb/US gal"):
        call(load, [8.0, None, 24.0, "us"])
    # 0.2 lb of fish per US gal of water, in 0.8 of 8 US gal: 1.28 lb. 24 kg/m³ is 0.2003 lb/US gal.
    assert call(load, [8.0, 0.8, 0.2, "us"]) == pytest.approx(1.28, rel=1e-12)
    assert call(load, [8.0, None, None, "us"]) == pytest.approx(1.28, rel=0.002)


@each_function
@pytest.mark.parametrize("blank", [None, ""], ids=["blank", "empty text"])
def test_a_blank_required_argument_never_yields_a_number(function: WorksheetFunction, blank: Any) -> None:
    for argument in function.arguments:
        if argument.required:
            with pytest.raises(MissingInput, match=f"^{function.name}: {argument.name} is missing; expected "):
                call(function, with_argument(function, argument.name, blank))


@each_function
def test_blank_optional_arguments_are_left_out(function: WorksheetFunction) -> None:
    required = [a for a in function.arguments if a.required]
    least = list(function.example[: len(required)])
    expected = call(function, least)
    rest = len(function.cell_arguments) - len(least)
    assert call(function, [*least, *[None] * rest]) == expected
    assert call(function, [*least, *[""] * rest]) == expected
    for argument in function.arguments[len(required):]:
        if argument.default_is_zero:
            with_zero = with_argument(replace(function, example=tuple(least)), argument.name, 0.0)
            assert call(function, with_zero) == expected


@each_function
@pytest.mark.parametrize("value", ["x", "?", "*", "~", "7.5", " "])
def test_foreign_text_never_yields_a_number(function: WorksheetFunction, value: str) -> None:
    for argument in function.cell_arguments:
        with pytest.raises(WrongKind, match=f"^{function.name}: {argument.name} is ") as refused:
            call(function, with_argument(function, argument.name, value, value if argument.name == "units" else None))
        assert refused.value.code == VALUE


@each_function
def test_flags_are_no_numbers(function: WorksheetFunction) -> None:
    for argument in function.cell_arguments:
        if not argument.quantity.flag:
            for flag in (True, False):
                values = with_argument(function, argument.name, flag, flag if argument.name == "units" else None)
                with pytest.raises(WrongKind):
                    call(function, values)


@each_function
def test_numbers_are_no_options(function: WorksheetFunction) -> None:
    for argument in function.arguments:
        if not argument.quantity.takes_number and not argument.quantity.flag:
            with pytest.raises(WrongKind):
                call(function, with_argument(function, argument.name, 1.0))


@each_function
def test_options_are_accepted_in_any_case(function: WorksheetFunction) -> None:
    for argument in function.arguments:
        for choice in argument.quantity.choices:
            results = []
            for text in (choice, choice.upper(), choice.lower()):
                try:
                    results.append(call(function, with_argument(function, argument.name, text)))
                except (NotInTable, NotPossible) as reason:
                    results.append(str(reason))
            assert len(set(results)) == 1, f"{argument.name} {choice}: {results}"


@each_function
def test_us_calls_equal_metric_calls(function: WorksheetFunction) -> None:
    if not function.has_units:
        assert "units" not in [a.name for a in function.cell_arguments]
        return
    for example in _examples(function):
        metric = call(function, example)
        converted = [
            to_us(a.quantity, value) if a.quantity.converts and value is not None else value
            for a, value in zip(function.arguments, example)
        ]
        result = call(function, [*converted, "us"])
        if function.result.converts and (function.result.us_when is None or example[1] == "temperature"):
            metric = to_us(function.result, metric)
        assert result == (metric if isinstance(metric, str) else pytest.approx(metric, rel=1e-12))
        assert call(function, [*example, "metric"]) == call(function, example)


def _examples(function: WorksheetFunction) -> Iterator[list[Any]]:
    """The example with the optional arguments left out, and with numbers near each optional number's default."""
    blank = [None] * (len(function.arguments) - len(function.example))
    yield [*function.example, *blank]
    full = [*function.example, *blank]
    for i, argument in enumerate(function.arguments):
        low, high = argument.quantity.limits()
        if full[i] is None and argument.quantity.takes_number and low is not None and high is not None:
            full[i] = low + (high - low) * 0.013
    try:
        call(function, full)
    except Outcome:
        return
    yield full
