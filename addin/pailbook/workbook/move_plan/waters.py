"""Both waters of a move: which of their properties are compared, and where each cell stands on Water match."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.quantities import (
    PH,
    Alkalinity,
    Conductivity,
    PHTolerance,
    Quantity,
    TemperatureDifference,
    WaterTemperature,
)
from pailbook.terms import ALKALINITY, ALKALINITY_ONCE, HARDNESS, HARDNESS_ONCE, WATER_TEMPERATURE
from pailbook.workbook.columns import quoted
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures

SHEET = "Water match"
FIRST = 5
FROM_COLUMN, TO_COLUMN, GIVEN, USED, GAP, LIMIT, VERDICT, KIT, KIT_CLEAN = "C", "D", "E", "F", "G", "H", "I", "J", "K"
USUAL_PH_RESOLUTION = 0.2


@dataclass(frozen=True)
class Pair:
    """A property of both waters: its key, its words, the key of the limit for how far apart is too far."""

    key: str
    label: str
    quantity: Quantity
    limit: str
    difference: Quantity
    usual_resolution: float
    shown: str = "0.0"
    heading: str = ""


PAIRS = (
    Pair("ph", "pH", quantity(PH), "ph_within", quantity(PHTolerance), USUAL_PH_RESOLUTION, "0.00"),
    Pair("temperature", WATER_TEMPERATURE, quantity(WaterTemperature), "temperature_watch",
         quantity(TemperatureDifference), 0.5),
    Pair("alkalinity", ALKALINITY, quantity(Alkalinity), "alkalinity_gap", quantity(Alkalinity), 17.8, "0",
         ALKALINITY_ONCE),
    Pair("hardness", HARDNESS, measures.HARDNESS, "hardness_gap", measures.DIFFERENCE, 17.8, "0", HARDNESS_ONCE),
    Pair("conductivity", "Conductivity (EC)", quantity(Conductivity), "conductivity_gap", quantity(Conductivity), 10,
         "0"),
)


def row_of(key: str) -> int:
    """The row of a property, or of the light."""
    return FIRST + (len(PAIRS) if key == "light" else next(i for i, pair in enumerate(PAIRS) if pair.key == key))


def _cell(letter: str, key: str) -> str:
    return f"{quoted(SHEET)}!${letter}${row_of(key)}"


def verdict(key: str) -> str:
    """The cell with the verdict on a property of both waters, or on the light."""
    return _cell(VERDICT, key)


def gap(key: str) -> str:
    """The cell with the gap, without sign."""
    return _cell(GAP, key)


def kit_resolution(key: str) -> str:
    """The cell with the resolution in which both waters were read."""
    return _cell(USED, key)


def clean_resolution() -> str:
    """The hidden clean cell of the resolution in which pH was read."""
    return _cell(KIT_CLEAN, "ph")


def resolution_given(key: str) -> str:
    """The cell into which the user types the resolution of a kit."""
    return _cell(GIVEN, key)


def resolution_label(pair: Pair) -> str:
    """What that cell is called."""
    return f"Resolution of your kit: {pair.label}"


def resolution_quantity() -> Quantity:
    """What that cell takes."""
    return measures.KIT_RESOLUTION


def can_show(key: str) -> str:
    """The cell that says whether the kit can show a match."""
    return _cell(KIT, key)
