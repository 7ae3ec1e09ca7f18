"""Dates in sentences, a known harm beside what is not known, and words for a cell that other cells calculate."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import pytest

from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.quantity import Quantity
from pailbook.rules import (
    BadRule,
    Rungs,
    Unusable,
    act,
    act_if_known,
    dated,
    fine,
    is_blank,
    judge,
    rule,
    say,
    skips,
    watch,
)
from rule_forms import Case, differences, in_columns, in_engine, in_python

READING = Quantity("reading", low=0, high=100)
DAY = Quantity("day", low=36526, high=73050, whole=True)  # 2000 to 2099
TRIP = Quantity("trip", choices=("yes",))


@rule("Filter and day")
def filter_and_day(
    ready: Annotated[str, TRIP, "the trip", Unusable("cannot be calculated yet")],
    ammonia: Annotated[float, READING, "Ammonia"],
    nitrite: Annotated[float, READING, "Nitrite"],
    move: Annotated[float, DAY, "Day of the move", skips],
    today: Annotated[float, DAY, "Today's date"],
) -> Rungs:
    """One reading beyond its limit decides; the filter is fine only where both were read."""
    return (
        act_if_known(nitrite > 0.25, "nitrite is in the water", "Bring no fish"),
        act((ready == "yes") & (ammonia > 0.25), "ammonia is in the water", "Bring no fish"),
        act(nitrite > 0.25, "nitrite is in the water", "Bring no fish"),
        watch(is_blank(move), "enter the day of the move"),
        watch(today > move - 2, say("start by ", dated(move - 2))),
        fine(),
    )


FULL: dict[str, Any] = {"ready": "yes", "ammonia": 0.0, "nitrite": 0.0, "move": 46183.0, "today": 46183.0}
# 46183 is 2026-06-10: 46023 is 2026-01-01, and 31 + 28 + 31 + 30 + 31 + 9 = 160 days follow.
CASES: list[tuple[dict[str, Any], str]] = [
    ({}, "watch: start by 2026-06-08"),
    ({"move": 46025.0, "today": date(2026, 1, 3)}, "watch: start by 2026-01-01"),
    ({"today": 46181.0}, "fine"),
    ({"move": None}, "watch: enter the day of the move"),
    ({"move": "June"}, "not known: Day of the move is no number"),
    ({"ready": None, "nitrite": 1.0}, "act: nitrite is in the water"),
    ({"ammonia": "much", "nitrite": 1.0}, "act: nitrite is in the water"),
    ({"ammonia": ErrorValue("#N/A"), "nitrite": 0.25}, "not known: Ammonia is an error"),
    ({"ammonia": None, "nitrite": None}, "not known: Ammonia is missing"),
    ({"ammonia": 0.5, "nitrite": "much"}, "act: ammonia is in the water"),
    ({"nitrite": "much"}, "not known: Nitrite is no number"),
    ({"nitrite": -1.0}, "not known: Nitrite is outside its limits"),
    ({"ready": None}, "not known: the trip cannot be calculated yet"),
    ({"ready": "not yet"}, "not known: the trip cannot be calculated yet"),
    ({"ready": ErrorValue("#REF!")}, "not known: the trip cannot be calculated yet"),
]


def test_every_form_says_so() -> None:
    cases: list[Case] = [(filter_and_day, "metric", {**FULL, **changed}) for changed, _ in CASES]
    told = in_python(cases)
    assert [text for text, *_ in told] == [text for _, text in CASES]
    assert not differences(cases, told, in_columns(cases))
    sheets = [(one, units, {**values, "today": 46025.0} if isinstance(values["today"], date) else values)
              for one, units, values in cases]
    for engine in (FAST, REFERENCE):
        assert not differences(sheets, told, in_engine(sheets, engine))


def test_what_is_not_known_is_named() -> None:
    found = judge(filter_and_day, {**FULL, "ready": "not yet"})
    assert (found.about, found.remedy) == ("ready", "Put this right: the trip cannot be calculated yet")


def test_a_harm_that_is_known_must_always_have_an_answer() -> None:
    with pytest.raises(BadRule, match="must always have an answer"):
        @rule("Share")
        def share(a: Annotated[float, READING, "A"], b: Annotated[float, READING, "B"]) -> Rungs:
            """Divides by what may be 0."""
            return act_if_known(a / b > 1, "too much", "Less"), act(a / b > 1, "too much", "Less"), fine()
