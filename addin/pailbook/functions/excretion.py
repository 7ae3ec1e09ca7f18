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
MEASURED_AT = 25.0  # °C; the abstract names none. The low end of what tilapia are kept at: errs on the high side
HALVED_BY_FASTING = 63.0  # hours
COOLING_LEAVES = 0.34  # of the excretion, by 17 F less
COOLED_BY = 17 / 1.8  # °C
LEAST, LEAST_CATFISH = 5.0, 5.3
LONG_FAST_FROM = 8 * CM_PER_INCH


@worksheet_function(
    category=CATEGORY,
    source=(RED_TILAPIA_AMMONIA.at("abstract"), PIPER_1982.at("p. 357, fasting and cooling"),
            HAULING_TEST.at("ammonia over 4 h 21 min"), COMMON_PRACTICE.at("never below 5")),
    example=(60.0, 24.0, 24.0),
)
def ammonia_excretion(
    fish_mass: FishMass, temperature: BreathingTemperature, hours_fasted: HoursFasted,
    species: Annotated[BreathingSpecies, "Species; only channel catfish have a least value of their own"] = "any fish",
) -> Excretion:
    """Ammonia nitrogen that fish give off, mg per kg of fish per hour, by their weight, warmth and hours without feed.

    Measured on fed red tilapia of 20 to 200 g, which stand for every species; lighter and heavier fish count as 20 and
    200 g. Fasting halves it in 63 hours, cooling by 17 °F (9.4 °C) leaves a third. Never below 5, nor of channel
    catfish below the 5.3 of fasted ones on the road: the safe side.
    """
    clamped = ops.minimum(ops.maximum(fish_mass, FED[0][0]), FED[-1][0])
    fed = ops.interpolate(clamped, FED)
    warmth = COOLING_LEAVES ** ((MEASURED_AT - temperature) / COOLED_BY)
    least = ops.where(species == "channel catfish", LEAST_CATFISH, LEAST)
    return ops.maximum(fed * warmth * 0.5 ** (hours_fasted / HALVED_BY_FASTING), least)


@worksheet_function(category=CATEGORY, source=PIPER_1982.at("p. 357"), example=(15.0,))
def fasting_hours(length: FishLength) -> Hours:
    """Hours without feed before a long haul: 48, or 72 for fish of 8 in (20 cm) and more.

    For a trip of less than two hours it is advice, never a reason not to go; fry and fish that eat each other are not
    starved so long.
    """
    return ops.where(ops.round_to(length, 6) >= LONG_FAST_FROM, 72.0, 48.0)
