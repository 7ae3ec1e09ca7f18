"""At the door: what is read in vessel and tank before the fish go in, and what becomes of the haul water."""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.rules import Rule, Rungs, act, fine, is_blank, needs, not_asked, say, shown, unit_of, watch
from pailbook.workbook.move_plan.rules.asked import ACIDITY, AIR, AMMONIA, DESTINATION, WARMTH, check, verdict
from pailbook.workbook.move_plan.trip import SEALED

_UNREAD = "not tested yet; test it at the door"  # until then a verdict would only repeat the forecast
RISES = 1.05  # times what it was, from which un-ionised ammonia counts as rising
_CROSS = "Match the temperature, then move the fish across quickly; do not mix the waters slowly"


def _oxygen(carried: Any, oxygen: Any, act_below: Any, watch_below: Any) -> Rungs:
    more = "More air before anything else"
    return (
        not_asked(carried == SEALED, "in a sealed bag the oxygen above the water decides"),
        act(oxygen < act_below, "more air at once, before anything else", more),
        watch(oxygen < watch_below, "keep the air on between exchanges", more),
        fine(),
    )


@verdict("Oxygen in the vessel")
def oxygen_in_the_vessel(carried: Any, door_oxygen: Any, limit_oxygen_act: Any, limit_oxygen_watch: Any) -> Rungs:
    """Whether the fish have oxygen at the door, by the reading or by the forecast."""
    return _oxygen(carried, door_oxygen, limit_oxygen_act, limit_oxygen_watch)


@check("At the door: oxygen", AIR)
def oxygen_at_the_door(
    given_door_oxygen: Any, carried: Any, door_oxygen: Any, limit_oxygen_act: Any, limit_oxygen_watch: Any
) -> Rungs:
    """Whether the fish have oxygen at the door, once it was read."""
    return (not_asked(is_blank(given_door_oxygen), _UNREAD),
            *_oxygen(carried, door_oxygen, limit_oxygen_act, limit_oxygen_watch))


@check("At the door: pH", ACIDITY)
def ph_at_the_door(
    tank_ph: Any, door_ph: Any, given_door_ph: Any, given_tank_ph: Any, ph_no_go: Any, ph_within: Any
) -> Rungs:
    """A no-go or a watch by readings; a forecast is never more than a watch."""
    gap = ops.absolute(tank_ph - door_ph)
    unread = is_blank(given_door_ph) & is_blank(given_tank_ph)
    keep = "Keep the fish in aerated vessels and adjust pH over a day or more"
    return (
        needs(tank_ph, door_ph, ph_no_go, ph_within),
        watch(unread & (gap > ph_no_go), say("a gap of ", shown(gap, 1), " is forecast, because the air removes CO2 "
                                             "on the way; test both at the door"), keep),
        fine(unread),
        act(gap > ph_no_go,
            "the two pH readings are too far apart; keep the fish in aerated vessels and adjust pH over a day or more",
            keep),
        watch(gap > ph_within, "the two pH readings differ; make small exchanges, slowly, and watch the fish", keep),
        fine(),
    )


def _temperature(tank: Any, vessel: Any, no_go: Any, limit: Any) -> Rungs:
    gap = ops.absolute(tank - vessel)
    slowly = "Bring the temperatures together slowly before anything else"
    return (
        needs(tank, vessel),
        act(gap > no_go, "too far apart; bring the temperatures together over hours, away from the tank", slowly),
        watch(gap > limit, say("more than ", shown(limit, 1), " ", unit_of(limit),
                               " apart; make smaller exchanges and wait longer"), slowly),
        fine(),
    )


@verdict("Temperature")
def temperature_of_vessel_and_tank(
    tank_temperature: Any, door_temperature: Any, temperature_no_go: Any, temperature_watch: Any
) -> Rungs:
    """Whether vessel and tank are too far apart, by readings or by the forecast."""
    return _temperature(tank_temperature, door_temperature, temperature_no_go, temperature_watch)


