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
VesselVolume = Annotated[Volume, "Volume of the vessel when filled to the brim; 1 US gal is 3.785 L"]
RULE = COMMON_PRACTICE.at("1 lb of fish, at most 1.5, per 5 US gal of water")


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("ratio"), example=(0.99, 48.0))
def vessel_density(
    biomass: Biomass, volume: Volume
) -> FishDensity:
    """Total weight of the fish per volume of water in a vessel (not per volume of the vessel)."""
    return biomass * 1000 / volume


@worksheet_function(category=CATEGORY, source=RULE, example=(60.0,))
def bucket_load(
    vessel_volume: VesselVolume, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> Annotated[Biomass, "Total weight of the fish in one vessel"]:
    """Total weight of fish that a vessel takes on the road. If fill and hauling_density are left out, the vessel is
    80 % full and holds 24 kg of fish per m³ of water (0.2 lb/US gal).

    More than 36 kg/m³ (0.3 lb/US gal) is not accepted. Oxygen, ammonia and carbon dioxide may allow less.
    """
    return vessel_volume * fill * hauling_density / 1000


def _fish_per_vessel(vessel_volume: Any, fish_mass: Any, fill: Any, hauling_density: Any) -> Any:
    # Rounded before counting, so that float noise turns away no fish.
    return ops.floor(ops.round_to(bucket_load(vessel_volume, fill, hauling_density) * 1000 / fish_mass, 6))


@worksheet_function(category=CATEGORY, source=RULE, example=(60.0, 110.0))
def fish_per_vessel(
    vessel_volume: VesselVolume, fish_mass: FishMass, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> FishCount:
    """Number of whole fish that a vessel takes on the road; 0 if one fish is too heavy for it."""
    return _fish_per_vessel(vessel_volume, fish_mass, fill, hauling_density)


@worksheet_function(category=CATEGORY, source=RULE, example=(70.0, 85.0, 90.0))
def vessels_needed(
    count: FishCount, fish_mass: FishMass, vessel_volume: VesselVolume, fill: FillShare = 0.8,
    hauling_density: HaulingDensity = 24.0,
) -> VesselCount:
    """Number of vessels of one size for a number of fish, by the hauling density alone; no fish is shared between two.
    """
    each = _fish_per_vessel(vessel_volume, fish_mass, fill, hauling_density)
    return ops.require(
        each >= 1, lambda: ops.ceil(ops.round_to(count / each, 6)), "one fish is too heavy for a vessel of this size"
    )
