"""Growth by temperature: the thermal growth coefficient, within the range of temperatures for which it is meant."""

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
    """Above this, °C, warmer water does not count: the best temperature, else the one from which to watch."""
    levels = (LIMITS.get((species, "temperature", level)) for level in ("best", "watch high"))
    return next(found[0] for found in levels if found is not None)


# °C: no growth below the first, none the faster above the second.
STOPS = {ANY_FISH: 0.0, **FEEDING_STOPS}
MOST = {ANY_FISH: 40.0, **{species: _most(species) for species in SPECIES}}

ConditionFactor = Annotated[float, Quantity("condition factor", "Fulton's K")]
DaysOfGrowth = Annotated[float, Quantity("days", "Days of growth", "days", low=0)]


def growth_temperature(temperature: Any, species: Any) -> Any:
    """The temperature that counts for growth, °C: 0 where the species does not feed, its best one at most."""
    warm = ops.minimum(temperature, ops.pick(species, MOST, "temperature of best growth"))
    return ops.where(temperature < ops.pick(species, STOPS, "temperature at which feeding stops"), 0.0, warm)


def _length(mass: Any) -> Any:
    return mass ** (1 / 3)


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(20.0, 85.0, 24.0, 120.0))
def growth_coefficient(
    mass_from: Annotated[FishMass, "Mean weight of one fish at the first weighing"],
    mass_to: Annotated[FishMass, "Mean weight of one fish at the second weighing"],
    temperature: Annotated[WaterTemperature, "Mean water temperature between the two weighings"],
    days: Annotated[GrowingDays, "Days between the two weighings"],
    species: GrowthSpecies = ANY_FISH,
) -> GrowthCoefficient:
    """Thermal growth coefficient (times 1000) from two weighings and the mean water temperature between them.

    Use it to predict the growth of the same stock at other weights and temperatures. If a species is named, any
    temperature above its best counts as the best, because the fish grow no faster there.
    """
    warmth = growth_temperature(temperature, species)
    return ops.require(
        warmth > 0, lambda: 1000 * (_length(mass_to) - _length(mass_from)) / (warmth * days),
        "the water is too cold for the species to feed, so there is no growth to measure",
    )


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(85.0, 0.6, 24.0, 30.0))
def mass_after(
    mass: Annotated[FishMass, "Weight of one fish now"], coefficient: GrowthCoefficient, temperature: WaterTemperature,
    days: GrowingDays,
    species: GrowthSpecies = ANY_FISH,
) -> FishMass:
    """Weight of one fish after a number of days at a temperature, from its thermal growth coefficient.

    If a species is named, it does not grow below the temperature at which it stops feeding, and grows no faster above
    its best one. This holds for fish with enough feed and good water; weigh a sample every few weeks.
    """
    warmth = growth_temperature(temperature, species)
    return ops.where(warmth > 0, lambda: (_length(mass) + coefficient * warmth * days / 1000) ** 3, mass)


@worksheet_function(category=CATEGORY, source=_SOURCES, example=(85.0, 400.0, 0.6, 24.0))
def days_to_mass(
    mass_from: Annotated[FishMass, "Weight of one fish now"],
    mass_to: Annotated[FishMass, "Target weight of one fish"], coefficient: GrowthCoefficient,
    temperature: WaterTemperature,
    species: GrowthSpecies = ANY_FISH,
) -> DaysOfGrowth:
    """Days until a fish reaches a target weight at a temperature, from its thermal growth coefficient; 0 if it already
    has.

    If a species is named, the temperature counts only within its range; in water too cold for it to feed there is no
    answer.
    """
    warmth = growth_temperature(temperature, species)
    return ops.require(
        warmth > 0,
        lambda: ops.maximum(1000 * (_length(mass_to) - _length(mass_from)) / (coefficient * warmth), 0.0),
        "the water is too cold for the species to feed, so it does not grow",
    )


@worksheet_function(
    category=CATEGORY, source=(PIPER_1982.at("p. 61, condition factor"), EMMANUEL_2013.at("Nile tilapia")),
    example=(110.0, 21.0),
)
def condition_factor(fish_mass: FishMass, length: FishLength) -> ConditionFactor:
    """Fulton's condition factor K: 100 times the weight in g, divided by the cube of the total length in cm.

    Compare only fish of the same species and size. Slender fish such as catfish and trout are near 1, tilapia near 2. A
    falling K in one stock is a sign of hunger or illness.
    """
    return 100 * fish_mass / length**3
