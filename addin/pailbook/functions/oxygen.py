"""Oxygen that water can hold: saturation by temperature, salinity and elevation."""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import Elevation, Oxygen, Percent, Pressure, Salinity, WaterTemperature
from pailbook.sources import BENSON_KRAUSE_1984, STANDARD_ATMOSPHERE_1976, USGS_2011

CATEGORY = "Oxygen and air"
STANDARD_PRESSURE = 101.325  # kPa


@worksheet_function(category=CATEGORY, source=STANDARD_ATMOSPHERE_1976.at("troposphere"), example=(500.0,))
def air_pressure(elevation: Elevation) -> Pressure:
    """Air pressure, in kPa, at an elevation in the standard atmosphere; the weather changes it by a few percent."""
    return STANDARD_PRESSURE * (1 - 2.25577e-5 * elevation) ** 5.25588


def _pressure_factor(temperature: Any, elevation: Any) -> Any:
    """Saturation at the elevation's pressure as a share of that at one atmosphere; USGS 2011."""
    kelvin = temperature + 273.15
    pressure = air_pressure(elevation) / STANDARD_PRESSURE  # atm
    vapour = ops.exp(11.8571 - 3840.70 / kelvin - 216961 / kelvin**2)  # atm
    theta = 0.000975 - 1.426e-5 * temperature + 6.436e-8 * temperature**2
    return pressure * (1 - vapour / pressure) * (1 - theta * pressure) / ((1 - vapour) * (1 - theta))


@worksheet_function(
    category=CATEGORY,
    source=(
        BENSON_KRAUSE_1984.at("equation 32"), USGS_2011.at("attachment"), STANDARD_ATMOSPHERE_1976.at("troposphere"),
    ),
    example=(25.0, 0.0, 300.0),
)
def oxygen_saturation(temperature: WaterTemperature, salinity: Salinity = 0.0, elevation: Elevation = 0.0) -> Oxygen:
    """Dissolved oxygen, in mg/L, of water in balance with moist air; if left out, salinity and elevation count as 0."""
    kelvin = temperature + 273.15
    x = 1 / kelvin  # the paper's polynomials in 1/T, nested: columns are calculated in a third less time
    fresh = -139.34411 + x * (1.575701e5 + x * (-6.642308e7 + x * (1.243800e10 - x * 8.621949e11)))
    salting_out = salinity * (0.017674 + x * (-10.754 + x * 2140.7))
    at_one_atmosphere = ops.exp(fresh - salting_out)
    return at_one_atmosphere * ops.where(elevation == 0, 1.0, lambda: _pressure_factor(temperature, elevation))


@worksheet_function(category=CATEGORY, source=BENSON_KRAUSE_1984.at("equation 32"), example=(6.2, 25.0))
def oxygen_percent(
    oxygen: Oxygen, temperature: WaterTemperature, salinity: Salinity = 0.0, elevation: Elevation = 0.0
) -> Percent:
    """Dissolved oxygen as a percentage of what the water would hold in balance with the air."""
    return 100 * oxygen / oxygen_saturation(temperature, salinity, elevation)
