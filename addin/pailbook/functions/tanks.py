"""Tanks and fish: volume by tape measure or by salt, mean weight of a sample."""

from __future__ import annotations

import math
from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import Biomass, FishCount, FishMass, Quantity, TankShape, TankSide, Volume
from pailbook.sources import CONDUCTANCE_TABLE, GEOMETRY

CATEGORY = "Tanks and fish"

SALT_MOLAR_MASS = 58.443  # g
# Sodium chloride at 25 °C: mol/L and equivalent conductivity, S cm²/mol.
_CONDUCTANCE = ((0.0005, 124.44), (0.001, 123.68), (0.005, 120.59), (0.01, 118.45), (0.02, 115.70), (0.05, 111.01),
                (0.1, 106.69), (0.2, 101.71))
# µS/cm and g/L.
SALT_BY_CONDUCTIVITY = ((0.0, 0.0), *((c * e * 1000, c * SALT_MOLAR_MASS) for c, e in _CONDUCTANCE))

SaltMass = Annotated[float, Quantity(
    "salt", "Weight of the plain salt dissolved in the water", "g", low=0, high=1e7, above=True)]
MeasuredConductivity = Annotated[float, Quantity(
    "conductivity", "Electrical conductivity, corrected to 25 °C by the meter", "µS/cm", low=0, high=20000, above=True)]


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("prism and cylinder"), example=("round", 180.0, 180.0, 75.0))
def tank_volume(
    shape: TankShape, length: Annotated[TankSide, "Inside length of the tank; of a round one its diameter"],
    width: Annotated[TankSide, "Inside width of the tank; of a round one its diameter again"],
    depth: Annotated[TankSide, "Depth of the water, not of the tank"],
) -> Volume:
    """Volume of water in a tank from its inside measures and the water depth; for a round tank enter the diameter
    twice.
    """
    full = length * width * depth / 1000  # cm³ to L
    return ops.where(shape == "rectangular", full, math.pi / 4 * full)


@worksheet_function(
    category=CATEGORY, source=(GEOMETRY.at("dilution"), CONDUCTANCE_TABLE.at("NaCl")), example=(500.0, 600.0, 1100.0)
)
def volume_from_salt(
    salt: SaltMass,
    conductivity_before: Annotated[MeasuredConductivity, "Conductivity before the salt, at 25 °C by the meter"],
    conductivity_after: Annotated[MeasuredConductivity, "Conductivity with the salt mixed in, at 25 °C by the meter"],
) -> Volume:
    """Volume of water in a system, pipes and beds included, from how far plain salt raises its conductivity.

    Dissolve the salt, let it mix for an hour or more, and take both readings with the same meter. About 0.5 g per L (2
    g per US gal) is enough and harmless to fish; mind the plants.
    """
    before, after = (ops.interpolate(x, SALT_BY_CONDUCTIVITY) for x in (conductivity_before, conductivity_after))
    return ops.require(
        after > before, lambda: salt / (after - before), "the conductivity has not risen; is the salt mixed in?"
    )


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("mean"), example=(2.38, 28.0))
def mean_mass(sample_weight: Annotated[Biomass, "Weight of all the fish in the sample"], count: FishCount) -> FishMass:
    """Mean weight of one fish, from the total weight and the number of fish in a sample."""
    return sample_weight * 1000 / count