@check("At the door: temperature", WARMTH)
def temperature_at_the_door(
    given_door_temperature: Any, given_tank_temperature: Any, tank_temperature: Any, door_temperature: Any,
    temperature_no_go: Any, temperature_watch: Any,
) -> Rungs:
    """Whether vessel and tank are too far apart, once one of them was read."""
    return (not_asked(is_blank(given_door_temperature) & is_blank(given_tank_temperature), _UNREAD),
            *_temperature(tank_temperature, door_temperature, temperature_no_go, temperature_watch))


def _tank(tan: Any, zero: Any) -> Rungs:
    return act(tan > zero, "there is ammonia in the tank; keep the fish out of it",
               "Keep the fish out of the tank until you know the cause"), fine()


@verdict("Ammonia in the tank")
def ammonia_in_the_tank(tank_tan: Any, tan_zero: Any) -> Rungs:
    """Whether the tank is free of ammonia, by the reading or as on Destination."""
    return _tank(tank_tan, tan_zero)


@check("At the door: the tank", DESTINATION)
def tank_at_the_door(given_tank_tan: Any, tank_tan: Any, tan_zero: Any) -> Rungs:
    """Whether the tank is free of ammonia, once it was read at the door."""
    return not_asked(is_blank(given_tank_tan), _UNREAD), *_tank(tank_tan, tan_zero)


@check("Ammonia as the waters mix", AMMONIA)
def ammonia_as_the_waters_mix(
    road_ready: Any, door_ph: Any, door_temperature: Any, door_tan: Any, vessel_alkalinity: Any, tank_ph: Any,
    tank_temperature: Any, tank_alkalinity: Any, exchange_share: Any, exchange_minutes: Any, limit_nh3_act: Any,
    limit_nh3_watch: Any, nh3_rise_limit: Any, nh3_now: Any, nh3_most: Any,
) -> Rungs:
    """Whether un-ionised ammonia rises above a limit with the exchanges, or is above it already."""
    rises = nh3_most > RISES * nh3_now
    words = say("un-ionised ammonia rises as the waters mix, from ", shown(nh3_now, 3), " to ", shown(nh3_most, 3),
                " mg/L")
    now = say("un-ionised ammonia in the vessel is already ", shown(nh3_now, 3), " mg/L")
    return (
        needs(road_ready, door_ph, door_temperature, door_tan, vessel_alkalinity, tank_ph, tank_temperature,
              tank_alkalinity, exchange_share, exchange_minutes, limit_nh3_act, limit_nh3_watch, nh3_rise_limit),
        watch(is_blank(nh3_most) | is_blank(nh3_now), "the readings contradict each other; measure alkalinity",
              _CROSS),
        act(rises & (nh3_most > limit_nh3_act),
            say(words, "; bring the closed vessels to the tank's temperature, then move the fish across quickly"),
            _CROSS),
        watch(rises & (nh3_most > nh3_rise_limit),
              say(words, "; move the fish across as soon as the temperatures match"), _CROSS),
        act(nh3_now > limit_nh3_act, say(now, "; exchange water at once"), _CROSS),
        watch(nh3_now > limit_nh3_watch, say(now, "; do not wait"), _CROSS),
        fine(),
    )


def _salted(salt: Any) -> Any:
    return watch(salt > 0, "salted haul water; pour it neither into the tank nor onto plants",
                 "Pour haul water where it does no harm, never into the tank or onto plants")


@check("Salt in the haul water", DESTINATION)
def salt_in_the_haul_water(salt: Any) -> Rungs:
    """Whether salted haul water travels along."""
    return _salted(salt), fine()


@verdict("Haul water")
def haul_water(salt: Any) -> Rungs:
    """Where the haul water may go."""
    return _salted(salt), fine(True, "no salt in it. Even so, keep it out of the tank")


RULES: tuple[Rule, ...] = (oxygen_in_the_vessel, temperature_of_vessel_and_tank, ammonia_in_the_tank, haul_water)
