"""The trip itself: oxygen, ammonia and carbon dioxide on the road, vessels, battery, pump, feed."""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.rules import Rule, Rungs, act, fine, is_blank, listed, needs, not_asked, ours, say, shown, watch
from pailbook.terms import CARBON_DIOXIDE, UNIONISED_AMMONIA
from pailbook.workbook.move_plan.labels import in_a_sentence
from pailbook.workbook.move_plan.rules.asked import AIR, AMMONIA, CO2, ENTERED, FISH, check, verdict
from pailbook.workbook.move_plan.trip import AIRED, ANY_FISH, SEALED

LONG_TRIP = 120  # minutes, from which fasting counts
USUAL_FASTING = 24  # hours, where the length of the fish is not known


@check("What you entered", ENTERED)
def what_you_entered(entries: Any) -> Rungs:
    """Whether every entry can be used."""
    return needs(entries), fine()


@check("Oxygen on the road", AIR)
def oxygen_on_the_road(
    carried: Any, road_ready: Any, lowest_oxygen: Any, limit_oxygen_act: Any, limit_oxygen_watch: Any
) -> Rungs:
    """Whether oxygen falls too low, in the expected case."""
    says = say("oxygen is expected to fall to ", shown(lowest_oxygen, 1), " mg/L")
    more = "More air in each vessel, fewer fish in each, or no time with the pump off"
    return (
        not_asked(carried == SEALED,
                  "in a sealed bag the oxygen above the water decides, which this plan does not calculate"),
        needs(road_ready),
        act(lowest_oxygen < limit_oxygen_act, says, more),
        watch(lowest_oxygen < limit_oxygen_watch, says, more),
        fine(),
    )


@check("Battery", AIR)
def battery(carried: Any, road_ready: Any, trip_minutes: Any, worst_minutes: Any, battery_hours: Any) -> Rungs:
    """Whether the battery outlasts trip and delay."""
    larger = "A larger battery, or power from the vehicle"
    return (
        not_asked(carried != AIRED, "no pump runs on this trip"),
        needs(road_ready),
        act(60 * battery_hours < trip_minutes, "the battery runs out before the trip ends", larger),
        watch(60 * battery_hours < worst_minutes, "the battery does not outlast the delay to allow for", larger),
        fine(),
    )


def _too_high(value: Any, act_above: Any, watch_above: Any, what: str, digits: int, remedy: str) -> Rungs:
    says = say(what, " is expected to reach ", shown(value, digits), " mg/L")
    return act(value > act_above, says, remedy), watch(value > watch_above, says, remedy), fine()


@check("Ammonia on the road", AMMONIA)
def ammonia_on_the_road(road_ready: Any, highest_nh3: Any, limit_nh3_act: Any, limit_nh3_watch: Any) -> Rungs:
    """Whether un-ionised ammonia rises above its limits, in the expected case."""
    return needs(road_ready), *_too_high(
        highest_nh3, limit_nh3_act, limit_nh3_watch, in_a_sentence(UNIONISED_AMMONIA), 3,
        "Fewer fish in each vessel; cleaner, cooler water at loading; fish that have been fasted")


@check("Carbon dioxide on the road", CO2)
def carbon_dioxide_on_the_road(road_ready: Any, highest_co2: Any, limit_co2_act: Any, limit_co2_watch: Any) -> Rungs:
    """Whether carbon dioxide rises above its limits, in the expected case."""
    return needs(road_ready), *_too_high(
        highest_co2, limit_co2_act, limit_co2_watch, in_a_sentence(CARBON_DIOXIDE), 0,
        "More air, a wider vent in the lid, fewer fish in each vessel")


@check("Vessels", AIR)
def enough_vessels(road_ready: Any, vessel_count: Any, fish_count: Any, fits_most: Any, fits_plan: Any) -> Rungs:
    """Whether there are enough vessels; how many fit into one may be none."""
    least, needed = (ops.ceil(fish_count / ops.maximum(fits, 1)) for fits in (fits_most, fits_plan))
    better = ops.where((fits_plan >= 1) & (needed > least), say(", better ", shown(needed, 0)), "")
    more = "More vessels, larger ones, or fewer fish"
    return (
        needs(road_ready),
        act(fits_most < 1, "even one fish is too many for a vessel of that size; use larger vessels", more),
        act(vessel_count * fits_most < fish_count,
            say("too few vessels; use at least ", shown(least, 0), better), more),
        watch(fits_plan < 1, "denser than planned; larger vessels are better", more),
        watch(vessel_count * fits_plan < fish_count,
              say("denser than planned; ", shown(needed, 0), " vessels are better"), more),
        fine(),
    )


@verdict("Is there enough air?")
def enough_air(road_ready: Any, air_used: Any, air_needed: Any) -> Rungs:
    """Whether the pump holds the oxygen at its watch limit."""
    more = "More air in each vessel"
    return (
        needs(road_ready),
        watch(air_used == 0, "no air; the sheet On the road shows how long the oxygen lasts", more),
        watch(air_used < air_needed, "too little to hold oxygen there for long; see On the road", more),
        fine(),
    )


