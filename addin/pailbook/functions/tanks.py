"""Tanks and fish: volume by tape measure, mean weight by batch."""

from __future__ import annotations

import math

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import Biomass, FishCount, FishMass, TankShape, TankSide, Volume
from pailbook.sources import GEOMETRY

CATEGORY = "Tanks and fish"


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("prism and cylinder"), example=("round", 180.0, 180.0, 75.0))
def tank_volume(shape: TankShape, length: TankSide, width: TankSide, depth: TankSide) -> Volume:
    """Volume of water in a tank from inside measures and water depth; for a round tank give the diameter twice."""
    full = length * width * depth / 1000  # cm³ to L
    return ops.where(shape == "rectangular", full, math.pi / 4 * full)


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("mean"), example=(4.2, 28.0))
def mean_mass(batch_mass: Biomass, count: FishCount) -> FishMass:
    """Mean weight of one fish from a batch that was weighed and counted."""
    return batch_mass * 1000 / count
