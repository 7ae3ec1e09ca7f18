"""Moving water: how often a system turns over, the head lost in pipes, and the power of the pump."""

from __future__ import annotations

import math
from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.filtration import CATEGORY
from pailbook.quantities import (
    Flow,
    Head,
    PipeDiameter,
    PipeLength,
    PumpEfficiency,
    Quantity,
    Roughness,
    Volume,
    Watts,
)
from pailbook.sources import CHURCHILL_1977, COMMON_PRACTICE, GEOMETRY, WATER_AT_20_C

GRAVITY = 9.80665  # m/s²
WATER_DENSITY = 998.2  # kg/m³ at 20 °C
WATER_VISCOSITY = 1.004e-6  # m²/s at 20 °C; friction is greater in colder water, at 10 °C by a few percent
LITRES_PER_HOUR = 1 / 3.6e6  # m³/s

Turnover = Annotated[float, Quantity("turnover", "How many times an hour the water is replaced", "per hour")]


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("ratio"), example=(2400.0, 3600.0))
def turnover(volume: Volume, flow: Flow) -> Turnover:
    """How many times an hour the flow replaces all the water; once an hour or more is common practice for fish tanks.
    """
    return flow / volume


def friction_factor(reynolds: Any, relative_roughness: Any) -> Any:
    """Darcy's friction factor for any flow, laminar to rough."""
    turbulent = (2.457 * ops.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * relative_roughness))) ** 16
    between = (37530 / reynolds) ** 16
    return 8 * ((8 / reynolds) ** 12 + 1 / (turbulent + between) ** 1.5) ** (1 / 12)


@worksheet_function(
    category=CATEGORY, source=(CHURCHILL_1977.at("friction factor"), WATER_AT_20_C.at("viscosity"),
                               COMMON_PRACTICE.at("smooth plastic 0.0015 mm")),
    example=(1500.0, 25.0, 8.0),
)
def pipe_head(
    flow: Flow, pipe_diameter: PipeDiameter, pipe_length: PipeLength, roughness: Roughness = 0.0015
) -> Annotated[Head, "Head lost to friction in the pipe"]:
    """Head lost to friction in a straight, full pipe with water at 20 °C (68 °F); if the roughness is left out, the
    pipe is smooth plastic.

    Add the lift, and for fittings about 30 diameters of length for each elbow and 60 for each tee. Enter the inside
    diameter, not the nominal size. A pipe that carries sludge fouls: enter a roughness of 0.1 mm (0.004 in) or more.
    """
    diameter = pipe_diameter / 1000
    speed = flow * LITRES_PER_HOUR / (math.pi / 4 * diameter**2)
    factor = friction_factor(speed * diameter / WATER_VISCOSITY, roughness / pipe_diameter)
    return factor * pipe_length / diameter * speed**2 / (2 * GRAVITY)


@worksheet_function(
    category=CATEGORY, source=(WATER_AT_20_C.at("density"), COMMON_PRACTICE.at("efficiency of small pumps")),
    example=(1500.0, 1.8),
)
def pump_power(flow: Flow, head: Head, efficiency: PumpEfficiency = 0.3) -> Watts:
    """Electric power that a pump draws for a flow against a head; if left out, the efficiency is 0.3, as for small
    pumps.
    """
    return WATER_DENSITY * GRAVITY * flow * LITRES_PER_HOUR * head / efficiency
