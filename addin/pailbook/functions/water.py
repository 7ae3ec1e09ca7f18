"""Concentrations over time: water changed, evaporated and made up, and when a level is reached."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.convert import CATEGORY
from pailbook.quantities import Concentration, Volume
from pailbook.quantity import Quantity
from pailbook.sources import COMMON_PRACTICE, GEOMETRY

_NEXT_TO_NOTHING = 1e-5  # shares of the volume drained
_PER_DAY = 1 / 3.785411784  # US gallons in a litre

Rate = Annotated[float, Quantity("rate", "Fall of the concentration; negative where it rises", "mg/L per day",
                                 low=-10000, high=10000)]
RateError = Annotated[float, Quantity("error of the rate", "By how much the rate may be wrong, either way",
                                      "mg/L per day", low=0, high=10000)]
KitStep = Annotated[float, Quantity("kit step", "Smallest difference that the kit can show", "mg/L", low=0, high=1000)]
DaysBetween = Annotated[float, Quantity("days between tests", "Days from one test to the next", "d",
                                        low=0, high=365, above=True)]
DaysAhead = Annotated[float, Quantity("days", "Days", "d", low=0, high=36500)]
ChangedFraction = Annotated[float, Quantity("share changed", "Share of the water that is changed", low=0, high=1)]
Times = Annotated[float, Quantity("times", "How many times", low=1, high=1000, whole=True)]
WaterPerDay = Annotated[float, Quantity("water a day", "Water a day", "L", "US gal", _PER_DAY, low=0, high=1e8)]


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("straight line"), example=(34.0, 28.0, 0.8))
def days_until(now: Concentration, threshold: Concentration, rate: Rate) -> DaysAhead:
    """Days until a falling concentration reaches a threshold; 0 where it is there already."""
    return ops.where(
        now <= threshold, 0.0,
        lambda: ops.require(rate > 0, lambda: (now - threshold) / rate, "it does not fall, so it never gets there"),
    )


@worksheet_function(
    category=CATEGORY, source=COMMON_PRACTICE.at("order point: low level, half a kit step, and what is used until the "
                                                 "next test"), example=(25.0, 0.8, 0.3, 2.0, 3.0),
)
def action_level(
    low: Concentration, rate: Rate, rate_error: RateError, kit_step: KitStep, days_between_tests: DaysBetween
) -> Concentration:
    """Reading at or below which to dose now, so that the next test does not find it below the low end of the band."""
    return low + kit_step / 2 + ops.maximum(rate + rate_error, 0.0) * days_between_tests


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("mass balance"), example=(60.0, 0.3, 5.0))
def water_change_result(
    value: Concentration, fraction: ChangedFraction, incoming: Concentration, times: Times = 1.0
) -> Concentration:
    """Concentration after changing a share of the water, once or several times."""
    return incoming + (value - incoming) * (1 - fraction) ** times


@worksheet_function(
    category=CATEGORY, source=GEOMETRY.at("mass balance"), example=(60.0, 1000.0, 12.0, 3.0, 20.0, 30.0)
)
def topup_result(
    value: Concentration, volume: Volume, evaporation_per_day: WaterPerDay, drain_per_day: WaterPerDay,
    incoming: Concentration, days: DaysAhead,
) -> Concentration:
    """Concentration after so many days of topping up what evaporates and drains; what evaporates leaves its salts."""
    exchanged = drain_per_day * days / volume
    brought = incoming * (evaporation_per_day + drain_per_day) * days / volume

    def drained() -> object:
        left = ops.exp(-exchanged)
        return value * left + brought * (1 - left) / exchanged

    # Of next to nothing drained the quotient has no digits left: its series then.
    return ops.where(
        exchanged > _NEXT_TO_NOTHING, drained, lambda: value * (1 - exchanged) + brought * (1 - exchanged / 2)
    )
