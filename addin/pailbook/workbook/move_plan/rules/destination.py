"""The destination and the system that the fish leave: room, a filter that is ready, feed, water to refill with."""

from __future__ import annotations

from typing import Any

from pailbook.rules import Rungs, act, act_if_known, fine, is_blank, needs, not_asked, watch
from pailbook.workbook.move_plan.rules.asked import DESTINATION, check
from pailbook.workbook.move_plan.trip import CHLORAMINE, CHLORINE, NO_REFILL


@check("Filter at the destination", DESTINATION)
def filter_is_ready(to_tan: Any, to_nitrite: Any, tan_zero: Any, nitrite_zero: Any) -> Rungs:
    """One reading beyond its limit decides; the filter is fine only where both were read."""
    says = "ammonia or nitrite is in the water; the filter is not ready, bring no fish"
    none = "Bring no fish until ammonia and nitrite are zero"
    return (
        act_if_known(to_tan > tan_zero, says, none),
        act_if_known(to_nitrite > nitrite_zero, says, none),
        needs(to_tan, to_nitrite, tan_zero, nitrite_zero),
        fine(),
    )


@check("Room at the destination", DESTINATION)
def room(
    to_volume: Any, resident_weight: Any, density_after: Any, density_act: Any, density_watch: Any, small_system: Any,
    density_small: Any,
) -> Rungs:
    """Whether the fish have room after the move."""
    fewer = "Fewer fish, or harvest first"
    return (
        needs(to_volume, resident_weight),
        act(density_after > density_act, "overstocked; bring fewer fish or harvest first", fewer),
        watch((to_volume <= small_system) & (density_after > density_small),
              "small systems swing quickly; bring fewer fish", fewer),
        watch(density_after > density_watch, "densely stocked; keep spare air ready and test daily", fewer),
        fine(),
    )


@check("Feed and filter", DESTINATION)
def feed_and_filter(
    resident_weight: Any, feed_after: Any, tan_load: Any, filter_area: Any, filter_takes: Any, feed_now: Any
) -> Rungs:
    """Too small is known from the media alone; fine only where the filter has been fed as much as it will be."""
    slowly = "Raise the feed slowly; more media, or fewer fish"
    return (
        needs(resident_weight, feed_after, tan_load, filter_area),
        act((filter_takes > 0) & (tan_load > filter_takes),
            "the filter is too small for that feed; bring fewer fish or add media", slowly),
        watch(feed_now < feed_after,
              "the filter is used to less feed; raise the feed day by day, as the table on Destination shows", slowly),
        fine(),
    )


@check("Refill water", DESTINATION)
def refill_water(refill_source: Any, chlorine: Any) -> Rungs:
    """Whether the water of the refill is free of chlorine."""
    remove = "Remove the chlorine, test that none is left, then refill; see Trip"
    return (
        not_asked(refill_source == NO_REFILL, "no refill"),
        fine((refill_source != CHLORINE) & (refill_source != CHLORAMINE)),
        act(is_blank(chlorine), "the chlorine in the tap water has not been tested", remove),
        act(chlorine > 0, "chlorine is left in the refill water; remove it and test again", remove),
        fine(),
    )
