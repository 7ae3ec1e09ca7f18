"""Ammonia that fish give off, and how long to fast them before a move."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import (
    CM_PER_INCH,
    BreathingSpecies,
    BreathingTemperature,
    Excretion,
    FishLength,
    FishMass,
    Hours,
    HoursFasted,
)
from pailbook.sources import COMMON_PRACTICE, HAULING_TEST, PIPER_1982, RED_TILAPIA_AMMONIA

# g of one fish, mg N per kg and hour of fed red tilapia. Below and above, the nearest value holds.
FED = ((20.0, 34.06), (30.0, 32.56), (40.0, 27.06), (60.0, 17.46), (80.0, 12.54), (120.0, 12.48), (180.0, 7.87),
       (200.0, 5.83))
MEASURED_AT = 25.0  # °C; the abstract names none. At the low end of what tilapia are kept at, so it errs high
HALVED_BY_FASTING = 63.0  # hours
COOLING_LEAVES = 0.34  # of the excretion, by 17 F less
COOLED_BY = 17 / 1.8  # °C
LEAST, LEAST_CATFISH = 5.0, 5.3
LONG_FAST_FROM = 8 * CM_PER_INCH


@worksheet_function(
    category=CATEGORY,
    source=(RED_TILAPIA_AMMONIA.at("abstract"), PIPER_1982.at("p. 357, fasting and cooling"),
            HAULING_TEST.at("ammonia over 4 h 21 min"), COMMON_PRACTICE.at("never below 5")),
    example=(85.0, 20.0, 24.0),
)
def ammonia_excretion(
    fish_mass: FishMass, temperature: BreathingTemperature, hours_fasted: HoursFasted,
    species: Annotated[BreathingSpecies, "Species; only channel catfish have a lowest value of their own"] = "any fish",
) -> Excretion:
    """Ammonia nitrogen that fish excrete, in mg per kg of fish per hour, from their weight, the water temperature and
    the hours since the last feed.

    It was measured on fed red tilapia of 20 to 200 g, which stand in for every species; lighter and heavier fish count
    as 20 and 200 g. Fasting halves it in 63 hours; water colder by 9.4 °C (17 °F) reduces it to a third. To be on the
    safe side it is never less than 5, or 5.3 for channel catfish, as measured on fasted catfish on the road.
    """
    clamped = ops.minimum(ops.maximum(fish_mass, FED[0][0]), FED[-1][0])
    fed = ops.interpolate(clamped, FED)
    warmth = COOLING_LEAVES ** ((MEASURED_AT - temperature) / COOLED_BY)
    least = ops.where(species == "channel catfish", LEAST_CATFISH, LEAST)
    return ops.maximum(fed * warmth * 0.5 ** (hours_fasted / HALVED_BY_FASTING), least)


@worksheet_function(category=CATEGORY, source=PIPER_1982.at("p. 357"), example=(18.0,))
def fasting_hours(length: FishLength) -> Hours:
    """Hours without feed before a long haul: 48, or 72 for fish of 20 cm (8 in) and longer.

    For a trip of less than two hours this is advice, not a reason to cancel it. Do not fast fry, or fish that eat each
    other, for that long.
    """
    return ops.where(ops.round_to(length, 6) >= LONG_FAST_FROM, 72.0, 48.0)
