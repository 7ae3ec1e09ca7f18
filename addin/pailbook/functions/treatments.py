"""What is put into the water for a move: ice, salt, dechlorinator, chloride. Medicines are a matter for a vet."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.chemicals import molar_mass
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import KG_PER_POUND, Quantity, Salinity, TotalAmmonia, Volume, WaterTemperature
from pailbook.sources import GEOMETRY, HEAT_BALANCE, IUPAC_2021, SRAC_462, UF_IFAS_CATFISH

WATER_HEAT = 4.186  # kJ per kg and °C
ICE_HEAT = 334.0  # kJ/kg to melt
THIOSULFATE_PER_CHLORINE = 7.0  # of Na2S2O3·5H2O; at the neutral end of the reaction 3.5 would do
NITROGEN_PER_CHLORINE = molar_mass("N") / molar_mass("Cl2")  # one N in NH2Cl, which reads as Cl2

IceMass = Annotated[float, Quantity("ice", "Weight of the ice", "kg", "lb", 1 / KG_PER_POUND, low=0)]
SolidDose = Annotated[float, Quantity("dose", "Weight of the dry substance", "g", low=0)]
Chlorine = Annotated[float, Quantity(
    "chlorine", "Total chlorine of the water, as a kit shows it; chloramine is included", "mg/L as Cl2",
    low=0, high=50)]
Nitrite = Annotated[float, Quantity("nitrite", "Nitrite as NO2 (3.28 times the nitrogen)", "mg/L", low=0, high=1000)]
Chloride = Annotated[float, Quantity("chloride", "Chloride", "mg/L", low=0, high=20000)]
ChlorideRatio = Annotated[float, Quantity(
    "ratio of chloride", "Target ratio of chloride to nitrite as NO2, by weight", low=0, high=100, above=True)]


@worksheet_function(category=CATEGORY, source=HEAT_BALANCE.at("ice in water"), example=(72.0, 22.0, 20.0))
def ice_mass(
    volume: Volume, temperature_from: Annotated[WaterTemperature, "Temperature of the water now"],
    temperature_to: Annotated[WaterTemperature, "Target temperature"],
) -> IceMass:
    """Weight of ice at 0 °C (32 °F) that cools the water; use ice in sealed bottles, or ice made of dechlorinated
    water.

    Loose ice adds its water when it melts. Cool slowly: TEMPERING_MINUTES applies in the vessel too.
    """
    fall = ops.positive(temperature_from - temperature_to, "ice cannot warm the water")
    return volume * WATER_HEAT * fall / (ICE_HEAT + WATER_HEAT * temperature_to)


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("mass balance"), example=(72.0, 0.2, 3.0))
def salt_dose(
    volume: Volume, salinity_from: Annotated[Salinity, "Salinity now"],
    salinity_to: Annotated[Salinity, "Target salinity"],
) -> SolidDose:
    """Plain salt (sodium chloride), in g, that raises the salinity of the water for a move; 1 to 5 g/L makes the move
    easier for the fish.

    Keep the salted water away from plants: 15 L (4 US gal) at 5 g/L add 30 mg/L of sodium to 1000 L (264 US gal).
    """
    rise = ops.positive(salinity_to - salinity_from, "the target is below the present salinity; change water instead")
    return volume * rise


@worksheet_function(category=CATEGORY, source=UF_IFAS_CATFISH.at("7 mg/L per mg/L"), example=(240.0, 1.5))
def dechlorinator_dose(volume: Volume, chlorine: Chlorine) -> SolidDose:
    """Sodium thiosulfate pentahydrate, in g, that removes the chlorine from tap water; test that none is left before
    fish go in.

    It also breaks down chloramine, which releases ammonia: see CHLORAMINE_AMMONIA.
    """
    return volume * chlorine * THIOSULFATE_PER_CHLORINE / 1000


@worksheet_function(category=CATEGORY, source=IUPAC_2021.at("N in NH2Cl, read as Cl2"), example=(2.0,))
def chloramine_ammonia(chlorine: Chlorine) -> TotalAmmonia:
    """Total ammonia (TAN, mg/L as N) that is left when a dechlorinator breaks down the chloramine in tap water."""
    return chlorine * NITROGEN_PER_CHLORINE


@worksheet_function(category=CATEGORY, source=SRAC_462.at("chloride to nitrite ratio"), example=(3.0, 12.0))
def chloride_for_nitrite(
    nitrite: Nitrite, chloride: Annotated[Chloride, "Chloride already in the water"],
    ratio: ChlorideRatio = 10.0,
) -> Annotated[Chloride, "Chloride to add"]:
    """Chloride to add, in mg/L, to keep nitrite (as NO2) out of the gills; if the ratio is left out, ten times the
    nitrite.

    Salt is 60.7 % chloride. Sodium harms plants; calcium chloride or potassium chloride spares them.
    """
    return ops.maximum(ratio * nitrite - chloride, 0.0)
