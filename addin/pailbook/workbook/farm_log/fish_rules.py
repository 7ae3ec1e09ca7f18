"""The rule of a row of the sheet Fish: whether it can be used, and what the fish on hand that evening come to."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from pailbook import ops
from pailbook.quantities import Biomass, FishDensity
from pailbook.quantity import Quantity
from pailbook.rules import Rungs, Unusable, act, act_if_known, fine, needs, only_where, rule, say, shown, skips, watch
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.entries import entered
from pailbook.workbook.farm_log.fish_columns import COLUMNS, ENTERED, NEEDED, NEW
from pailbook.workbook.farm_log.questions import Today
from pailbook.workbook.measures import quantity

FEWER_THAN_NONE = "more fish went than ever came; check the counts"
CHECK_COUNTS = "Count the fish, and put the rows of the sheet Fish right."
FEWER_FISH = "Move or harvest some fish."

# The density of fish and water that are known. It has no highest value: too much is what is looked for.
Density = Annotated[float, replace(quantity(FishDensity), low=0, above=False, high=None), "the stocking density,",
                    Unusable("as the system has no volume")]
Weight = Annotated[float, replace(quantity(Biomass), low=None, above=False, high=None), "Total weight", skips]


@rule("Fish on hand", asks={
    **entered(COLUMNS, ENTERED, NEEDED),
    "on_hand": Annotated[float, Quantity("fish on hand"), "Fish on hand that evening"],
    "weight": Weight, "density": Density,
    **{key: limits.asked(key) for key in ("density_act", "density_watch")}, "today": Today,
    "new_fish_days": limits.asked("new_fish_days")})
def fish_row(
    date: Any, system: Any, event: Any, count: Any, mean: Any, sample: Any, on_hand: Any, weight: Any, density: Any,
    density_act: Any, density_watch: Any, today: Any, new_fish_days: Any,
) -> Rungs:
    """Whether the fish on hand are possible, not too dense and no longer new.

    The density counts where the fish were weighed, the days where they came.
    """
    return (
        needs(date, system, event, count, mean, sample),
        needs(on_hand, weight),
        act(on_hand < 0, FEWER_THAN_NONE, CHECK_COUNTS),
        *only_where(weight > 0, act_if_known(density > density_act, "overstocked", FEWER_FISH),
                    needs(density, density_act, density_watch), watch(density > density_watch, "densely stocked")),
        *only_where((event == NEW[0]) | (event == NEW[1]), watch(
            (today >= date) & (today - date < new_fish_days),
            say("new fish, day ", shown(ops.floor(today - date) + 1, 0), " of ", shown(new_fish_days, 0)))),
        fine(),
    )
