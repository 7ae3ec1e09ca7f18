"""The rules of a move: what makes a no-go, what asks for care, declared once for sheets and Python."""

from __future__ import annotations

from pailbook.rules import Rule
from pailbook.workbook.move_plan.rules import destination, door, road, water, weeks

# The checks of the sheet Go or no-go, in its order: of two that are equally serious the first gives the reason.
CHECKS: tuple[Rule, ...] = (
    road.what_you_entered, road.oxygen_on_the_road, road.battery, road.ammonia_on_the_road,
    road.carbon_dioxide_on_the_road, road.enough_vessels, water.ph_of_both, water.time_to_adjust_ph,
    water.temperature_match, road.species_and_temperature, destination.filter_is_ready, destination.room,
    destination.feed_and_filter, destination.refill_water, door.oxygen_at_the_door, door.ph_at_the_door,
    door.temperature_at_the_door, door.tank_at_the_door, door.ammonia_as_the_waters_mix, road.if_the_pump_stops,
    water.ph_kit, road.bounds_of_co2, road.worst_case, water.hard_water, water.alkalinity_match, water.hardness_match,
    water.conductivity_match, water.light_match, door.salt_in_the_haul_water, road.feed_before_the_trip, road.disease,
)
RULES: tuple[Rule, ...] = (*CHECKS, *road.RULES, *water.RULES, *door.RULES, *weeks.RULES)
