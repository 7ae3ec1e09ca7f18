"""What a number is: its unit in each unit system, its limits and its help text, written once for all functions.

A function's type hints name these. Bodies calculate in metric units; conversion happens at the edge, by the
quantity. A temperature difference is a quantity of its own, since 2 F of difference is 1.1 C and never -17 C.
"""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import terms
from pailbook.quantity import METRIC as METRIC
from pailbook.quantity import UNIT_SYSTEMS as UNIT_SYSTEMS
from pailbook.quantity import US as US
from pailbook.quantity import Quantity as Quantity

SPECIES = ("tilapia", "goldfish", "koi", "common carp", "channel catfish", "rainbow trout", "jade perch", "barramundi",
           "yellow perch")

LITRES_PER_US_GALLON = 3.785411784
KG_PER_POUND = 0.45359237
GRAMS_PER_OUNCE = 28.349523125
CM_PER_INCH = 2.54
METRES_PER_FOOT = 0.3048
KG_M3_PER_POUND_GALLON = 1000 * KG_PER_POUND / LITRES_PER_US_GALLON


def _label(term: str) -> str:
    """A term as it stands within a sentence."""
    return term[0].lower() + term[1:]


def _temperature(label: str, help: str, **limits: Any) -> Quantity:
    return Quantity(label, help, "°C", "°F", 1.8, 32.0, **limits)


def _volume(label: str, help: str, **limits: Any) -> Quantity:
    return Quantity(label, help, "L", "US gal", 1 / LITRES_PER_US_GALLON, **limits)


def _concentration(label: str, help: str, high: float, unit: str = "mg/L", **limits: Any) -> Quantity:
    return Quantity(label, help, unit, low=0, high=high, **limits)


# Water -------------------------------------------------------------------------------------------------
PH = Annotated[float, Quantity("pH", "pH of the water", low=4, high=11)]
WaterTemperature = Annotated[float, _temperature(
    "water temperature", "Water temperature", low=0, high=40, above=True)]
AirTemperature = Annotated[float, _temperature("air temperature", "Air temperature", low=-40, high=55)]
TemperatureDifference = Annotated[float, Quantity(
    "temperature difference", "Difference between two temperatures, not a reading", "°C", "°F", 1.8, low=-40, high=40)]
Conductivity = Annotated[float, Quantity(
    "conductivity", "Electrical conductivity at 25 °C; if left out, dissolved salts are not corrected for",
    "µS/cm", low=0, high=20000)]
Salinity = Annotated[float, Quantity("salinity", "Salinity", "g/L", low=0, high=40)]
Alkalinity = Annotated[float, Quantity(
    _label(terms.ALKALINITY), "Total alkalinity, as CaCO3", "mg/L as CaCO3", low=0, high=1000, above=True)]
Phosphate = Annotated[float, _concentration(_label(terms.PHOSPHATE), "Phosphate, as PO4 (not P)", 500)]
Calcium = Annotated[float, _concentration(
    "calcium", "Calcium, as Ca; if calcium and magnesium are both left out, what they bind is not counted",
    2000)]
Magnesium = Annotated[float, _concentration(
    "magnesium", "Magnesium, as Mg; if calcium and magnesium are both left out, what they bind is not counted",
    2000)]
TotalAmmonia = Annotated[float, _concentration(
    _label(terms.TOTAL_AMMONIA), "Total ammonia (TAN: NH3 and NH4 together), as N", 1000, unit="mg/L as N")]
UnionizedAmmonia = Annotated[float, _concentration(
    _label(terms.UNIONISED_AMMONIA), terms.UNIONISED_AMMONIA, 100)]
Oxygen = Annotated[float, _concentration(_label(terms.DISSOLVED_OXYGEN), terms.DISSOLVED_OXYGEN, 40)]
OxygenLimit = Annotated[float, _concentration("oxygen limit", "Lowest dissolved oxygen allowed", 20)]
CarbonDioxide = Annotated[float, _concentration(
    f"free {_label(terms.CARBON_DIOXIDE)}", f"Free {_label(terms.CARBON_DIOXIDE)}", 5000)]
Concentration = Annotated[float, _concentration("concentration", "Concentration, in the basis named", 100000)]
Fraction = Annotated[float, Quantity("share", "Share, from 0 to 1", low=0, high=1)]
Percent = Annotated[float, Quantity("percent of saturation", "Percent of saturation", "%", low=0, high=500)]
PHStep = Annotated[float, Quantity("pH step", "Largest change of pH in a day", low=0, high=2, above=True)]
PHTolerance = Annotated[float, Quantity(
    "pH tolerance", "Largest difference of pH that counts as matched", low=0, high=2, above=True)]

