"""Growth by warmth: the thermal growth coefficient, held to the range of temperatures for which it is meant."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.feeding import FEEDING_STOPS
from pailbook.functions.species import LIMITS
from pailbook.quantities import (
    SPECIES,
    FishLength,
    FishMass,
    GrowingDays,
    GrowthCoefficient,
    GrowthSpecies,
    Quantity,
    WaterTemperature,
)
from pailbook.sources import EMMANUEL_2013, IWAMA_TAUTZ_1981, JOBLING_2003, PIPER_1982

CATEGORY = "Growth"
ANY_FISH = "any fish"
_SOURCES = (IWAMA_TAUTZ_1981.at("growth model"), JOBLING_2003.at("not above the best temperature"))


def _most(species: str) -> float:
    """Above this, °C, more warmth does not count: the best temperature, else the one from which to watch."""
    levels = (LIMITS.get((species, "temperature", level)) for level in ("best", "watch high"))
    return next(found[0] for found in levels if found is not None)


# °C: no growth below the first, none the faster above the second.
STOPS = {ANY_FISH: 0.0, **FEEDING_STOPS}
MOST = {ANY_FISH: 40.0, **{species: _most(species) for species in SPECIES}}

ConditionFactor = Annotated[float, Quantity("condition factor", "Fulton's K")]
DaysOfGrowth = Annotated[float, Quantity("days", "Days of growth", "days", low=0)]


def growth_temperature(temperature: Any, species: Any) -> Any:
    """The temperature that counts for growth, °C: 0 where the species does not feed, no more than its best."""
    warm = ops.minimum(temperature, ops.pick(species, MOST, "temperature of best growth"))
    return ops.where(temperature < ops.pick(species, STOPS, "temperature at which feeding stops"), 0.0, warm)


def _length(mass: Any) -> Any:
    return mass ** (1 / 3)


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(10.0, 350.0, 11.0, 200.0))
def growth_coefficient(
    mass_from: Annotated[FishMass, "Mean weight of one fish at the first weighing"],
    mass_to: Annotated[FishMass, "Mean weight of one fish at the second weighing"],
    temperature: Annotated[WaterTemperature, "Mean temperature of the water between them"],
    days: Annotated[GrowingDays, "Days between them"],
    species: GrowthSpecies = ANY_FISH,
) -> GrowthCoefficient:
    """Thermal growth coefficient (x 1000) that two weighings show, from the mean temperature between them.

    It carries a stock's growth over to other weights and temperatures. With a species named, warmth above its best
    temperature does not count: there the fish grow no faster.
    """
    warmth = growth_temperature(temperature, species)
    return ops.require(
        warmth > 0, lambda: 1000 * (_length(mass_to) - _length(mass_from)) / (warmth * days),
        "in water so cold the species does not feed, so it shows no growth",
    )


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(50.0, 0.8, 26.0, 30.0))
def mass_after(
    mass: Annotated[FishMass, "Weight of one fish now"], coefficient: GrowthCoefficient, temperature: WaterTemperature,
    days: GrowingDays,
    species: GrowthSpecies = ANY_FISH,
) -> FishMass:
    """Weight of a fish after so many days at a temperature, by its thermal growth coefficient.

    With a species named there is no growth below the temperature at which it stops feeding, and none the faster above
    its best. It holds for fish that are fed enough, in good water; weigh some every few weeks.
    """
    warmth = growth_temperature(temperature, species)
    return ops.where(warmth > 0, lambda: (_length(mass) + coefficient * warmth * days / 1000) ** 3, mass)


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(50.0, 400.0, 0.8, 26.0))
def days_to_mass(
    mass_from: Annotated[FishMass, "Weight of one fish now"],
    mass_to: Annotated[FishMass, "Weight of one fish that is wanted"], coefficient: GrowthCoefficient,
    temperature: WaterTemperature,
    species: GrowthSpecies = ANY_FISH,
) -> DaysOfGrowth:
    """Days until a fish has grown to a weight, at a temperature, by its thermal growth coefficient; 0 if it is there.

    With a species named, warmth counts within its range alone; in water too cold to feed there is no answer.
    """
    warmth = growth_temperature(temperature, species)
    return ops.require(
        warmth > 0,
        lambda: ops.maximum(1000 * (_length(mass_to) - _length(mass_from)) / (coefficient * warmth), 0.0),
        "in water so cold the species does not feed, so it does not grow",
    )


@worksheet_function(
    category=CATEGORY, source=(PIPER_1982.at("p. 61, condition factor"), EMMANUEL_2013.at("Nile tilapia")),
    example=(250.0, 23.0),
)
def condition_factor(fish_mass: FishMass, length: FishLength) -> ConditionFactor:
    """Fulton's condition factor K: 100 x g / cm³, of the total length. Compare fish of one species and size.

    Slender fish such as catfish and trout lie near 1, tilapia near 2. A falling K in one stock tells of hunger or
    illness.
    """
    return 100 * fish_mass / length**3
