"""Published hauling densities of channel catfish, in powered tanks and in bags; weight from length."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import (
    CM_PER_INCH,
    KG_M3_PER_POUND_GALLON,
    KG_PER_POUND,
    FishDensity,
    FishLength,
    FishMass,
    Quantity,
    Species,
)
from pailbook.sources import DUPREE_HUNER_1984, EMMANUEL_2013, PIPER_1982, SIMPKINS_HUBERT_1996

FULTON_PER_POUND_INCH = 100 * 1000 * KG_PER_POUND / CM_PER_INCH**3  # K = 100 g/cm³ from C in lb/in³

# Fulton's K.
CONDITION = {
    "channel catfish": 2918e-7 * FULTON_PER_POUND_INCH,
    "tilapia": (1.77 + 2.35) / 2,  # the lowest and the highest of transported Nile tilapia
    "rainbow trout": 1.15,  # 0.0119 L^2.990, lake fish, at 30 cm
}
# lb/gal at the low end of the table, by hours at 65 F. Where it gives none for 1 hour, that of 12 hours is used.
BAG_HOURS = (1.0, 12.0, 24.0, 48.0)
BAG_DENSITIES = {
    "eggs": (0.5, 0.5, 0.5, 0.2),
    "yolk-sac fry": (0.7, 0.7, 0.4, 0.1),
    "swim-up fry": (0.5, 0.4, 0.4, 0.2),
}
FINGERLING_DENSITIES = ((1.0, 1.0), (48.0, 0.3))  # no low end is known in between

HaulLength = Annotated[float, Quantity(
    "fish length", "Length of one fish; the rule holds from 2 to 16 in (5 to 41 cm)", "cm", "in", 1 / CM_PER_INCH,
    low=2 * CM_PER_INCH, high=16 * CM_PER_INCH)]
HaulTemperature = Annotated[float, Quantity(
    "water temperature", "Water temperature; the rule holds from 45 to 85 °F (7 to 29 °C)", "°C", "°F", 1.8, 32.0,
    low=7.2222222, high=29.4444445)]
BagStage = Annotated[str, Quantity(
    "stage", "What goes into the bag", choices=(*BAG_DENSITIES, "1-2 in fingerlings"))]
BagHours = Annotated[float, Quantity(
    "hours in the bag", "Hours until the bag is opened; the table ends at 48", "h", low=0, high=48, above=True)]


@worksheet_function(
    category=CATEGORY,
    source=(PIPER_1982.at("p. 61, channel catfish"), EMMANUEL_2013.at("condition factors 1.77 to 2.35"),
            SIMPKINS_HUBERT_1996.at("lentic")),
    example=(22.0, "channel catfish"),
)
def fish_mass_from_length(length: FishLength, species: Species) -> FishMass:
    """Weight of one fish from its length, at the usual condition of the species; #N/A for a species without a source.

    Sources exist for channel catfish, tilapia and rainbow trout. Condition varies by a fifth either way: weigh a sample
    if you can.
    """
    return ops.pick(species, CONDITION, "condition factor") * length**3 / 100


@worksheet_function(
    category=CATEGORY, source=PIPER_1982.at("p. 362, guidelines 1 to 3"), example=("channel catfish", 25.0, 18.0)
)
def hauling_density(species: Species, length: HaulLength, temperature: HaulTemperature) -> FishDensity:
    """Published hauling density of channel catfish, per volume of water, in tanks with powered agitators or oxygen;
    #N/A for other species.

    479 kg/m³ (4 lb/US gal) for fish of 41 cm (16 in) at 18 °C (65 °F), in proportion to their length, and a quarter
    less for each 5.6 °C (10 °F) warmer. Never use it for a vessel with an air stone: see BUCKET_LOAD. On hauls of more
    than 16 hours, change all the water.
    """
    at_65 = ops.pick(species, {"channel catfish": 4.0 * KG_M3_PER_POUND_GALLON}, "hauling rule")
    fahrenheit_below_65 = 33 - 1.8 * temperature
    return at_65 * length / (16 * CM_PER_INCH) * (1 + 0.25 * fahrenheit_below_65 / 10)


@worksheet_function(
    category=CATEGORY, source=DUPREE_HUNER_1984.at("table of densities in bags"), example=("swim-up fry", 18.0)
)
def bag_density(stage: BagStage, hours: BagHours) -> FishDensity:
    """Published density of channel catfish, per volume of water, in sealed bags with a quarter water and three quarters
    oxygen at 18 °C (65 °F); the low end.

    Between the table's 1, 12, 24 and 48 hours the density is interpolated; below one hour it is that of one hour. Use
    less for the fry of other species, and in warmer bags.
    """
    within = ops.maximum(hours, BAG_HOURS[0])

    def density(rest: list[str]) -> Any:
        if not rest:
            return ops.interpolate(within, FINGERLING_DENSITIES)
        here = tuple(zip(BAG_HOURS, BAG_DENSITIES[rest[0]]))
        return ops.where(stage == rest[0], lambda: ops.interpolate(within, here), lambda: density(rest[1:]))

    return KG_M3_PER_POUND_GALLON * density(list(BAG_DENSITIES))