# Places, air, power -------------------------------------------------------------------------------------
Elevation = Annotated[float, Quantity(
    "elevation", "Height above sea level", "m", "ft", 1 / METRES_PER_FOOT, low=-430, high=6000)]
Pressure = Annotated[float, Quantity("air pressure", "Air pressure", "kPa", low=30, high=120)]
AirFlow = Annotated[float, Quantity("air flow", "Air flow of the pump", "L/min", low=0, high=100000, above=True)]
Depth = Annotated[float, Quantity(
    "depth", "Depth of the air stone under the water", "cm", "in", 1 / CM_PER_INCH, low=0, high=1000, above=True)]
Stone = Annotated[Any, Quantity(
    "air stone", "Air stone: fine, coarse, or its measured efficiency as a share at this depth",
    choices=("fine", "coarse"), low=0, high=1, above=True)]
TransferEfficiency = Annotated[float, Quantity(
    "transfer efficiency", "Share of the oxygen in the air that the water takes up", low=0)]
OxygenRate = Annotated[float, Quantity("oxygen rate", "Oxygen per hour", "mg/h")]
AmpHours = Annotated[float, Quantity(
    "battery charge", "Rated charge of the battery", "Ah", low=0, high=10000, above=True)]
Volts = Annotated[float, Quantity("voltage", "Voltage of the battery", "V", low=0, high=1000, above=True)]
Watts = Annotated[float, Quantity("power", "Power drawn", "W", low=0, high=100000, above=True)]
UsableShare = Annotated[float, Quantity(
    "usable share", "Share of the rated charge that may be drawn", low=0, high=1, above=True)]
Minutes = Annotated[float, Quantity("minutes", "Minutes", "min", low=0, high=1e6, above=True)]
MinutesLeft = Annotated[float, Quantity("minutes", "Minutes", "min")]
Hours = Annotated[float, Quantity("hours", "Hours", "h", low=0)]
Days = Annotated[float, Quantity("days", "Number of days", "days", low=0, whole=True)]
Day = Annotated[float, Quantity(
    "day", "Day of the plan; 0 is the day before the first step", "days", low=0, high=3650, whole=True)]

# Tanks and fish -------------------------------------------------------------------------------------
Volume = Annotated[float, _volume(
    "volume", "Volume of the water, not of the tank or vessel; 1 US gal is 3.785 L", low=0, high=1e8, above=True)]
TankSide = Annotated[float, Quantity(
    "inside length", "Inside measure of the tank", "cm", "in", 1 / CM_PER_INCH, low=0, high=1e5, above=True)]
TankShape = Annotated[str, Quantity(
    "shape", "Shape of the tank; for a round one enter its diameter as length and as width",
    choices=("rectangular", "round", "oval"))]
FillShare = Annotated[float, Quantity(
    "fill", "Share of the vessel that is filled with water", low=0, high=1, above=True)]
Biomass = Annotated[float, Quantity(
    "biomass", "Total weight of the fish", "kg", "lb", 1 / KG_PER_POUND, low=0, high=1e6, above=True)]
BiomassOrNone = Annotated[float, Quantity(
    "biomass", "Total weight of the fish; 0 for none", "kg", "lb", 1 / KG_PER_POUND, low=0, high=1e6)]
FishMass = Annotated[float, Quantity(
    "weight of one fish", "Weight of one fish", "g", "oz", 1 / GRAMS_PER_OUNCE, low=0, high=100000, above=True)]
FishCount = Annotated[float, Quantity("count", "Number of fish", low=0, high=1e9, above=True, whole=True)]
VesselCount = Annotated[float, Quantity("vessels", "Number of vessels", low=0, whole=True)]
FishDensity = Annotated[float, Quantity(
    "fish density", "Total weight of the fish per volume of water", "kg/m³", "lb/US gal",
    1 / KG_M3_PER_POUND_GALLON, low=0, high=1000, above=True)]
HaulingDensity = Annotated[float, Quantity(
    _label(terms.HAULING_DENSITY), "Total weight of the fish per volume of water on the road", "kg/m³", "lb/US gal",
    1 / KG_M3_PER_POUND_GALLON, low=0, high=36, above=True)]
Feed = Annotated[float, Quantity("feed", "Daily feed", "g", "oz", 1 / GRAMS_PER_OUNCE, low=0, high=1e7)]
FeedOxygenRatio = Annotated[float, Quantity(
    "oxygen ratio", "Weight of oxygen used per weight of feed", "g/g", low=0, high=2, above=True)]
