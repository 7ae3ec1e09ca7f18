"""Quantities that a move plan asks for and no function takes."""

from __future__ import annotations

from pailbook.quantities import KG_PER_POUND, LITRES_PER_US_GALLON, METRES_PER_FOOT, Quantity
from pailbook.workbook.form import Field
from pailbook.workbook.validation import EARLIEST, LATEST

VESSELS = Quantity("vessels", "Number of vessels, all of one size", low=1, high=10000, whole=True)
FISH_ALIKE = Quantity("fish", "Number of fish", low=1, high=10000, whole=True)
MINUTES_OR_NONE = Quantity("minutes", "Minutes; 0 for none", "min", low=0, high=10000)
HOURS_OR_NONE = Quantity("hours", "Hours; 0 for none", "h", low=0, high=1000)
STONE_SHARE = Quantity(
    "efficiency", "Fraction of the air's oxygen that the water takes up, from the field test on the sheet On the road",
    low=0, high=1, above=True,
)
MULTIPLE = Quantity("multiple", "A multiple of the expected value", low=0.1, high=2.5)
KIT_RESOLUTION = Quantity(
    "resolution", "Smallest difference that the kit or meter can show, in its own unit", low=0, high=500, above=True,
)
HARDNESS = Quantity("hardness", "General hardness", "mg/L as CaCO3", low=0, high=5000)
DIFFERENCE = Quantity("difference", "A difference of two readings", low=0, high=5000)
NITRITE = Quantity("nitrite", "Nitrite as NO2", "mg/L as NO2", low=0, high=1000)
CHLORINE = Quantity("chlorine", "Total chlorine in the water before treatment, as tested", "mg/L", low=0, high=50)
SALT = Quantity("salt", "Salt in the haul water", "g/L", low=0, high=40)
WATER_TO_ADD = Quantity(
    "volume", "Volume of water; a US gallon is 3.785 L", "L", "US gal", 1 / LITRES_PER_US_GALLON, low=0, high=1e8,
)
FEEDING_RATE = Quantity("feeding rate", "Daily feed as a percentage of the fish's weight", "% of body weight a day",
                        low=0, high=20)
PER_CENT = Quantity("percentage", "A percentage", "%", low=0, high=100)
FILTER_RATE = Quantity("filter rate", "Ammonia that a square metre of filter media takes up", "g as N/m² a day", low=0,
                       high=5, above=True)
TAN_PER_FEED = Quantity("ammonia from feed", "Ammonia that fish give off for each kilogram of feed", "g as N/kg feed",
                        low=0, high=100, above=True)
MEDIA_AREA = Quantity("filter area", "Surface of all filter media", "m²", "ft²", 1 / METRES_PER_FOOT**2, low=0,
                      high=1e7, above=True)
DAYS = Quantity("days", "Days", "days", low=1, high=365, whole=True)
HEAVY = Quantity("weight", "Weight of a full vessel", "kg", "lb", 1 / KG_PER_POUND, low=0, high=1e6, above=True)
DATE = Quantity("date", "A day of the calendar", low=EARLIEST, high=LATEST)


def of_box(item: Field) -> Quantity:
    """What may stand in the box of a field that is filled in: a number, a date or one of its choices."""
    if item.kind == "date":
        return DATE
    if item.kind == "choice":
        return Quantity(item.label, choices=item.choices)
    assert item.quantity is not None, item.key
    return item.quantity
