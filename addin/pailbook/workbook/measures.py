"""Quantities that a log records but no function takes: what they are, their units, limits and help.

Those that functions take are in `pailbook.quantities`; `quantity` gets the record out of a type hint.
"""

from __future__ import annotations

from typing import Any, get_args

from pailbook.quantities import GRAMS_PER_OUNCE, KG_PER_POUND, LITRES_PER_US_GALLON, METRES_PER_FOOT, Quantity


def quantity(hint: Any) -> Quantity:
    """The quantity that a type hint of `pailbook.quantities` names."""
    found: Quantity = next(m for m in get_args(hint)[1:] if isinstance(m, Quantity))
    return found


NITRITE = Quantity("nitrite", "Nitrite, in the basis set on Settings", "mg/L", low=0, high=1000)
NITRATE = Quantity("nitrate", "Nitrate, in the basis set on Settings", "mg/L", low=0, high=5000)
HARDNESS = Quantity("hardness", "General hardness, in the unit set on Settings", "mg/L as CaCO3", low=0, high=5000)
KIT_READING = Quantity("reading", "A reading of this kit, in its own unit", low=0, high=20000)
KIT_RESOLUTION = Quantity("resolution", "Smallest difference that the kit can show", low=0, high=5000, above=True)
GROWING_AREA = Quantity(
    "growing area", "Area in which plants grow", "m²", "ft²", 1 / METRES_PER_FOOT**2, low=0, high=1e6, above=True
)
FEED_GIVEN = Quantity("feed", "Weight of feed given", "g", "oz", 1 / GRAMS_PER_OUNCE, low=0, high=1e7)
PROTEIN = Quantity("protein", "Protein in the feed by weight, from its label", "%", low=0, high=80, above=True)
SAMPLE_WEIGHT = Quantity(
    "weight of the sample", "Weight of all the fish that were put on the scale", "kg", "lb", 1 / KG_PER_POUND,
    low=0, high=1e6, above=True,
)
HARVEST_MASS = Quantity(
    "harvest", "Weight of what was picked", "kg", "lb", 1 / KG_PER_POUND, low=0, high=1e6, above=True
)
PLANT_COUNT = Quantity("plants", "Number of plants", low=0, high=1e7, whole=True)
DEAD_COUNT = Quantity("fish dead", "Number of fish lost", low=0, high=1e9, whole=True)
DOSE_AMOUNT = Quantity("dose", "Amount that went in", "g or mL", low=0, high=1e7, above=True)
WATER_VOLUME = Quantity(
    "water", "Water that went in; 1 US gal is 3.785 L", "L", "US gal", 1 / LITRES_PER_US_GALLON,
    low=0, high=1e8, above=True,
)
DAYS_BETWEEN = Quantity("days", "Days between one time and the next", "days", low=1, high=3650, whole=True)
CHANGE_SHARE = Quantity("share", "Share of the system's water", "%", low=0, high=100)
NUTRIENT_READING = Quantity("reading", "As the kit shows it, in the basis on its label", "mg/L", low=0, high=5000)
NUTRIENT_LEVEL = Quantity("level", "In the basis named beside it", "mg/L", low=0, high=5000)
NUTRIENT_RESOLUTION = Quantity(
    "resolution", "Smallest difference that the kit can show, in the basis on its label", "mg/L", low=0, high=1000,
    above=True,
)
