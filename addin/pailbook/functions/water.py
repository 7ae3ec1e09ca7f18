"""Concentrations over time: water changed, evaporated and topped up, and when a level is reached."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.convert import CATEGORY
from pailbook.quantities import LITRES_PER_US_GALLON, Concentration, Quantity, Volume
from pailbook.sources import COMMON_PRACTICE, GEOMETRY

_NEXT_TO_NOTHING = 1e-5  # shares of the volume drained

Rate = Annotated[float, Quantity("rate", "Fall of the concentration; negative if it rises", "mg/L per day",
                                 low=-10000, high=10000)]
RateError = Annotated[float, Quantity("error of the rate", "How far the rate may be wrong, either way",
                                      "mg/L per day", low=0, high=10000)]
KitResolution = Annotated[float, Quantity(
    "resolution", "Resolution of the kit: the smallest difference that it can show", "mg/L", low=0, high=1000)]
DaysBetween = Annotated[float, Quantity("days between tests", "Days from one test to the next", "days",
                                        low=0, high=365, above=True)]
DaysAhead = Annotated[float, Quantity("days", "Days", "days", low=0, high=36500)]
ChangedFraction = Annotated[float, Quantity("share changed", "Share of the water that is changed", low=0, high=1)]
Times = Annotated[float, Quantity("times", "Number of water changes", low=1, high=1000, whole=True)]
WaterPerDay = Annotated[float, Quantity("daily water", "Water per day", "L", "US gal", 1 / LITRES_PER_US_GALLON,
                                        low=0, high=1e8)]


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("straight line"), example=(14.0, 6.0, 0.5))
def days_until(
    now: Annotated[Concentration, "Level now, in any basis"],
    limit: Annotated[Concentration, "Level to reach, in the same basis"], rate: Rate,
) -> DaysAhead:
    """Days until a falling concentration reaches a limit; 0 if it is already there."""
    return ops.where(
        now <= limit, 0.0,
        lambda: ops.require(
            rate > 0, lambda: (now - limit) / rate, "the level is not falling, so it never reaches the limit"
        ),
    )


@worksheet_function(
    category=CATEGORY, example=(6.0, 0.5, 0.2, 1.0, 3.0),
    source=COMMON_PRACTICE.at("order point: lower end, half the kit's resolution, and what is used until the next"),
)
def action_level(
    low: Annotated[Concentration, "Lower end of the target range, in any basis"], rate: Rate, rate_error: RateError,
    kit_resolution: KitResolution, days_between_tests: DaysBetween,
) -> Annotated[Concentration, "Reading, in the same basis"]:
    """Reading at or below which to dose now, so that the next test does not find the level below the target range."""
    return low + kit_resolution / 2 + ops.maximum(rate + rate_error, 0.0) * days_between_tests


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("mass balance"), example=(60.0, 0.3, 5.0))
def water_change_result(
    value: Annotated[Concentration, "Level before the change, in any basis"], fraction: ChangedFraction,
    incoming: Annotated[Concentration, "Level in the water that comes in, in the same basis"], times: Times = 1.0,
) -> Annotated[Concentration, "Level afterwards, in the same basis"]:
    """Concentration after changing a share of the water, once or several times."""
    return incoming + (value - incoming) * (1 - fraction) ** times


@worksheet_function(
    category=CATEGORY, source=GEOMETRY.at("mass balance"), example=(60.0, 1900.0, 12.0, 3.0, 20.0, 30.0)
)
def topup_result(
    value: Annotated[Concentration, "Level now, in any basis"], volume: Volume,
    evaporation_per_day: Annotated[WaterPerDay, "Water lost each day to evaporation and through the plants"],
    drain_per_day: Annotated[WaterPerDay, "Water drained or spilled each day, with what is dissolved in it"],
    incoming: Annotated[Concentration, "Level in the water that comes in, in the same basis"],
    days: Annotated[DaysAhead, "Days of topping up"],
) -> Annotated[Concentration, "Level afterwards, in the same basis"]:
    """Concentration after a number of days of topping up; water that evaporates leaves its salts behind, drained water
    takes them along.
    """
    exchanged = drain_per_day * days / volume
    brought = incoming * (evaporation_per_day + drain_per_day) * days / volume

    def drained() -> Any:
        left = ops.exp(-exchanged)
        return value * left + brought * (1 - left) / exchanged

    # Of next to nothing drained the quotient has no digits left: its series then.
    return ops.where(
        exchanged > _NEXT_TO_NOTHING, drained, lambda: value * (1 - exchanged) + brought * (1 - exchanged / 2)
    )
