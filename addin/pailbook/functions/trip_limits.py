"""How long a trip is safe, and what ends it: oxygen, ammonia, carbon dioxide or the battery.

Trip limits are not tank limits: fish tolerate for hours what would be wrong in a tank. The expected case is judged
against them. If a value is left out, a cautious one is assumed: oxygen at 85 % of saturation; total ammonia (TAN) of
0.5 mg/L as N, which a kit may not yet show (a reading of 0 counts as 0.5 too); pH 7.5 and alkalinity 100, above what
systems with plants usually have; no air; fish just fed and just handled, using oxygen at twice their resting rate all
the way.
"""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions import aeration, mixing
from pailbook.functions.transport import CATEGORY
from pailbook.functions.trip import BALANCE
from pailbook.functions.trip_ends import LONGEST, Trip, ends
from pailbook.quantities import (
    PH,
    Activity,
    Alkalinity,
    Biomass,
    BreathingSpecies,
    BreathingTemperature,
    Depth,
    Elevation,
    FishMass,
    Hours,
    HoursFasted,
    OxygenLimit,
    Phosphate,
    Quantity,
    Stone,
    TotalAmmonia,
    TripAirFlow,
    Volume,
)
from pailbook.sources import CLARKE_JOHNSTON_1999, COLT_2011, COMMON_PRACTICE, PIPER_1982, WYNNE_2007

NONE = f"none within {LONGEST:.0f} h"
SOURCE = (
    BALANCE, *aeration.SOURCE, *mixing.SOURCE, CLARKE_JOHNSTON_1999.at("figure 2"),
    PIPER_1982.at("p. 357, un-ionised ammonia of 0.13 ppm for 6 hours"), WYNNE_2007.at("p. 43, CO2 below 20"),
    COLT_2011.at("CO2 of 36 to 80 on trucks"), COMMON_PRACTICE.at("oxygen limits, CO2 limit of 40 mg/L, assumptions"),
)
EXAMPLE = (48.0, 0.99, 110.0, 19.0, 7.5, 0.5, 7.6, 90.0, 2.0)

FirstOxygen = Annotated[float, Quantity(
    "dissolved oxygen (DO)", "Dissolved oxygen at the start; if left out, 85 % of saturation", "mg/L", low=0, high=40,
    above=True)]
BatteryHours = Annotated[float, Quantity(
    "battery hours", "Hours that the pump's battery lasts; if left out, as long as the trip", "h",
    low=0, high=1000, above=True)]
Sealed = Annotated[bool, Quantity("sealed", "TRUE for a closed vessel without air flow: CO2 stays in", flag=True)]
TripSpecies = Annotated[
    BreathingSpecies, "Species, for its lowest oxygen; goldfish and koi have an oxygen formula of their own"]
TripOxygenLimit = Annotated[
    OxygenLimit, "Dissolved oxygen that ends the trip; if left out, 5 mg/L for trout, 4 for jade perch, 3 for others"]
TripTAN = Annotated[TotalAmmonia, "Total ammonia (TAN) at the start, as N; 0 or left out counts as 0.5"]
AmmoniaLimit = Annotated[float, Quantity(
    "limit of un-ionised ammonia", "Un-ionised ammonia (NH3-N) that ends the trip", "mg/L", low=0, high=5, above=True)]
CarbonDioxideLimit = Annotated[float, Quantity(
    "limit of carbon dioxide", "Free carbon dioxide (CO2) that ends the trip", "mg/L", low=0, high=500, above=True)]
TripEnd = Annotated[str, Quantity(
    "limit", "What ends the trip", choices=("oxygen", "ammonia", "carbon dioxide", "battery", NONE))]


@worksheet_function(category=CATEGORY, source=SOURCE, example=EXAMPLE, in_steps=True)
def trip_hours(
    volume: Volume, biomass: Biomass, fish_mass: FishMass, temperature: BreathingTemperature,
    oxygen: FirstOxygen = 0.0, tan: TripTAN = 0.0, ph: PH = 7.5, alkalinity: Alkalinity = 100.0,
    air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, battery_hours: BatteryHours = 0.0,
    species: TripSpecies = "any fish", hours_fasted: HoursFasted = 0.0, activity: Activity = 2.0,
    stone: Stone = "coarse", elevation: Elevation = 0.0, phosphate: Phosphate = 0.0, sealed: Sealed = False,
    oxygen_limit: TripOxygenLimit = 0.0, ammonia_limit: AmmoniaLimit = 0.13,
    carbon_dioxide_limit: CarbonDioxideLimit = 40.0,
) -> Hours:
    """Longest safe trip, in hours, 24 at most; 0 if the start is already outside the limits.

    The trip ends at a limit of oxygen (5 mg/L for trout, 4 for jade perch, 3 for others), un-ionised ammonia (0.13 mg/L
    as NH3-N) or carbon dioxide (40 mg/L), or with the battery. If left out: oxygen is 85 % of saturation, total ammonia
    (TAN) 0.5 mg/L as N, as for a reading of 0, pH 7.5 and alkalinity 100; there is no air; the fish are fed and use
    oxygen at twice their resting rate. For a bag filled with oxygen see BAG_DENSITY.
    """
    return ends(Trip(
        volume, biomass, fish_mass, temperature, oxygen, tan, ph, alkalinity, air_flow, depth, battery_hours, species,
        hours_fasted, activity, stone, elevation, phosphate, sealed, oxygen_limit, ammonia_limit, carbon_dioxide_limit,
    )).first


@worksheet_function(category=CATEGORY, source=SOURCE, example=EXAMPLE, in_steps=True)
def trip_limit(
    volume: Volume, biomass: Biomass, fish_mass: FishMass, temperature: BreathingTemperature,
    oxygen: FirstOxygen = 0.0, tan: TripTAN = 0.0, ph: PH = 7.5, alkalinity: Alkalinity = 100.0,
    air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, battery_hours: BatteryHours = 0.0,
    species: TripSpecies = "any fish", hours_fasted: HoursFasted = 0.0, activity: Activity = 2.0,
    stone: Stone = "coarse", elevation: Elevation = 0.0, phosphate: Phosphate = 0.0, sealed: Sealed = False,
    oxygen_limit: TripOxygenLimit = 0.0, ammonia_limit: AmmoniaLimit = 0.13,
    carbon_dioxide_limit: CarbonDioxideLimit = 40.0,
) -> TripEnd:
    """What ends the longest safe trip: oxygen, ammonia, carbon dioxide, battery, or "none within 24 h"."""
    hours = ends(Trip(
        volume, biomass, fish_mass, temperature, oxygen, tan, ph, alkalinity, air_flow, depth, battery_hours, species,
        hours_fasted, activity, stone, elevation, phosphate, sealed, oxygen_limit, ammonia_limit, carbon_dioxide_limit,
    ))
    first = hours.first
    named = ops.where(
        first >= LONGEST, NONE,
        ops.where(hours.oxygen <= first, "oxygen", ops.where(
            hours.ammonia <= first, "ammonia", ops.where(
                hours.carbon_dioxide <= first, "carbon dioxide", "battery"))),
    )
    return ops.require(first >= 0, named, "these values have no answer")