@check("If the pump stops", AIR)
def if_the_pump_stops(
    carried: Any, spare_air: Any, road_ready: Any, minutes_without_air: Any, limit_without_air: Any
) -> Rungs:
    """Whether somebody who loses the pump has time, or a spare."""
    return (
        not_asked(carried != AIRED, "no pump runs on this trip"),
        fine(spare_air == "yes"),
        needs(road_ready),
        watch(minutes_without_air < limit_without_air,
              say("if the pump stops, the fish have ", shown(minutes_without_air, 0),
                  " minutes, and there is no spare pump"),
              "Take a spare pump with its own battery, and enter it on Trip"),
        fine(),
    )


@check("CO2 kept in or aired out", CO2)
def bounds_of_co2(road_ready: Any, bound_nh3: Any, limit_nh3_act: Any, bound_co2: Any, limit_co2_act: Any) -> Rungs:
    """Whether one of the bounds, CO2 all kept in or all aired out, is beyond a no-go limit."""
    remedy = "Read pH on the way; fewer fish in each vessel"
    return (
        needs(road_ready, bound_nh3, limit_nh3_act, bound_co2, limit_co2_act),
        watch(bound_nh3 > limit_nh3_act,
              say("if the air removes all CO2, un-ionised ammonia reaches ", shown(bound_nh3, 3), " mg/L"), remedy),
        watch(bound_co2 > limit_co2_act,
              say("if all CO2 stays in the water, it reaches ", shown(bound_co2, 0), " mg/L"), remedy),
        fine(),
    )


@check("The worst case", AIR)
def worst_case(road_ready: Any, worst_limit: Any, worst_limit_minute: Any) -> Rungs:
    """Whether a limit is met in the worst case."""
    return (
        needs(road_ready),
        fine(worst_limit == "none"),
        watch(worst_limit_minute >= 0,
              say("if things go badly, ", worst_limit, " reaches its limit after ", shown(worst_limit_minute, 0),
                  " minutes"),
              "More air or fewer fish; a test of pump and stone makes the forecast more certain"),
        fine(),
    )


@check("Species and temperature", FISH)
def species_and_temperature(
    species: Any, from_temperature: Any, to_temperature: Any, end_temperature: Any
) -> Rungs:
    """The coldest and the warmest water that the fish meet, against what the species bears."""
    coldest = ops.minimum(ops.minimum(from_temperature, to_temperature), end_temperature)
    warmest = ops.maximum(ops.maximum(from_temperature, to_temperature), end_temperature)
    wait = "Choose the species; wait for other weather, or warm or cool the water slowly"

    def limit(level: str) -> Any:
        return ours("SPECIES_LIMIT", species, "temperature", level)

    return (
        needs(species, from_temperature, to_temperature, end_temperature),
        watch(species == ANY_FISH, "no species is chosen, so the temperatures could not be compared with its limits",
              wait),
        act(listed(coldest < limit("act low")), "the water is too cold for the species", wait),
        act(listed(warmest > limit("act high")), "the water is too warm for the species", wait),
        act(listed(coldest < limit("handle low")), "the water is too cold to handle the species", wait),
        watch(listed(coldest < limit("watch low")), "the water is cold for the species", wait),
        watch(listed(warmest > limit("watch high")), "the water is warm for the species", wait),
        fine(),
    )


@check("Feed before the trip", FISH)
def feed_before_the_trip(
    road_ready: Any, trip_minutes: Any, hours_fasted: Any, fish_length: Any, fasting_hours: Any
) -> Rungs:
    """Whether fish go on a long haul with full bellies; how long they fast depends on their length."""
    says = say("a long haul, and the fish were fed only ", shown(hours_fasted, 1), " hours before")
    remedy = "Stop the feed in time before a long haul"
    long = trip_minutes >= LONG_TRIP
    return (
        needs(road_ready, trip_minutes, hours_fasted),
        watch(is_blank(fish_length) & long & (hours_fasted < USUAL_FASTING), says, remedy),
        watch(long & (hours_fasted < fasting_hours), says, remedy),
        fine(),
    )


@check("Disease", FISH)
def disease(quarantine: Any) -> Rungs:
    """Whether the fish were quarantined, where that was answered."""
    return (
        not_asked(is_blank(quarantine), "quarantine was not entered"),
        watch(quarantine == "no", "the fish were not quarantined; a disease can show up to three weeks later",
              "Quarantine the fish for three weeks, before the move or at the destination"),
        fine(),
    )


@verdict("The trip with one thing changed")
def changed_trip(
    changed_oxygen: Any, changed_nh3: Any, changed_co2: Any, limit_oxygen_act: Any, limit_nh3_act: Any,
    limit_co2_act: Any, limit_oxygen_watch: Any, limit_nh3_watch: Any, limit_co2_watch: Any,
) -> Rungs:
    """The end of a trip that differs in one thing from what is planned; the oxygen in a sealed bag stays blank."""
    stay = "Leave it as planned"

    def beyond(rung: Any, oxygen: Any, nh3: Any, co2: Any) -> Rungs:
        return (
            rung(changed_oxygen < oxygen, "oxygen too low", stay),
            rung(changed_nh3 > nh3, "ammonia too high", stay),
            rung(changed_co2 > co2, "carbon dioxide too high", stay),
        )

    return (
        needs(changed_oxygen, changed_nh3, changed_co2),
        *beyond(act, limit_oxygen_act, limit_nh3_act, limit_co2_act),
        *beyond(watch, limit_oxygen_watch, limit_nh3_watch, limit_co2_watch),
        fine(),
    )


RULES: tuple[Rule, ...] = (enough_air, changed_trip)