OxygenMass = Annotated[float, Quantity("oxygen", "Oxygen per day", "g", low=0)]
Consumption = Annotated[float, Quantity(
    "oxygen use", "Oxygen use per kg (2.2 lb) of fish per hour", "mg/kg/h", low=0, high=5000, above=True)]
ConsumptionOrNone = Annotated[float, Quantity(
    "oxygen use", "Oxygen use per kg (2.2 lb) of fish per hour; 0 for none", "mg/kg/h", low=0, high=5000)]
Activity = Annotated[float, Quantity(
    "activity", "Multiple of the resting rate: 1 for resting, fasted fish, 2 for the hour after handling",
    low=0.5, high=5)]
BreathingTemperature = Annotated[float, _temperature(
    "water temperature", "Water temperature; the data end at 30 °C (86 °F)", low=0, high=35, above=True)]
Species = Annotated[str, Quantity("species", "Species", choices=SPECIES)]
BreathingSpecies = Annotated[str, Quantity(
    "species", "Species; goldfish and koi have a formula of their own, all others the general one",
    choices=("any fish", *SPECIES))]
InverterEfficiency = Annotated[float, Quantity(
    "inverter efficiency", "Share of the power that the inverter passes on; 1 without one", low=0, high=1, above=True)]
Salmonids = Annotated[bool, Quantity("salmonids", "TRUE if there are trout, salmon or char", flag=True)]
Exposure = Annotated[str, Quantity(
    "exposure", "acute (averaged over one hour) or chronic (over thirty days)", choices=("acute", "chronic"))]

# Doses ----------------------------------------------------------------------------------------------
Dose = Annotated[float, Quantity("dose", "Dose: g of a solid, mL of a liquid", "g or mL", low=0)]
Amount = Annotated[float, Quantity("amount", "Amount: g of a solid, mL of a liquid", "g or mL", low=0, high=1e7)]
Strength = Annotated[float, Quantity(
    "strength", "Strength, % by mass (of an iron chelate, its % Fe); acids need it; if left out, a solid is pure", "%",
    low=0, high=100, above=True)]
Density = Annotated[float, Quantity(
    "density", "Density of the solution; if left out, that of an acid comes from a table", "kg/L", low=0.7, high=2.5)]

# Chemicals and nutrients --------------------------------------------------------------------------------
PHOSPHATE_BASES = ("PO4", "P", "P2O5")
NITROGEN_BASES = ("N", "NO3", "NO2", "NH3", "NH4")
BASES = (*PHOSPHATE_BASES, *NITROGEN_BASES, "K", "K2O", "Ca", "CaO", "Mg", "MgO", "CaCO3", "S", "SO4")
Basis = Annotated[str, Quantity("basis", "What the concentration is expressed as", choices=BASES)]
HARDNESS_UNITS = ("CaCO3", "dH", "fH", "gpg", "meq")
HardnessUnit = Annotated[str, Quantity(
    "hardness unit", "CaCO3 (mg/L), dH (German degrees), fH (French degrees), gpg (grains per US gal) or meq (meq/L)",
    choices=HARDNESS_UNITS)]
HardnessValue = Annotated[float, Quantity(
    "hardness or alkalinity", "Hardness or alkalinity, in the unit named", low=0, high=10000)]
NUTRIENTS = ("N", "NO3", "P", "PO4", "P2O5", "K", "K2O", "Ca", "Mg", "Fe", "S", "SO4", "Na", "Cl", "TAN")
Nutrient = Annotated[str, Quantity(
    "nutrient", "Nutrient, in the basis of its values; TAN is ammonia itself, as N",
    choices=NUTRIENTS)]

# Moving fish -----------------------------------------------------------------------------------------
FishLength = Annotated[float, Quantity(
    "fish length", "Total length of one fish", "cm", "in", 1 / CM_PER_INCH, low=0, high=200, above=True)]
Excretion = Annotated[float, Quantity(
    "ammonia excretion", "Ammonia nitrogen excreted per kg (2.2 lb) of fish per hour", "mg/kg/h", low=0, high=1000)]
TripHours = Annotated[float, Quantity("hours", "Hours on the road", "h", low=0, high=72)]
TripAirFlow = Annotated[float, Quantity(
    "air flow", "Air flow of the pump; if 0 or left out, no air is supplied", "L/min", low=0, high=100000)]
HoursFasted = Annotated[float, Quantity(
    "hours fasted", "Hours since the last feed; 0 for fish just fed", "h", low=0, high=1000)]
Venting = Annotated[str, Quantity(
    "venting", "How much CO2 the air removes: expected, from the air flow; or the extremes, kept in and aired out",
    choices=("expected", "kept in", "aired out"))]

