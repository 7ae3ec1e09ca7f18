"""Oxygen that fish use, and how long it lasts."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.chemicals import molar_mass
from pailbook.quantities import (
    Activity,
    AmpHours,
    Biomass,
    BreathingSpecies,
    BreathingTemperature,
    Consumption,
    Feed,
    FeedOxygenRatio,
    FishMass,
    Hours,
    InverterEfficiency,
    MinutesLeft,
    Oxygen,
    OxygenLimit,
    OxygenMass,
    UsableShare,
    Volts,
    Volume,
    Watts,
)
from pailbook.sources import CLARKE_JOHNSTON_1999, COMMON_PRACTICE, GEOMETRY, YAMANAKA_2013

CATEGORY = "Oxygen and air"
OXYGEN_MG_PER_MMOL = molar_mass("O2")


@worksheet_function(
    category=CATEGORY,
    source=(CLARKE_JOHNSTON_1999.at("all teleosts, figure 2"), YAMANAKA_2013.at("Carassius"),
            COMMON_PRACTICE.at("activity multiples")),
    example=(110.0, 19.0, 2.0),
)
def oxygen_consumption(
    fish_mass: FishMass, temperature: BreathingTemperature, activity: Activity = 2.0,
    species: BreathingSpecies = "any fish",
) -> Consumption:
    """Oxygen use, in mg per kg of fish per hour; the general formula errs on the high, safe side.

    Activity multiplies the resting rate: 1 for resting, fasted fish, 2 (if left out) for the hour after handling.
    The general formula gives 1.6 to 1.9 times what goldfish use; its own data are from 0 to 30 °C (32 to 86 °F).
    """
    general = (
        ops.exp(15.7 - 5020 / (temperature + 273.15)) * OXYGEN_MG_PER_MMOL  # of a 50 g fish, mg/h
        * (fish_mass / 50) ** 0.80 / (fish_mass / 1000)
    )
    carassius = 67.4 * fish_mass ** -0.193 * ops.exp(0.0562 * temperature)
    return activity * ops.where((species == "goldfish") | (species == "koi"), carassius, general)


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("oxygen balance"), example=(48.0, 7.5, 4.0, 0.99, 300.0))
def oxygen_time(
    volume: Volume, oxygen: Annotated[Oxygen, "Dissolved oxygen now"], limit: OxygenLimit,
    biomass: Biomass, consumption: Consumption,
) -> MinutesLeft:
    """Minutes until the dissolved oxygen falls to the limit when no air is supplied; 0 if it is already there."""
    return 60 * volume * ops.maximum(oxygen - limit, 0.0) / (consumption * biomass)


@worksheet_function(category=CATEGORY, source=COMMON_PRACTICE.at("oxygen for feed"), example=(165.0,))
def oxygen_from_feed(feed: Feed, ratio: FeedOxygenRatio = 0.5) -> OxygenMass:
    """Oxygen, in g a day, that fish and filter bacteria need for the daily feed; if the ratio is left out, 0.5 g per g.
    """
    return feed * ratio


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("energy balance"), example=(12.0, 12.0, 5.0))
def battery_hours(
    amp_hours: AmpHours, volts: Volts, watts: Watts, usable: UsableShare = 0.5, inverter: InverterEfficiency = 0.85
) -> Hours:
    """Hours that a battery runs an air pump; if left out, half of its charge is usable and the inverter passes on 85 %.

    For a pump on dry cells, use the hours that its maker states instead.
    """
    return amp_hours * volts * usable * inverter / watts
