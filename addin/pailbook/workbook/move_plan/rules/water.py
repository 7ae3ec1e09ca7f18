"""Both waters: pH and the time to adjust it, temperature, alkalinity, hardness, conductivity, light."""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.rules import Rule, Rungs, act, dated, fine, is_blank, needs, not_asked, say, shown, watch
from pailbook.workbook.move_plan.rules.asked import ACIDITY, DESTINATION, WARMTH, check, verdict

_EXCHANGES = "Small exchanges over a longer time"


def _gap(first: Any, second: Any) -> Any:
    """How far apart two readings are."""
    return ops.absolute(second - first)


def _ph_apart(
    from_ph: Any, to_ph: Any, from_ph_now: Any, to_ph_now: Any, no_go: Any, within: Any, daily: Any
) -> Rungs:
    gap = _gap(from_ph_now, to_ph_now)
    says = say("the pH of the two waters differs by ", shown(gap, 2), "; at most ", shown(within, 2), " is safe")
    adjust = say("Adjust the pH of one system by ", shown(daily, 2), " a day; see pH calendar")
    return (
        needs(from_ph, to_ph, from_ph_now, to_ph_now, no_go, within),
        act(gap > no_go, says, adjust),
        watch(gap > within, says, adjust),
    )


def _kit(from_ph_now: Any, to_ph_now: Any, within: Any, lowest: Any, highest: Any, resolution: Any) -> Rungs:
    finer = "Test both waters with a finer kit, or with a calibrated meter"
    at_end = (ops.minimum(from_ph_now, to_ph_now) <= lowest) | (ops.maximum(from_ph_now, to_ph_now) >= highest)
    return (
        needs(lowest, highest, resolution),
        watch(at_end, "a reading is at the end of the kit's range; the true pH may lie beyond it", finer),
        watch(_gap(from_ph_now, to_ph_now) + resolution > within,
              say("the readings match within ", shown(within, 2), ", but the kit is too coarse to confirm it"), finer),
    )


@check("pH of both waters", ACIDITY)
def ph_of_both(
    from_ph: Any, to_ph: Any, from_ph_now: Any, to_ph_now: Any, ph_no_go: Any, ph_within: Any, ph_daily: Any
) -> Rungs:
    """Whether pH is within its limit, as read."""
    return *_ph_apart(from_ph, to_ph, from_ph_now, to_ph_now, ph_no_go, ph_within, ph_daily), fine()


@check("The pH kit", ACIDITY)
def ph_kit(
    from_ph: Any, to_ph: Any, from_ph_now: Any, to_ph_now: Any, ph_within: Any, kit_lowest_ph: Any,
    kit_highest_ph: Any, kit_resolution_ph: Any,
) -> Rungs:
    """Whether the kit is fine enough to show that pH matches."""
    return (
        needs(from_ph, to_ph, from_ph_now, to_ph_now, ph_within),
        not_asked(_gap(from_ph_now, to_ph_now) > ph_within, "the two pH readings do not match yet"),
        *_kit(from_ph_now, to_ph_now, ph_within, kit_lowest_ph, kit_highest_ph, kit_resolution_ph), fine(),
    )


@verdict("pH")
def ph_match(
    from_ph: Any, to_ph: Any, from_ph_now: Any, to_ph_now: Any, ph_no_go: Any, ph_within: Any, ph_daily: Any,
    kit_lowest_ph: Any, kit_highest_ph: Any, kit_resolution_ph: Any,
) -> Rungs:
    """Whether pH is within its limit, and the kit fine enough to show it."""
    return (
        *_ph_apart(from_ph, to_ph, from_ph_now, to_ph_now, ph_no_go, ph_within, ph_daily),
        *_kit(from_ph_now, to_ph_now, ph_within, kit_lowest_ph, kit_highest_ph, kit_resolution_ph), fine(),
    )


def _days(count: Any) -> Any:
    return ops.where(count == 1, " day", " days")


