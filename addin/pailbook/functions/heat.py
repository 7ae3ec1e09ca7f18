"""Water temperature on the road."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.transport import CATEGORY
from pailbook.functions.treatments import WATER_HEAT
from pailbook.quantities import METRES_PER_FOOT, AirTemperature, Quantity, TripHours, Volume, WaterTemperature
from pailbook.sources import COMMON_PRACTICE, GEOMETRY, HEAT_BALANCE

# W/m²/°C through the wall and the surface. Sheltered is the middle of 5 to 10, foam is 25 mm of it all round; open
# lies between sheltered and wind.
COVERS = {"wind": 25.0, "open": 15.0, "sheltered": 8.0, "foam": 2.3}
SURFACE = 0.06  # m² per L^(2/3) of the vessel: one of 30 L has 0.58 m², one of 90 L 1.20 m²
FULL = 0.8  # share of the vessel that is filled, where no area is given

HeatArea = Annotated[float, Quantity(
    "area", "Outside of the vessel and the water surface; if left out, those of a usual vessel, 0.8 full", "m²", "ft²",
    1 / METRES_PER_FOOT**2, low=0, high=10000, above=True)]
Cover = Annotated[str, Quantity(
    "cover", "Where the vessel is: in the wind, open, sheltered (lid on, in a vehicle), or in 25 mm (1 in) of foam",
    choices=tuple(COVERS))]


@worksheet_function(
    category=CATEGORY,
    source=(HEAT_BALANCE.at("exponential approach"), COMMON_PRACTICE.at("heat passing through walls"),
            GEOMETRY.at("surface of usual vessels")),
    example=(20.0, 12.0, 1.0, 72.0),
)
def water_temperature_after(
    temperature: WaterTemperature, air_temperature: AirTemperature, hours: TripHours, volume: Volume,
    area: HeatArea = 0.0, cover: Cover = "sheltered",
) -> WaterTemperature:
    """Water temperature in a vessel after a number of hours in warmer or colder air; never below freezing.

    How fast heat passes through a vessel is known within a factor of two at best: measure on arrival.
    """
    surface = ops.where(area > 0, area, SURFACE * (volume / FULL) ** (2 / 3))
    per_hour = ops.pick(cover, COVERS, "cover") * surface * 3.6 / (volume * WATER_HEAT)  # W to kJ/h
    return ops.maximum(air_temperature + (temperature - air_temperature) * ops.exp(-(per_hour * hours)), 0.0)