# Stocking, feeding, filtration ----------------------------------------------------------------------------
GrowthSpecies = Annotated[str, Quantity(
    "species", "Species, whose range limits the temperature that counts for growth; any fish sets no limit",
    choices=("any fish", *SPECIES))]
GrowthCoefficient = Annotated[float, Quantity(
    "growth coefficient", "Thermal growth coefficient: 1000 times the gain of the cube root of g, per °C and day",
    low=0, high=10, above=True)]
GrowingDays = Annotated[float, Quantity("days", "Days of growth", "days", low=0, high=3650, above=True)]
FeedingPercent = Annotated[float, Quantity(
    _label(terms.FEEDING_RATE), "Feeding rate, % of body weight a day: 1 to 2 in grow-out, more for small fish", "%",
    low=0, high=30, above=True)]
SameWeight = Annotated[float, Quantity(
    "weight", "Feed and both weights, all in the same unit", "g, kg, oz or lb", low=0, high=1e8,
    above=True)]
PlantArea = Annotated[float, Quantity(
    "plant area", "Area in which plants grow", "m²", "ft²", 1 / METRES_PER_FOOT**2, low=0, high=1e6, above=True)]
Crop = Annotated[str, Quantity("crop", "What grows there: leafy for greens and herbs, or fruiting crops",
                               choices=("leafy", "fruiting"))]
FeedRatio = Annotated[float, Quantity(
    "feed ratio", "Daily feed per m² (10.8 ft²) of plants; if left out, the middle of the crop's range", "g/m² a day",
    low=0, high=300)]
Protein = Annotated[float, Quantity(
    "protein share", "Share of protein in the feed, from its label: 0.32 for 32 %", low=0, high=1, above=True,
    below=True)]
AmmoniaLoad = Annotated[float, Quantity(
    "ammonia nitrogen", "Ammonia nitrogen (TAN) made each day", "g", low=0, high=1e7)]
FilterArea = Annotated[float, Quantity(
    "filter surface", "Surface of the filter's media on which bacteria grow", "m²", "ft²", 1 / METRES_PER_FOOT**2,
    low=0, high=1e8)]
NitrificationRate = Annotated[float, Quantity(
    "nitrification rate", "Ammonia nitrogen oxidised per m² (10.8 ft²) of media at 25 °C (77 °F): usually 0.2 to 0.6",
    "g/m² a day", low=0, high=5, above=True)]
SpecificSurface = Annotated[float, Quantity(
    "specific surface", "Surface per volume of the media, in m²/m³: gravel 150 to 300, clay balls 250 to 300, moving "
    "bed 500 to 900 (times 0.3 in ft²/ft³)", "m²/m³", "ft²/ft³", METRES_PER_FOOT, low=0, high=10000, above=True)]
MediaVolume = Annotated[float, Quantity(
    "media", "Volume of the filter media, gaps included", "L", "ft³", 0.001 / METRES_PER_FOOT**3, low=0, high=1e8)]
Nitrogen = Annotated[float, Quantity("nitrogen", "Ammonia nitrogen (TAN) turned into nitrate", "g", low=0, high=1e7)]
PlantShare = Annotated[float, Quantity(
    "share taken up", "Share of the nitrate that the plants take up, from 0 to 1", low=0, high=1)]
Grams = Annotated[float, Quantity("amount", "Amount", "g", low=0)]
Flow = Annotated[float, Quantity(
    "flow", "Flow of water", "L/h", "US gal/h", 1 / LITRES_PER_US_GALLON, low=0.1, high=1e7)]
PipeDiameter = Annotated[float, Quantity(
    "pipe diameter", "Inside diameter of the pipe", "mm", "in", 1 / 25.4, low=1, high=2000)]
PipeLength = Annotated[float, Quantity(
    "pipe length", "Length of the pipe; add about 30 diameters for each elbow", "m", "ft", 1 / METRES_PER_FOOT,
    low=0, high=10000, above=True)]
Roughness = Annotated[float, Quantity(
    "roughness", "Roughness of the inside: smooth plastic 0.0015 mm (0.00006 in), fouled 0.1 mm (0.004 in)",
    "mm", "in", 1 / 25.4, low=0, high=10, above=True)]
Head = Annotated[float, Quantity(
    "head", "Head that the pump must overcome: lift and pipe friction together", "m", "ft", 1 / METRES_PER_FOOT,
    low=0, high=1000, above=True)]
PumpEfficiency = Annotated[float, Quantity(
    "pump efficiency", "Share of the power that reaches the water: 0.1 to 0.4 for small pumps, large ones up to 0.7",
    low=0, high=1, above=True)]
