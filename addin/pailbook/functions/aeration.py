"""Air stones: how much oxygen they add to the water of a working system."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.oxygen import CATEGORY, oxygen_saturation
from pailbook.quantities import (
    AirFlow,
    Biomass,
    BiomassOrNone,
    Consumption,
    ConsumptionOrNone,
    Depth,
    Elevation,
    Minutes,
    Oxygen,
    OxygenRate,
    Stone,
    TransferEfficiency,
    Volume,
    WaterTemperature,
)
from pailbook.sources import AERATION, COMMON_PRACTICE

OXYGEN_IN_AIR = 0.2787  # g per L of air at 20 °C and one atmosphere
STANDARD_SATURATION = 9.09  # mg/L at 20 °C
ALPHA, BETA = 0.9, 0.98  # field water against clean water: transfer rate, saturation
THETA = 1.024  # the transfer rate's growth for each °C
EFFICIENCY_PER_METRE = {"fine": 0.05, "coarse": 0.03}
SOURCE = (AERATION.at("field transfer"), COMMON_PRACTICE.at("efficiency of air stones"))


def _field_rate(air_flow: Any, temperature: Any) -> Any:
    """Transfer per unit of efficiency and of oxygen gap (mg/h per mg/L)."""
    standard = air_flow * 60 * OXYGEN_IN_AIR * 1000
    return standard * ALPHA * THETA ** (temperature - 20) / STANDARD_SATURATION


def _efficiency(stone: Any, depth: Any) -> Any:
    per_metre = EFFICIENCY_PER_METRE
    return ops.where(
        stone == "fine", per_metre["fine"] * depth / 100,
        lambda: ops.where(stone == "coarse", per_metre["coarse"] * depth / 100, stone),
    )


def clearance(air_flow: Any, depth: Any, temperature: Any, stone: Any) -> Any:
    """Water, L/h, that an air stone could bring to saturation: mg/h of oxygen for each mg/L below it."""
    return _field_rate(air_flow, temperature) * _efficiency(stone, depth)


def field_saturation(temperature: Any, elevation: Any) -> Any:
    """Oxygen, mg/L, that field water takes up from air."""
    return BETA * oxygen_saturation(temperature, 0.0, elevation)


@worksheet_function(category=CATEGORY, source=SOURCE, example=(2.0, 30.0, 24.0, 5.0))
def air_transfer(
    air_flow: AirFlow, depth: Depth, temperature: WaterTemperature, oxygen: Oxygen, elevation: Elevation = 0.0,
    stone: Stone = "coarse",
) -> OxygenRate:
    """Oxygen, in mg/h, that an air stone adds to the water; negative if the water already holds more than air can give.

    The efficiency (for each m of depth 5 % for a fine stone and 3 % for a coarse one; for each ft 1.5 % and 0.9 %) is
    the least certain number here: measure yours with AIR_EFFICIENCY_TEST and enter it in place of the stone's name.
    """
    gap = field_saturation(temperature, elevation) - oxygen
    return clearance(air_flow, depth, temperature, stone) * gap


@worksheet_function(category=CATEGORY, source=SOURCE, example=(48.0, 4.0, 4.6, 15.0, 2.0, 30.0, 19.0))
def air_efficiency_test(
    volume: Volume,
    oxygen_1: Annotated[Oxygen, "Dissolved oxygen at the first reading"],
    oxygen_2: Annotated[Oxygen, "Dissolved oxygen at the second reading"],
    minutes: Annotated[Minutes, "Minutes between the two readings"], air_flow: AirFlow, depth: Depth,
    temperature: WaterTemperature, biomass: BiomassOrNone = 0.0, consumption: ConsumptionOrNone = 0.0,
    elevation: Elevation = 0.0,
) -> TransferEfficiency:
    """Efficiency of a pump and stone, as a share, from two oxygen readings taken some minutes apart with the pump on.

    Without fish, enter 0 for biomass and consumption. Take both readings below 90 % of saturation: nearer to it the
    difference is too small to measure. The depth does not change the answer; it records where the efficiency holds.
    """
    hours = minutes / 60
    saturation = field_saturation(temperature, elevation)
    rise = oxygen_2 - oxygen_1
    supplied = rise + consumption * biomass / volume * hours  # mg/L in the time
    middle_gap = saturation - (oxygen_1 + oxygen_2) / 2

    def mean_gap() -> Any:
        # The gap to saturation closes along an exponential, and its mean over time is a logarithmic mean: two thirds
        # of the geometric and one of the arithmetic one, within 1 % while the gap closes fivefold at most.
        squared = middle_gap**2 - rise * supplied / 4
        return (2 * ops.sqrt(ops.positive(squared, "the readings are too far apart in time; take the second one while "
                                                   "the oxygen is still rising")) + middle_gap) / 3

    return ops.require(
        (ops.maximum(oxygen_1, oxygen_2) < saturation) & (supplied > 0),
        lambda: supplied * volume / hours / (_field_rate(air_flow, temperature) * mean_gap()),
        "the readings show no oxygen coming in: both must be below saturation, and the oxygen must not fall faster "
        "than the fish use it",
    )


@worksheet_function(category=CATEGORY, source=SOURCE, example=(0.99, 300.0, 30.0, 19.0, 5.0))
def air_flow_needed(
    biomass: Biomass, consumption: Consumption, depth: Depth, temperature: WaterTemperature,
    oxygen: Annotated[Oxygen, "Dissolved oxygen to be maintained"], elevation: Elevation = 0.0,
    stone: Stone = "coarse",
) -> Annotated[AirFlow, "Air flow needed"]:
    """Air flow, in L/min, that keeps the dissolved oxygen at the given level while the fish use it."""
    per_litre = air_transfer(1.0, depth, temperature, oxygen, elevation, stone)
    return ops.require(
        per_litre > 0, lambda: biomass * consumption / per_litre,
        "air cannot keep the oxygen at that level; ask for less than saturation",
    )


@worksheet_function(category=CATEGORY, source=SOURCE, example=(0.99, 300.0, 5.0, 30.0, 19.0))
def oxygen_steady(
    biomass: Biomass, consumption: Consumption, air_flow: AirFlow, depth: Depth, temperature: WaterTemperature,
    elevation: Elevation = 0.0, stone: Stone = "coarse",
) -> Oxygen:
    """Dissolved oxygen at which the supply from an air stone equals what the fish use; 0 if the stone cannot keep up.
    """
    supply = clearance(air_flow, depth, temperature, stone)
    return ops.maximum(field_saturation(temperature, elevation) - biomass * consumption / supply, 0.0)
