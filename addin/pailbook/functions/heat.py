"""Water temperature on the road."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.transport import CATEGORY
from pailbook.functions.treatments import WATER_HEAT
from pailbook.quantities import METRES_PER_FOOT, AirTemperature, Quantity, TripHours, Volume, WaterTemperature
from pailbook.sources import COMMON_PRACTICE, GEOMETRY, HEAT_BALANCE

# W/m²/°C through the wall and the surface. Sheltered is the middle of 5 to 10, foam is an inch of it all round; open
# stands between sheltered and wind.
COVERS = {"wind": 25.0, "open": 15.0, "sheltered": 8.0, "foam": 2.3}
SURFACE = 0.06  # m² per L^(2/3) of the vessel; a 5 gal bucket has 0.43, a 55 gal drum 2.04
FULL = 0.8  # share of the vessel that is filled, where no area is given

HeatArea = Annotated[float, Quantity(
    "area", "Outside of the vessel with its surface; left out, that of a bucket or drum filled to 0.8", "m²", "ft²",
    1 / METRES_PER_FOOT**2, low=0, high=10000, above=True)]
Cover = Annotated[str, Quantity(
    "cover", "Where the vessel stands: in the wind, open, sheltered (lid on, inside a vehicle), or in an inch of foam",
    choices=tuple(COVERS))]


@worksheet_function(
    category=CATEGORY,
    source=(HEAT_BALANCE.at("exponential approach"), COMMON_PRACTICE.at("heat passing through walls"),
            GEOMETRY.at("buckets and drums")),
    example=(25.0, 12.0, 1.5, 15.0),
)
def water_temperature_after(
    temperature: WaterTemperature, air_temperature: AirTemperature, hours: TripHours, volume: Volume,
    area: HeatArea = 0.0, cover: Cover = "sheltered",
) -> WaterTemperature:
    """Water temperature after so many hours in air of another temperature; not below freezing.

    How fast heat passes through a vessel is known to a factor of two at best: measure on arrival.
    """
    surface = ops.where(area > 0, area, SURFACE * (volume / FULL) ** (2 / 3))
    per_hour = ops.pick(cover, COVERS, "cover") * surface * 3.6 / (volume * WATER_HEAT)  # W to kJ/h
    return ops.maximum(air_temperature + (temperature - air_temperature) * ops.exp(-(per_hour * hours)), 0.0)
