"""Rungs that are asked only where a condition holds: elsewhere what they ask need not be in order."""

from __future__ import annotations

from typing import Annotated, Any

import pytest

from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.quantities import Biomass, FishDensity
from pailbook.quantity import Quantity
from pailbook.rules import (
    BadRule,
    Rungs,
    act,
    fine,
    is_blank,
    judge,
    needs,
    not_asked_if_blank,
    only_where,
    rule,
    skips,
    watch,
)
from rule_forms import Case, differences, in_columns, in_engine, in_python

DAYS = Quantity("days", low=0, high=3650)
EVENT = Quantity("event", choices=("came", "went"))


@rule("Fish that came or went")
def came(
    event: Annotated[str, EVENT, "Event"],
    weight: Annotated[Biomass, "Total weight", skips],
    density: Annotated[FishDensity, "Stocking density"],
    most: Annotated[FishDensity, "Highest density", skips],
    high: Annotated[FishDensity, "High density", skips],
    days: Annotated[float, DAYS, "Days since"],
) -> Rungs:
    """The density counts where the fish were weighed, the days where they came."""
    return (
        needs(event, weight),
        *only_where(~is_blank(weight), act(density > most, "too dense", "Move some"), watch(density > high, "dense")),
        *only_where(event == "came", watch(days < 21, "new fish")),
        fine(),
    )


FULL: dict[str, Any] = {"event": "came", "weight": 10.0, "density": 15.0, "most": 40.0, "high": 20.0, "days": 30.0}
CASES: list[tuple[dict[str, Any], str]] = [
    ({}, "fine"),
    ({"density": 41.0}, "act: too dense"),
    ({"density": 21.0, "most": None}, "watch: dense"),
    ({"density": None}, "not known: Stocking density is missing"),
    ({"most": "x"}, "not known: Highest density is no number"),
    ({"weight": None, "density": None, "most": "x"}, "fine"),
    ({"weight": "heavy", "density": None}, "not known: Total weight is no number"),
    ({"days": 20.0}, "watch: new fish"),
    ({"days": None}, "not known: Days since is missing"),
    ({"event": "went", "days": None}, "fine"),
    ({"event": "went", "days": ErrorValue("#N/A")}, "fine"),
    ({"event": "went", "weight": None, "density": "x", "days": -1.0}, "fine"),
    ({"event": None, "days": None}, "not known: Event is missing"),
]


def test_every_form_asks_them_only_there() -> None:
    cases: list[Case] = [(came, "metric", FULL | other) for other, _ in CASES]
    wanted = in_python(cases)
    assert [told[0] for told in wanted] == [text for _, text in CASES]
    for found in (in_columns(cases), in_engine(cases, FAST), in_engine(cases, REFERENCE)):
        assert not differences(cases, wanted, found)


def test_rungs_behind_them_ask_again() -> None:
    @rule("Days")
    def twice(
        event: Annotated[str, EVENT, "Event"], days: Annotated[float, DAYS, "Days since"],
    ) -> Rungs:
        return needs(event), *only_where(event == "came", watch(days < 21, "new")), watch(days > 100, "old"), fine()

    assert judge(twice, {"event": "went", "days": None}).text == "not known: Days since is missing"
    assert judge(twice, {"event": "went", "days": 20.0}).text == "fine"


def _bodies() -> list[tuple[str, Any]]:
    def too_early(event: Annotated[str, EVENT, "Event"], days: Annotated[float, DAYS, "Days since"]) -> Rungs:
        return *only_where(event == "came", watch(days < 21, "new")), fine()

    def last(event: Annotated[str, EVENT, "Event"]) -> Rungs:
        return needs(event), *only_where(event == "came", fine())

    def unasked(
        event: Annotated[str, EVENT, "Event"], days: Annotated[float, DAYS, "Days since", not_asked_if_blank],
    ) -> Rungs:
        return needs(event), *only_where(event == "came", watch(days < 21, "new")), fine()

    return [("before it is asked", too_early), ("the last rung", last), ("cannot ask", unasked)]


@pytest.mark.parametrize(("reason", "body"), _bodies(), ids=lambda one: getattr(one, "__name__", ""))
def test_what_a_reader_could_not_follow_is_refused(reason: str, body: Any) -> None:
    with pytest.raises(BadRule, match=reason):
        rule("Refused")(body)