@check("Time to adjust pH", ACIDITY)
def time_to_adjust_ph(from_ph: Any, to_ph: Any, calendar_left: Any, move_date: Any, as_of: Any) -> Rungs:
    """Whether the days until the move suffice."""
    start = move_date - calendar_left
    late = as_of - start
    soon = "Start now, or postpone the move"
    return (
        needs(from_ph, to_ph),
        fine(calendar_left == 0, "the pH needs no adjusting"),
        watch(is_blank(move_date), say(shown(calendar_left, 0), _days(calendar_left),
                                       " of adjusting; enter the day of the move on Trip"), soon),
        watch(is_blank(as_of), say("start by ", dated(start), "; enter today's date on Start"), soon),
        act(late > 0, say(shown(late, 0), _days(late),
                          " too late to start; postpone the move, because pH must not be hurried"), soon),
        watch(late <= 0, say("start by ", dated(start)), soon),
        fine(),
    )


@check("Hard water", ACIDITY)
def hard_water(
    from_ph: Any, to_ph: Any, calendar_from: Any, calendar_to: Any, calendar_days: Any, calendar_alkalinity: Any,
    hard_water: Any,
) -> Rungs:
    """Whether the new pH will hold after acid."""
    return (
        needs(from_ph, to_ph, calendar_from, calendar_to),
        fine(calendar_days == 0),
        watch((calendar_to < calendar_from) & (calendar_alkalinity > hard_water),
              "hard water; after acid the pH bounces back. Adjust the other system, or blend in soft water",
              "Adjust the other system, or blend in soft water"),
        fine(),
    )


@check("Temperature of both waters", WARMTH)
def temperature_match(
    from_temperature: Any, to_temperature: Any, temperature_no_go: Any, temperature_watch: Any
) -> Rungs:
    """Whether the temperatures are too far apart."""
    gap = _gap(from_temperature, to_temperature)
    closer = "Bring the two systems closer over several days; at the door, smaller and more exchanges"
    return (
        needs(from_temperature, to_temperature),
        act(gap > temperature_no_go, "too far apart; bring the two systems closer over several days", closer),
        watch(gap > temperature_watch, "too far apart for a single exchange and ten minutes; see Arrival", closer),
        fine(),
    )


@check("Alkalinity of both waters", ACIDITY)
def alkalinity_match(from_alkalinity: Any, to_alkalinity: Any, alkalinity_gap: Any) -> Rungs:
    """Whether alkalinity is so far apart that pH swings as the waters mix."""
    return (
        watch(_gap(from_alkalinity, to_alkalinity) > alkalinity_gap, "pH will swing as the waters mix; see Arrival",
              "Small exchanges; see Arrival"),
        fine(),
    )


def _where_both_were_read(first: Any, second: Any, limit: Any, what: str) -> Rungs:
    return (
        not_asked(is_blank(first) | is_blank(second), f"{what} was not entered for both waters"),
        watch(_gap(first, second) > limit, "far apart; use smaller and more exchanges of water", _EXCHANGES),
        fine(),
    )


@check("Hardness of both waters", DESTINATION)
def hardness_match(from_hardness: Any, to_hardness: Any, hardness_gap: Any) -> Rungs:
    """Whether hardness is far apart, where both waters were tested for it."""
    return _where_both_were_read(from_hardness, to_hardness, hardness_gap, "hardness")


@check("Conductivity of both waters", DESTINATION)
def conductivity_match(from_conductivity: Any, to_conductivity: Any, conductivity_gap: Any) -> Rungs:
    """Whether conductivity is far apart, where both waters were tested for it."""
    return _where_both_were_read(from_conductivity, to_conductivity, conductivity_gap, "conductivity (EC)")


@check("Light", DESTINATION)
def light_match(from_light: Any, to_light: Any) -> Rungs:
    """Whether the light differs, where it was entered for both places."""
    return (
        not_asked(is_blank(from_light) | is_blank(to_light), "light was not entered for both places"),
        watch(from_light != to_light, "the light differs; shade the brighter tank for a day",
              "Shade the brighter tank for a day"),
        fine(),
    )


RULES: tuple[Rule, ...] = (ph_match,)
