"""Stocking and feeding: stocking density, daily feed, and the plant area that a daily feed supports."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.species import LIMITS
from pailbook.quantities import (
    SPECIES,
    Crop,
    Feed,
    FeedingPercent,
    FeedRatio,
    FishCount,
    FishDensity,
    FishMass,
    PlantArea,
    Quantity,
    SameWeight,
    Species,
    Volume,
    WaterTemperature,
)
from pailbook.sources import COMMON_PRACTICE, FAO_589, GEOMETRY, RAKOCY_2007

CATEGORY = "Stocking and feeding"

# °C below which each species is not fed.
FEEDING_STOPS = {species: LIMITS[species, "temperature", "feed low"][0] for species in SPECIES}
_STOP_SOURCES = tuple(dict.fromkeys(LIMITS[species, "temperature", "feed low"][1] for species in SPECIES))
# g of feed (32 % protein) a day for each m²: leafy 40 to 50, fruiting 50 to 80; the middle of each.
RATIOS = {"leafy": 45.0, "fruiting": 65.0}
_RATIO_SOURCES = (FAO_589.at("section 8.1"), RAKOCY_2007.at("guideline 1"))

FeedConversion = Annotated[float, Quantity("feed conversion ratio", "Weight of feed divided by weight gained")]


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("ratio"), example=(70.0, 85.0, 1600.0))
def stocking_density(count: FishCount, fish_mass: FishMass, volume: Volume) -> FishDensity:
    """Stocking density: total weight of the fish per volume of water, from their number and the mean weight of one.

    FAO 589 limits small units of fish and plants to 20 kg/m³ (0.17 lb/US gal). The water of a small system deteriorates
    faster than that of a large one.
    """
    return count * fish_mass / volume  # g/L is kg/m³


@worksheet_function(
    category=CATEGORY, source=(FAO_589.at("section 7.3, 1 to 2 % a day"), *_STOP_SOURCES),
    example=(70.0, 85.0, 24.0, "channel catfish"),
)
def daily_feed(
    count: FishCount, fish_mass: FishMass, temperature: WaterTemperature, species: Species,
    percent: FeedingPercent = 1.5,
) -> Feed:
    """Daily feed: 1.5 % of body weight if the feeding rate is left out; 0 in water too cold for the species to feed.

    1 to 2 % suits grow-out; fry and fingerlings eat several times as much: follow the table on the feed's label.
    Feed less in water near either end of the species' range, and no more than the fish eat within minutes.
    """
    stop = ops.pick(species, FEEDING_STOPS, "temperature at which feeding stops")
    return ops.where(temperature < stop, 0.0, count * fish_mass * percent / 100)


def _ratio(crop: Any, ratio: Any) -> Any:
    return ops.where(ratio > 0, ratio, lambda: ops.pick(crop, RATIOS, "feed ratio"))


@worksheet_function(category=CATEGORY, source=_RATIO_SOURCES, example=(10.0, "leafy"))
def feed_for_area(area: PlantArea, crop: Crop, ratio: FeedRatio = 0.0) -> Feed:
    """Daily feed whose nutrients the plants on an area use up: if the ratio is left out, 45 g/m² for leafy crops and 65
    for fruiting ones.

    The published ranges are 40 to 50 and 50 to 80 g/m² a day of feed with 32 % protein, and 60 to 100 on large rafts.
    They hold for large, established systems; in a tank of a few hundred litres the water for the fish sets the limit,
    not the plants.
    """
    return area * _ratio(crop, ratio)


@worksheet_function(category=CATEGORY, source=_RATIO_SOURCES, example=(450.0, "leafy"))
def area_for_feed(feed: Feed, crop: Crop, ratio: FeedRatio = 0.0) -> PlantArea:
    """Plant area that uses up the nutrients of a daily feed: if the ratio is left out, 45 g/m² for leafy crops and 65
    for fruiting ones.
    """
    return feed / _ratio(crop, ratio)


@worksheet_function(category=CATEGORY, source=COMMON_PRACTICE.at("definition"), example=(2500.0, 6000.0, 8000.0))
def feed_conversion(
    feed: Annotated[SameWeight, "Feed given, in the same unit as the weights"],
    mass_from: Annotated[SameWeight, "Weight of the fish at the first weighing"],
    mass_to: Annotated[SameWeight, "Weight of the fish at the second weighing, in the same unit"],
) -> FeedConversion:
    """Feed conversion ratio: the feed given divided by the weight that the fish gained, all in one unit.

    For the biological ratio, add to the second weight the fish that died or were taken out in between.
    """
    return ops.require(
        mass_to > mass_from, lambda: feed / (mass_to - mass_from), "the fish gained no weight, so there is no ratio"
    )
