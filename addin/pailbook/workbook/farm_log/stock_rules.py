"""The rule of a system's fish: whether too many died, whether they are too dense, and what that rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from pailbook.quantities import FishMass
from pailbook.quantity import Quantity
from pailbook.rules import (
    Rungs,
    Unusable,
    act,
    act_if_known,
    fine,
    is_blank,
    needs,
    not_asked_if_blank,
    rule,
    skips,
    watch,
)
from pailbook.workbook.farm_log import limits, systems
from pailbook.workbook.farm_log.fish_rules import CHECK_COUNTS, FEWER_THAN_NONE, Density
from pailbook.workbook.farm_log.questions import Today
from pailbook.workbook.measures import FEED_GIVEN, quantity

_MANY_DEATHS = "many deaths; stop feeding, test the water, call for help"
_OVERSTOCKED = "overstocked; move or harvest some fish"
_SOME_DEATHS, _DENSE = "deaths; find the cause", "densely stocked; keep the air on"
_NOT_WEIGHED = "weigh a sample"
LOOK = "Look at the fish and test the water today."
_LIMITS = ("deaths_act", "deaths_watch", "density_act", "density_watch")


@rule("Fish of the system", asks={
    "on_hand": Annotated[float, Quantity("fish on hand"), "an entry", Unusable("on the sheet Fish"),
                         not_asked_if_blank],
    "one": Annotated[float, replace(quantity(FishMass), low=0, above=False, high=None), "the mean weight", skips],
    "density": Density,
    "lost_share": Annotated[float, Quantity("share", low=0, high=100), "Fish lost in 7 days, share", skips],
    "feed": Annotated[float, FEED_GIVEN, "an amount or a date", Unusable("on the sheet Feed"), skips],
    "species": systems.SPECIES_ASKED, "elevation": systems.ELEVATION_ASKED, "today": Today,
    **{key: limits.asked(key) for key in _LIMITS}})
def fish_of_system(
    on_hand: Any, one: Any, density: Any, lost_share: Any, feed: Any, species: Any, elevation: Any, today: Any,
    deaths_act: Any, deaths_watch: Any, density_act: Any, density_watch: Any,
) -> Rungs:
    """Whether too many fish died, or they are too dense; not asked where no fish were entered."""
    return (
        act(on_hand < 0, FEWER_THAN_NONE, CHECK_COUNTS),
        act_if_known(lost_share > deaths_act, _MANY_DEATHS, LOOK),
        act_if_known(density > density_act, _OVERSTOCKED, LOOK),
        needs(today, lost_share, deaths_act, deaths_watch, density_act, density_watch),
        needs(species, elevation),
        needs(feed),
        watch(lost_share > deaths_watch, _SOME_DEATHS, LOOK),
        watch(is_blank(one), _NOT_WEIGHED, "Weigh a sample of the fish."),
        fine(on_hand == 0),
        watch(density > density_watch, _DENSE, LOOK),
        fine(),
    )
