"""Questions 1 to 8 on the sheet Start, without which nothing can be said of a move."""

from __future__ import annotations

from pailbook.quantities import PH, Biomass, FishCount, Minutes, Volume, WaterTemperature
from pailbook.workbook.form import Field
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.move_plan.trip import FROM, TO

ANSWERS = (
    Field("from_ph", f"1a  pH {FROM}", quantity(PH)),
    Field("to_ph", f"1b  pH {TO}", quantity(PH)),
    Field("from_temperature", f"2a  Water temperature {FROM}", quantity(WaterTemperature)),
    Field("to_temperature", f"2b  Water temperature {TO}", quantity(WaterTemperature)),
    Field("fish_count", "3  Number of fish", quantity(FishCount), unit="fish"),
    Field("fish_weight", "4  Total weight of the fish", quantity(Biomass)),
    Field("vessel_count", "5  Number of vessels", measures.VESSELS, unit="vessels"),
    Field("vessel_volume", "6  Volume of one vessel when brim-full", quantity(Volume),
          help="The vessels are all of one size; the fullest one decides"),
    Field("road_minutes", "7  Minutes on the road", quantity(Minutes)),
    Field("as_of", "8  Today's date", kind="date", why="year-month-day; the calendar counts from it",
          help="Type today's date, such as 2026-03-31. It does not change on its own."),
)
REQUIRED = tuple(item.key for item in ANSWERS if item.kind == "number")  # the date can wait
