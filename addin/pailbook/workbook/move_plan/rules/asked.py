"""What the rules of a move ask: each value once, by the key of its field, under the field's own label."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Annotated, Any

from pailbook.quantities import Quantity
from pailbook.rules import Rule, Rungs, Unusable, rule, skips
from pailbook.workbook.form import Field, Item
from pailbook.workbook.move_plan import (
    after,
    arrival,
    calendar,
    destination,
    limits,
    measures,
    road,
    trip,
    vessels,
    waters,
)
from pailbook.workbook.move_plan.answers import ANSWERS
from pailbook.workbook.move_plan.labels import label

# Values that may be left blank, or that stay blank where there is nothing to calculate.
_MAY_BE_BLANK = frozenset({
    "as_of", "move_date", "chlorine", "filter_area", "filter_takes", "from_hardness", "to_hardness",
    "from_conductivity", "to_conductivity", "from_light", "to_light", "quarantine", "fish_length", "fasting_hours",
    "nh3_now", "nh3_most",
})
_READINGS_IN_USE = ("from_ph_now", "to_ph_now")  # calculated, but each is a reading that was typed
_NUMBER = Quantity("number")
_WORST = Quantity("first limit", choices=("none", "oxygen", "ammonia", "carbon dioxide"))
READY = "yes"  # of "Can the trip be calculated?"
# Boxes at the door of which rules ask whether anything was typed, and not only what is in use.
AT_THE_DOOR = ("door_ph", "tank_ph", "door_temperature", "tank_temperature", "door_oxygen", "tank_tan")


def _hint(quantity: Quantity, words: str, blank: bool = False) -> Any:
    """A type hint of a rule's question."""
    kind: Any = str if quantity.choices else float
    return Annotated[kind, quantity, f"'{words}'", skips] if blank else Annotated[kind, quantity, f"'{words}'"]


def _calculated(item: Field) -> Quantity:
    """What a result may be: any number, because a forecast beyond all limits is a forecast still."""
    if item.quantity is None:
        return _NUMBER
    return replace(item.quantity, low=None, high=None, above=False, below=False, whole=False)


def _of_fields(items: tuple[Item, ...]) -> Iterator[tuple[str, Any]]:
    for item in items:
        if not isinstance(item, Field) or item.verdict or item.kind == "text":
            continue
        typed = item.result is None or item.key in _READINGS_IN_USE
        quantity = measures.of_box(item) if typed else _calculated(item)
        yield item.key, _hint(quantity, label(item), item.key in _MAY_BE_BLANK)
        if item.key in AT_THE_DOOR:
            yield f"given_{item.key}", _hint(quantity, label(item), blank=True)


ASKED: dict[str, Any] = {
    key: hint for items in (ANSWERS, trip.ITEMS, calendar.ITEMS, vessels.ITEMS, road.ITEMS, destination.ITEMS,
                            arrival.ITEMS, limits.ITEMS) for key, hint in _of_fields(items)
} | {
    "changed_oxygen": _hint(_NUMBER, "oxygen", blank=True),
    "changed_nh3": _hint(_NUMBER, "un-ionised ammonia"),
    "changed_co2": _hint(_NUMBER, "carbon dioxide"),
    **{key: _hint(after.quantity_of(key), after.heading_of(key), blank=True)
       for key in ("dead", "signs", "with_sign", "feed_eaten")},
    "dead_before": _hint(after.quantity_of("dead"), "New fish dead on the day before", blank=True),
    "dead_in_week": _hint(_NUMBER, "Fish dead in 7 days"),
    "day": _hint(_NUMBER, "Day"),
    "days_seen": _hint(_NUMBER, "Last day entered"),
    "days_to_act": _hint(_NUMBER, "Days that need action"),
    "days_to_watch": _hint(_NUMBER, "Days to watch"),
    "days_unknown": Annotated[float, _NUMBER, "an entry below", Unusable("cannot be used")],
    "entries": _hint(_NUMBER, "What you entered"),
    "road_ready": Annotated[str, Quantity("trip", choices=(READY,)), "the trip",
                            Unusable("cannot be calculated yet; see Start")],
    "worst_limit": _hint(_WORST, "First limit reached, worst case"),
    "kit_resolution_ph": _hint(waters.resolution_quantity(), waters.resolution_label(waters.PAIRS[0])),
}

Body = Callable[..., Rungs]


def verdict(subject: str) -> Callable[[Body], Rule]:
    """Declares a rule whose verdict stands on one of the sheets."""
    return rule(subject, asks=ASKED)


def check(subject: str, matter: str) -> Callable[[Body], Rule]:
    """Declares a rule of the sheet Go or no-go.

    The answer waits for each of them. A go also needs a "fine" or a "watch" on each matter, so that a plan in which
    nothing was asked of the fish, say, is no go.
    """
    return rule(subject, asks=ASKED, essential=matter)


# The matters of a move.
ENTERED, FISH, AIR, AMMONIA, CO2, ACIDITY, WARMTH, DESTINATION = (
    "what was entered", "fish", "vessels and air", "ammonia", "carbon dioxide", "pH", "temperature", "destination")
