"""What several rules of the plan ask about: the fields of Setup, and the numbers that Balance holds.

A question has the key of the field, or of the number, that it asks.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

import pailbook.functions as _fill_the_catalogue  # noqa: F401
from pailbook import terms
from pailbook.quantities import AirFlow, Feed, FishDensity, Flow, MediaVolume, Volume, WaterTemperature
from pailbook.quantity import Quantity
from pailbook.rules import say
from pailbook.workbook.measures import PROTEIN, quantity
from pailbook.workbook.stocking_plan import measures

NEAR = 0.9  # of a limit: above this share of it, watch


def found(hint: Any) -> Quantity:
    """The quantity of a calculated number: that of the hint, which may be 0 and has no highest value."""
    return replace(quantity(hint), low=0, above=False, high=None)


COUNT = Quantity("count", low=0)
WEEK = Quantity("week", low=1)
STONES = Quantity("stones", choices=("fine", "coarse"))
DATE = Quantity("date", low=36526, high=73050)  # 2000 to 2099
BEGUN = Quantity("begun", choices=("no", "yes"))

Begun = Annotated[str, BEGUN, "Whether the plan is begun"]
FishPlanned = Annotated[float, COUNT, "Fish on Weeks"]
CohortsThere = Annotated[float, COUNT, "A cohort on Cohorts"]
Temperatures = Annotated[float, COUNT, "Temperatures on Weeks"]
WaterVolume = Annotated[Volume, "Water volume, measured (Setup)"]
Conversion = Annotated[float, measures.CONVERSION, "Feed conversion (Setup)"]
Deaths = Annotated[float, measures.DEATHS, "Deaths (Setup)"]
FeedProtein = Annotated[float, PROTEIN, "Protein in the feed (Setup)"]
SmallSystem = Annotated[Volume, "Size of a small system (Setup)"]
TinySystem = Annotated[Volume, "Size of a very small system (Setup)"]
DensityMost = Annotated[FishDensity, f"Highest {terms.STOCKING_DENSITY.lower()} (Setup)"]
FilterMedia = Annotated[MediaVolume, "Filter media, grow beds included (Setup)"]
AirOfPump = Annotated[AirFlow, "Air flow of the pump (Setup)"]
ReturnFlow = Annotated[Flow, "Flow that comes back, measured (Setup)"]
UsualTemperature = Annotated[WaterTemperature, f"{terms.WATER_TEMPERATURE}, usual (Setup)"]
FirstDay = Annotated[float, DATE, "First day of the plan (Setup)"]
FeedPeak = Annotated[float, found(Feed), "Highest daily feed"]


def advice(kind: Any, condition: Any, *parts: Any) -> Any:
    """A rung whose sentence is also what to do."""
    words = say(*parts)
    return kind(condition, words, words)
