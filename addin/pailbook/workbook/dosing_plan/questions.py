"""What the rules of the plan ask about: the fields of Setup, the boxes of each nutrient, and numbers of the whole plan.

A question has the key of the field, the box or the number that it asks.
"""

from __future__ import annotations

from typing import Annotated, Any

import pailbook.functions as _fill_the_catalogue  # noqa: F401
from pailbook import terms
from pailbook.quantities import PH, Alkalinity, CarbonDioxide, Conductivity, PHStep, Volume, WaterTemperature
from pailbook.quantity import Quantity
from pailbook.rules import Unusable, not_asked_if_blank, skips
from pailbook.workbook.dosing_plan.nutrients import Nutrient
from pailbook.workbook.measures import (
    DAYS_BETWEEN,
    KIT_READING,
    NUTRIENT_LEVEL,
    NUTRIENT_RESOLUTION,
)

COUNT = Quantity("count", low=0)
DATE = Quantity("date", low=36526, high=73050)  # 2000 to 2099
FLAG = Quantity("flag", low=0, high=1)
NUMBER = Quantity("number", low=-1e9, high=1e9)
UNITS = Quantity("unit", choices=("g", "mL"))  # of doses
AMOUNT = Quantity("amount", low=0, high=1e9)

WaterVolume = Annotated[Volume, "Water volume, measured (Setup)"]
Temperature = Annotated[WaterTemperature, f"{terms.WATER_TEMPERATURE} (Setup)"]
PHNow = Annotated[PH, "pH (Setup or Readings)"]
AlkalinityNow = Annotated[Alkalinity, f"{terms.ALKALINITY} (Setup or Readings)"]
FreeCarbonDioxide = Annotated[CarbonDioxide, terms.CARBON_DIOXIDE, skips]
Salts = Annotated[Conductivity, "Conductivity (EC) (Setup)", skips]
CalciumNow = Annotated[float, NUTRIENT_LEVEL, "Calcium in the water (Setup)", skips]
MagnesiumNow = Annotated[float, NUTRIENT_LEVEL, "Magnesium in the water (Setup)", skips]
PHRule = Annotated[PHStep, "Largest change of pH in a day (Setup)"]
PHLowest = Annotated[PH, "Lowest pH after a dose (Setup)"]
PHHighest = Annotated[PH, "Highest pH after a dose (Setup)"]
AlkalinityLowest = Annotated[Alkalinity, f"Lowest {terms.ALKALINITY.lower()} for acid (Setup)"]
DaysBetween = Annotated[float, DAYS_BETWEEN, "Days from one test to the next (Setup)"]
Tests = Annotated[float, COUNT, "A pH or alkalinity on Readings", Unusable("is not in order")]
Today = Annotated[float, DATE, "Today's date", skips]
Used = Annotated[float, COUNT, "Boxes of phosphate that are filled in"]
LatestDate = Annotated[float, DATE, "Date of the latest reading", not_asked_if_blank]
MOVED = 0.005  # pH: a change that is this much more than the rule allows still rounds to it


def of_nutrient(n: Nutrient) -> dict[str, Any]:
    """The hints of what is asked about a nutrient, by the key of its box on Nutrients."""
    name = n.label.lower()
    return {
        "used": Annotated[float, COUNT, f"Boxes of {name} that are filled in"],
        "basis": Annotated[str, Quantity("basis", choices=n.bases), f"What the {name} kit reads as (Nutrients)"],
        "resolution": Annotated[float, NUTRIENT_RESOLUTION, f"Resolution of the {name} kit (Nutrients)"],
        "kit_low": Annotated[float, KIT_READING, f"Lowest reading of the {name} kit (Nutrients)", skips],
        "kit_high": Annotated[float, KIT_READING, f"Highest reading of the {name} kit (Nutrients)", skips],
        "low": Annotated[float, NUTRIENT_LEVEL, f"{terms.LOWER_END} for {name} (Nutrients)"],
        "high": Annotated[float, NUTRIENT_LEVEL, f"{terms.UPPER_END} for {name} (Nutrients)"],
        "incoming": Annotated[float, NUTRIENT_LEVEL, f"{n.label} in the new water (Nutrients)", skips],
        "product": Annotated[str, Quantity("product", choices=n.products), f"Product for {name} (Nutrients)"],
        "dose_per": Annotated[float, AMOUNT, f"Strength on the label of the {name} product"],
        "topped": Annotated[float, FLAG, f"Whether the reading of {name} is at the upper end of its kit"],
        "readings": Annotated[float, COUNT, f"A reading of {name} (Readings)"],
        "latest": Annotated[float, AMOUNT, f"Latest reading of {name} within the range of the kit"],
        "count": Annotated[float, COUNT, f"Readings used for the uptake of {name}"],
        "uptake": Annotated[float, NUMBER, f"Uptake of {name}", skips],
        "uptake_error": Annotated[float, AMOUNT, f"95 % interval of the uptake of {name}"],
        "action": Annotated[float, AMOUNT, f"Level of {name} at which a dose is due"],
        "next_dose": Annotated[float, AMOUNT, f"Next dose of {name}", skips],
        "next_date": Annotated[float, DATE, f"Date of the next dose of {name}", skips],
        "known_factor": Annotated[float, AMOUNT, f"Basis of the {name} kit", skips],
        "known_per": Annotated[float, AMOUNT, f"Dose of the {name} product", skips],
    }

