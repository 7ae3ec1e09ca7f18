"""The outcome policy of one call from a cell, over made-up functions and over the whole catalogue."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as Ratio
from typing import Annotated, Any

import pytest

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import with_argument
from pailbook import ops
from pailbook.function import CATALOGUE, WorksheetFunction, worksheet_function
from pailbook.hosts.call import call
from pailbook.outcomes import (
    DIV0,
    ERROR_CODES,
    NA,
    NUM,
    ErrorInput,
    MissingInput,
    NotInTable,
    NotPossible,
    Outcome,
    OutOfLimits,
    WrongKind,
)
from pailbook.quantities import UNIT_SYSTEMS, US, Quantity
from pailbook.sources import Work

AMMONIA = CATALOGUE["AMMONIA_FRACTION"]
CRITERION = CATALOGUE["AMMONIA_CRITERION"]

# A function that shows what reaches its body -----------------------------------------------------------

Warmth = Annotated[float, Quantity("warmth", "", "°C", "°F", 1.8, 32.0, low=0, high=40, above=True)]
Reach = Annotated[float, Quantity("reach", "", "m", "ft", 1 / 0.3048, low=-430, high=6000)]
Part = Annotated[float, Quantity("part", "", low=0, high=1, above=True, below=True)]
Count = Annotated[float, Quantity("count", low=1, high=1e6, whole=True)]
Stone = Annotated[Any, Quantity("stone", choices=("fine", "coarse"), low=0, high=1, above=True)]
Kind = Annotated[str, Quantity("kind", choices=("acute", "chronic"))]
Product = Annotated[str, Quantity("product", choices=("KCl", "K2SO4"), grade=True)]
Sure = Annotated[bool, Quantity("sure", flag=True)]
Free = Annotated[float, Quantity("value")]
seen: dict[str, Any] = {}


@pytest.fixture(scope="module")
def probe() -> Iterator[WorksheetFunction]:
    before = dict(CATALOGUE)

    @worksheet_function(category="Tests", source=Work("Nobody").at("p. 1"), example=(20.0, 0.5, "acute"))
    def probe_of_arguments(
        warmth: Warmth, part: Part, kind: Kind, reach: Reach = 0.0, count: Count = 2.0, stone: Stone = "coarse",
        product: Product = "KCl", sure: Sure = False, free: Free = 0.0,
    ) -> Free:
        """What arrives."""
        seen.clear()
        seen.update(locals())
        return 1.0

    yield CATALOGUE["PROBE_OF_ARGUMENTS"]
    CATALOGUE.clear()
    CATALOGUE.update(before)


def _arrives(function: WorksheetFunction, name: str, value: Any, units: Any = None) -> Any:
    """What the body gets for one argument, the others being those of the example or left out."""
    call(function, with_argument(function, name, value, units))
    return seen[name]


@pytest.mark.parametrize(("name", "value", "expected"), [
    ("warmth", 20, 20.0), ("warmth", 40.0, 40.0), ("warmth", 1e-9, 1e-9),
    ("reach", None, 0.0), ("reach", "", 0.0), ("reach", 0, 0.0), ("reach", -430.0, -430.0),
    ("count", None, 2.0), ("count", "", 2.0), ("count", 3, 3.0), ("count", 1e6, 1e6), ("count", Ratio(6, 2), 3.0),
    ("stone", None, "coarse"), ("stone", "", "coarse"), ("stone", "FINE", "fine"), ("stone", 0.02, 0.02),
    ("kind", "Chronic", "chronic"), ("kind", "acute", "acute"),
    ("product", "kcl", "KCl"), ("product", "15-5-30", "15-5-30"), ("product", None, "KCl"),
    ("sure", None, False), ("sure", True, True), ("sure", False, False), ("sure", 1.0, True), ("sure", 0.0, False),
])
def test_what_reaches_the_body(probe: WorksheetFunction, name: str, value: Any, expected: Any) -> None:
    arrived = _arrives(probe, name, value)
    assert arrived == expected
    assert type(arrived) is type(expected)


@pytest.mark.parametrize(("name", "value", "units", "expected"), [
    ("warmth", 68.0, "us", 20.0), ("warmth", 104.0, "US", 40.0), ("warmth", 20.0, "metric", 20.0),
    ("warmth", 20.0, "", 20.0), ("warmth", 20.0, None, 20.0), ("reach", 1000.0, "us", 304.8),
    ("reach", 0.0, "us", 0.0), ("reach", None, "us", 0.0), ("count", None, "us", 2.0), ("part", 0.5, "us", 0.5),
])
def test_units_are_converted_at_the_edge(
    probe: WorksheetFunction, name: str, value: Any, units: Any, expected: float
) -> None:
    assert _arrives(probe, name, value, units) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(("name", "value", "outcome", "message"), [
    ("warmth", None, MissingInput, "warmth is missing; expected a number above 0 and up to 40 °C"),
    ("warmth", "", MissingInput, "warmth is missing; expected a number above 0 and up to 40 °C"),
    ("kind", None, MissingInput, 'kind is missing; expected "acute" or "chronic"'),
    ("kind", "", MissingInput, 'kind is missing; expected "acute" or "chronic"'),
    ("warmth", "warm", WrongKind, "warmth is 'warm'; expected a number above 0 and up to 40 °C"),
    ("warmth", "20", WrongKind, "warmth is '20'; expected a number above 0 and up to 40 °C"),
    ("warmth", " ", WrongKind, "warmth is ' '; expected a number above 0 and up to 40 °C"),
    ("warmth", True, WrongKind, "warmth is True; expected a number above 0 and up to 40 °C"),
    ("warmth", False, WrongKind, "warmth is False; expected a number above 0 and up to 40 °C"),
    ("reach", False, WrongKind, "reach is False; expected a number from -430 to 6,000 m"),
    ("warmth", datetime.date(2026, 5, 1), WrongKind, "expected a number above 0 and up to 40 °C"),
    ("warmth", datetime.datetime(2026, 5, 1), WrongKind, "expected a number above 0 and up to 40 °C"),
    ("warmth", b"20", WrongKind, "warmth is b'20'; expected a number"),
    ("warmth", [20.0], WrongKind, r"warmth is \[20.0\]; expected a number"),
    ("warmth", complex(20, 1), WrongKind, "expected a number"),
    ("warmth", object(), WrongKind, "expected a number"),
    ("warmth", Decimal(20), WrongKind, "expected a number"),
    ("warmth", 0.0, OutOfLimits, "warmth is 0 °C; expected a number above 0 and up to 40 °C"),
    ("warmth", 40.0001, OutOfLimits, "warmth is 40.0001 °C; expected a number above 0 and up to 40 °C"),
    ("warmth", 46143, OutOfLimits, "warmth is 46143 °C; expected"),  # a date's serial number
    ("warmth", math.nan, OutOfLimits, "warmth is nan °C; expected"),
    ("warmth", math.inf, OutOfLimits, "warmth is inf °C; expected"),
    ("warmth", -math.inf, OutOfLimits, "warmth is -inf °C; expected"),
    ("warmth", 10**400, OutOfLimits, "warmth is inf °C; expected"),
    ("warmth", -(10**400), OutOfLimits, "warmth is -inf °C; expected"),
    ("free", math.nan, OutOfLimits, "free is nan; expected a number"),
    ("free", math.inf, OutOfLimits, "free is inf; expected a number"),
    ("part", 0, OutOfLimits, "part is 0; expected a number above 0 and below 1"),
    ("part", 1, OutOfLimits, "part is 1; expected a number above 0 and below 1"),
    ("reach", -430.5, OutOfLimits, "reach is -430.5 m; expected a number from -430 to 6,000 m"),
    ("count", 2.5, OutOfLimits, "count is 2.5; expected a whole number from 1 to 1,000,000"),
    ("count", 0, OutOfLimits, "count is 0; expected a whole number from 1 to 1,000,000"),
    ("count", 1000001, OutOfLimits, "count is 1000001; expected a whole number from 1 to 1,000,000"),
    ("stone", 0.0, OutOfLimits, 'stone is 0; expected "fine" or "coarse", or a number above 0 and up to 1'),
    ("stone", "medium", WrongKind,
     "stone is 'medium'; expected \"fine\" or \"coarse\", or a number above 0 and up to 1"),
    ("kind", "sub-acute", WrongKind, "kind is 'sub-acute'; expected \"acute\" or \"chronic\""),
    ("kind", "acute ", WrongKind, "kind is 'acute '; expected"),
    ("kind", "?", WrongKind, "kind is '\\?'; expected"),
    ("kind", "a*", WrongKind, "expected"),
    ("kind", 1.0, WrongKind, 'kind is 1.0; expected "acute" or "chronic"'),
    ("kind", True, WrongKind, 'kind is True; expected "acute" or "chronic"'),
    ("product", "15-5", WrongKind, 'expected "KCl" or "K2SO4", or a label grade such as 15-5-30'),
    ("sure", 2.0, WrongKind, "sure is 2.0; expected TRUE or FALSE"),
    ("sure", "TRUE", WrongKind, "sure is 'TRUE'; expected TRUE or FALSE"),
    ("units", "imperial", WrongKind, "units is 'imperial'; expected \"metric\" or \"us\""),
    ("units", 1.0, WrongKind, 'units is 1.0; expected "metric" or "us"'),
])
def test_refusals(probe: WorksheetFunction, name: str, value: Any, outcome: type[Outcome], message: str) -> None:
    with pytest.raises(outcome, match=message) as refused:
        call(probe, with_argument(probe, name, value, value if name == "units" else None))
    assert type(refused.value) is outcome
    assert str(refused.value).startswith("PROBE_OF_ARGUMENTS: ")


@pytest.mark.parametrize(("outcome", "code"), [
    (MissingInput, "#N/A"), (NotInTable, "#N/A"), (WrongKind, "#VALUE!"), (OutOfLimits, "#NUM!"),
    (NotPossible, "#NUM!"),
])
def test_each_outcome_has_its_error(outcome: type[Outcome], code: str) -> None:
    assert outcome("why").code == code
    assert issubclass(outcome, ValueError)


@pytest.mark.parametrize(("name", "value", "message"), [
    ("warmth", 32.0, "warmth is 32 °F; expected a number above 32 and up to 104 °F"),
    ("warmth", 104.01, "warmth is 104.01 °F; expected a number above 32 and up to 104 °F"),
    ("warmth", 20.0, "warmth is 20 °F"),
    ("reach", 19686.0, "reach is 19686 ft; expected a number from -1,410 to 19,680 ft"),
])
def test_limits_speak_the_unit_system(probe: WorksheetFunction, name: str, value: float, message: str) -> None:
    with pytest.raises(OutOfLimits, match=message):
        call(probe, with_argument(probe, name, value, US))


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_no_limit_in_words_lies_outside_the_limit_itself(units: str) -> None:
    """The words are rounded to four digits, inwards: nobody is sent to a number that is refused."""
    for function in CATALOGUE.values():
        for argument in function.arguments:
            quantity = argument.quantity
            if not quantity.takes_number:
                continue
            low, high = quantity.limits(units)
            texts = re.findall(r"(?:above|from|to|below) (-?[\d,.]*\d)", quantity.expected(units))
            shown = [float(text.replace(",", "")) for text in texts]
            for exact, number in zip((limit for limit in (low, high) if limit is not None), shown, strict=True):
                assert low is None or number >= low
                assert high is None or number <= high
                assert number == pytest.approx(exact, rel=1e-3)


def test_too_many_arguments(probe: WorksheetFunction) -> None:
    with pytest.raises(WrongKind, match="PROBE_OF_ARGUMENTS takes at most 10 arguments, not 11"):
        call(probe, [20.0, 0.5, "acute", *[None] * 8])


def test_trailing_arguments_may_be_missing(probe: WorksheetFunction) -> None:
    assert call(probe, [20.0, 0.5, "acute"]) == 1
    with pytest.raises(MissingInput, match="kind is missing"):
        call(probe, [20.0, 0.5])
    with pytest.raises(MissingInput, match="warmth is missing"):
        call(probe, [])


def test_order_of_precedence(probe: WorksheetFunction) -> None:
    """An error goes before a blank, a blank before a wrong kind, a wrong kind before a limit, wherever they stand."""
    error = ErrorInput(DIV0)
    good = [20.0, 0.5, "acute"]
    cases: list[tuple[list[Any], type[Outcome]]] = [
        ([99.0, "half", None, error], ErrorInput),
        ([99.0, "half", None], MissingInput),
        ([99.0, "half", "acute"], WrongKind),
        ([99.0, 0.5, "acute", *[None] * 6, "imperial"], WrongKind),
        ([99.0, 0.5, "acute"], OutOfLimits),
        ([*good, *[None] * 6, error], ErrorInput),
    ]
    for values, outcome in cases:
        with pytest.raises(outcome) as refused:
            call(probe, values)
        assert type(refused.value) is outcome
    with pytest.raises(WrongKind, match="at most"):
        call(probe, [error] * 11)


@pytest.mark.parametrize("code", ERROR_CODES)
def test_an_error_goes_out_unchanged(code: str) -> None:
    with pytest.raises(ErrorInput) as refused:
        call(AMMONIA, [8.0, ErrorInput(code)])
    assert refused.value.code == code


def test_the_first_of_two_errors_goes_out() -> None:
    with pytest.raises(ErrorInput) as refused:
        call(AMMONIA, [ErrorInput(NUM), ErrorInput(NA)])
    assert refused.value.code == NUM


# What a body comes to ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("result", "message"), [
    (lambda: 1.0 / 0.0, r"these values have no answer \(float division by zero\)"),
    (lambda: math.exp(1000.0), "these values have no answer"),
    (lambda: math.sqrt(-1.0), "these values have no answer"),
    (lambda: ops.sqrt(-1.0), "PROBE_OF_ARGUMENTS: sqrt of -1 does not exist"),
    (lambda: (-8.0) ** (1 / 3), "these values have no answer"),  # Python makes a complex number of it
    (lambda: 1e308 * 10, "these values have no finite answer"),
    (lambda: math.nan, "these values have no finite answer"),
    (lambda: ops.require(False, 1.0, "the fish would not fit"), "PROBE_OF_ARGUMENTS: the fish would not fit"),
])
def test_no_answer(probe: WorksheetFunction, result: Any, message: str) -> None:
    with pytest.raises(NotPossible, match=message) as refused:
        call(replace(probe, body=lambda **_: result()), probe.example)
    assert str(refused.value).startswith("PROBE_OF_ARGUMENTS: ")


def test_a_table_without_an_entry(probe: WorksheetFunction) -> None:
    body = replace(probe, body=lambda **_: ops.pick("c", {"a": 1.0}, "letter"))
    with pytest.raises(NotInTable, match="PROBE_OF_ARGUMENTS: there is no letter for c"):
        call(body, probe.example)


@pytest.mark.parametrize("result", [3, 3.0, True, "oxygen"])
def test_results_are_floats_texts_or_flags(probe: WorksheetFunction, result: Any) -> None:
    value = call(replace(probe, body=lambda **_: result), probe.example)
    assert value == result
    assert type(value) is (float if result == 3 else type(result))
