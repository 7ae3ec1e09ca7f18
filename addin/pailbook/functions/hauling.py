"""Published loads for the road, of channel catfish in powered tanks and in bags; weight from length."""

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
    "tilapia": (1.77 + 2.35) / 2,  # transported Nile tilapia had these at the least and the most
    "rainbow trout": 1.15,  # 0.0119 L^2.990, lake fish, at 30 cm
}
# lb/gal at the low end of the table, by hours at 65 F. Where it gives no low end for 1 hour, that of 12 hours stands.
BAG_HOURS = (1.0, 12.0, 24.0, 48.0)
BAG_LOADS = {
    "eggs": (0.5, 0.5, 0.5, 0.2),
    "yolk-sac fry": (0.7, 0.7, 0.4, 0.1),
    "swim-up fry": (0.5, 0.4, 0.4, 0.2),
}
FINGERLING_LOADS = ((1.0, 1.0), (48.0, 0.3))  # no low end is known in between

HaulLength = Annotated[float, Quantity(
    "fish length", "Length of one fish; the rule holds from 2 to 16 in (5 to 41 cm)", "cm", "in", 1 / CM_PER_INCH,
    low=2 * CM_PER_INCH, high=16 * CM_PER_INCH)]
HaulTemperature = Annotated[float, Quantity(
    "water temperature", "Water temperature; the rule holds from 45 to 85 °F (7 to 29 °C)", "°C", "°F", 1.8, 32.0,
    low=7.2222222, high=29.4444445)]
BagStage = Annotated[str, Quantity(
    "stage", "What goes into the bag", choices=(*BAG_LOADS, "1-2 in fingerlings"))]
BagHours = Annotated[float, Quantity(
    "hours in the bag", "Hours until the bag is opened; the table ends at 48", "h", low=0, high=48, above=True)]


@worksheet_function(
    category=CATEGORY,
    source=(PIPER_1982.at("p. 61, channel catfish"), EMMANUEL_2013.at("condition factors 1.77 to 2.35"),
            SIMPKINS_HUBERT_1996.at("lentic")),
    example=(22.0, "channel catfish"),
)
def fish_mass_from_length(length: FishLength, species: Species) -> FishMass:
    """Weight of one fish from its length, by the usual condition of the species; #N/A for species without a source.

    Channel catfish, tilapia and rainbow trout. Condition varies by a fifth either way: weigh a batch where you can.
    """
    return ops.pick(species, CONDITION, "condition factor") * length**3 / 100


@worksheet_function(
    category=CATEGORY, source=PIPER_1982.at("p. 362, guidelines 1 to 3"), example=("channel catfish", 25.0, 18.0)
)
def hauling_density(species: Species, length: HaulLength, temperature: HaulTemperature) -> FishDensity:
    """Published load of channel catfish per volume of water in powered hauling tanks; #N/A for other species.

    4 lb per US gal (479 kg/m³) for fish of 16 in (41 cm) at 65 °F (18 °C), in proportion to length, a quarter less for
    each 10 °F (5.6 °C) more. For tanks with agitators or oxygen, never for buckets (BUCKET_LOAD); change all water on
    hauls beyond 16 hours.
    """
    at_65 = ops.pick(species, {"channel catfish": 4.0 * KG_M3_PER_POUND_GALLON}, "hauling rule")
    fahrenheit_below_65 = 33 - 1.8 * temperature
    return at_65 * length / (16 * CM_PER_INCH) * (1 + 0.25 * fahrenheit_below_65 / 10)


@worksheet_function(
    category=CATEGORY, source=DUPREE_HUNER_1984.at("table of bag loads"), example=("swim-up fry", 18.0)
)
def bag_density(stage: BagStage, hours: BagHours) -> FishDensity:
    """Published load per volume of water in bags of a quarter water and three quarters oxygen at 65 °F; the low end.

    Between the table's 1, 12, 24 and 48 hours on straight lines; under an hour, as for one. For channel catfish; other
    fry and warmer bags want less.
    """
    within = ops.maximum(hours, BAG_HOURS[0])

    def load(rest: list[str]) -> Any:
        if not rest:
            return ops.interpolate(within, FINGERLING_LOADS)
        here = tuple(zip(BAG_HOURS, BAG_LOADS[rest[0]]))
        return ops.where(stage == rest[0], lambda: ops.interpolate(within, here), lambda: load(rest[1:]))

    return KG_M3_PER_POUND_GALLON * load(list(BAG_LOADS))
