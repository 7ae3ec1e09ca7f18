"""Moving fish: how many go into a vessel."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import (
    Biomass,
    FillShare,
    FishCount,
    FishDensity,
    FishMass,
    HaulingDensity,
    VesselCount,
    Volume,
)
from pailbook.sources import COMMON_PRACTICE, GEOMETRY

CATEGORY = "Moving fish"
VesselVolume = Annotated[Volume, "Volume of the vessel, filled to the brim; a US gallon is 3.785 L"]
RULE = COMMON_PRACTICE.at("1 lb of fish, at most 1.5, per 5 US gal of water")


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("ratio"), example=(0.6, 16.0))
def vessel_density(
    biomass: Biomass, volume: Annotated[Volume, "Volume of the water, not of the vessel; a US gallon is 3.785 L"]
) -> FishDensity:
    """Weight of fish per volume of water (not of the vessel)."""
    return biomass * 1000 / volume


@worksheet_function(category=CATEGORY, source=RULE, example=(20.0,))
def bucket_load(
    vessel_volume: VesselVolume, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> Annotated[Biomass, "Weight of all the fish in one vessel"]:
    """Weight of fish that a vessel takes on the road; left out, filled to 0.8 and 24 kg/m³ of water (1 lb in 5 US gal).

    36 kg/m³ (1.5 lb in 5 US gal) is the most. Oxygen, ammonia and carbon dioxide may allow less.
    """
    return vessel_volume * fill * hauling_density / 1000


def _fish_per_vessel(vessel_volume: Any, fish_mass: Any, fill: Any, hauling_density: Any) -> Any:
    # Rounded before counting, so that float noise turns away no fish.
    return ops.floor(ops.round_to(bucket_load(vessel_volume, fill, hauling_density) * 1000 / fish_mass, 6))


@worksheet_function(category=CATEGORY, source=RULE, example=(20.0, 110.0))
def fish_per_vessel(
    vessel_volume: VesselVolume, fish_mass: FishMass, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> FishCount:
    """Whole fish that a vessel takes on the road; 0 where one is too heavy for it."""
    return _fish_per_vessel(vessel_volume, fish_mass, fill, hauling_density)


@worksheet_function(category=CATEGORY, source=RULE, example=(40.0, 110.0, 20.0))
def vessels_needed(
    count: FishCount, fish_mass: FishMass, vessel_volume: VesselVolume, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> VesselCount:
    """Whole vessels of one size for so many fish, no fish shared between two; by the hauling density alone."""
    each = _fish_per_vessel(vessel_volume, fish_mass, fill, hauling_density)
    return ops.require(
        each >= 1, lambda: ops.ceil(ops.round_to(count / each, 6)), "one fish is too heavy for a vessel of that size"
    )
