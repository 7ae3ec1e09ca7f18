"""How long a trip is safe, and what ends it: oxygen, ammonia, carbon dioxide or the battery.

Trip limits are not tank limits: what would be wrong for a tank is borne for hours. They are judged by the expected
case. Where a value is left out, a cautious one is assumed: oxygen at 85 % of saturation; ammonia 0.5 mg/L TAN-N, the
first step of a kit (a reading of 0 counts as that too); pH 7.5 and alkalinity 100, above what plants' systems usually
have; no air; fish just fed and just handled, breathing at twice their resting rate all the way.
"""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions import aeration, mixing
from pailbook.functions.breathing import WATER
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
    COLT_2011.at("CO2 of 36 to 80 on trucks"), COMMON_PRACTICE.at("oxygen floors, CO2 limit 40, assumptions"),
)
EXAMPLE = (16.0, 0.5, 150.0, 24.0, 7.0, 0.5, 6.8, 60.0, 1.0)

FirstOxygen = Annotated[float, Quantity(
    "dissolved oxygen", "Oxygen at the start; left out, 85 % of saturation", "mg/L", low=0, high=40, above=True)]
BatteryHours = Annotated[float, Quantity(
    "battery hours", "Hours that the pump's battery lasts; left out, as long as it takes", "h",
    low=0, high=1000, above=True)]
Sealed = Annotated[bool, Quantity("sealed", "TRUE for a closed vessel without air flow: CO2 stays in", flag=True)]
TripSpecies = Annotated[
    BreathingSpecies, "Species, for the lowest oxygen; goldfish and koi breathe by a line of their own"]
TripFloor = Annotated[
    OxygenLimit, "Dissolved oxygen that ends the trip; left out, 5 mg/L for trout, 4 for jade perch, 3 for others"]
TripTAN = Annotated[TotalAmmonia, "Total ammonia at the start, as nitrogen; 0 or left out counts as 0.5"]
AmmoniaLimit = Annotated[float, Quantity(
    "NH3-N limit", "Un-ionised ammonia, as nitrogen, that ends the trip", "mg/L", low=0, high=5, above=True)]
CarbonDioxideLimit = Annotated[float, Quantity(
    "CO2 limit", "Free CO2 that ends the trip", "mg/L", low=0, high=500, above=True)]
TripEnd = Annotated[str, Quantity(
    "limit", "What ends the trip", choices=("oxygen", "ammonia", "carbon dioxide", "battery", NONE))]


@worksheet_function(category=CATEGORY, source=SOURCE, example=EXAMPLE, in_steps=True)
def trip_hours(
    volume: Annotated[Volume, WATER], biomass: Biomass, fish_mass: FishMass, temperature: BreathingTemperature,
    oxygen: FirstOxygen = 0.0, tan: TripTAN = 0.0, ph: PH = 7.5, alkalinity: Alkalinity = 100.0,
    air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, battery_hours: BatteryHours = 0.0,
    species: TripSpecies = "any fish", hours_fasted: HoursFasted = 0.0, activity: Activity = 2.0,
    stone: Stone = "coarse", elevation: Elevation = 0.0, phosphate: Phosphate = 0.0, sealed: Sealed = False,
    oxygen_limit: TripFloor = 0.0, ammonia_limit: AmmoniaLimit = 0.13,
    carbon_dioxide_limit: CarbonDioxideLimit = 40.0,
) -> Hours:
    """Longest safe trip in hours, at most 24; 0 where the start is beyond a limit.

    Ends by oxygen (5 mg/L for trout, 4 for jade perch, 3 for others), NH3-N 0.13, CO2 40 mg/L or the battery. Left out:
    oxygen 85 % of saturation, TAN-N 0.5 (as for a reading of 0), pH 7.5, alkalinity 100, no air, fed fish, twice their
    resting rate. A bag filled with oxygen is another matter: see BAG_DENSITY.
    """
    return ends(Trip(
        volume, biomass, fish_mass, temperature, oxygen, tan, ph, alkalinity, air_flow, depth, battery_hours, species,
        hours_fasted, activity, stone, elevation, phosphate, sealed, oxygen_limit, ammonia_limit, carbon_dioxide_limit,
    )).first


@worksheet_function(category=CATEGORY, source=SOURCE, example=EXAMPLE, in_steps=True)
def trip_limit(
    volume: Annotated[Volume, WATER], biomass: Biomass, fish_mass: FishMass, temperature: BreathingTemperature,
    oxygen: FirstOxygen = 0.0, tan: TripTAN = 0.0, ph: PH = 7.5, alkalinity: Alkalinity = 100.0,
    air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, battery_hours: BatteryHours = 0.0,
    species: TripSpecies = "any fish", hours_fasted: HoursFasted = 0.0, activity: Activity = 2.0,
    stone: Stone = "coarse", elevation: Elevation = 0.0, phosphate: Phosphate = 0.0, sealed: Sealed = False,
    oxygen_limit: TripFloor = 0.0, ammonia_limit: AmmoniaLimit = 0.13,
    carbon_dioxide_limit: CarbonDioxideLimit = 40.0,
) -> TripEnd:
    """What ends the longest safe trip: oxygen, ammonia, carbon dioxide, battery, or none within 24 h."""
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
