"""At the destination: tempering, and exchanging the vessel's water for tank water in shares."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acids import constants
from pailbook.functions.equilibrium import MG_CACO3_PER_EQ, MG_PO4_PER_MOL, balanced_ph, carbonate_mol
from pailbook.functions.mixing import SOURCE as CARBONATE
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import PH, Alkalinity, MinutesLeft, Phosphate, Quantity, WaterTemperature
from pailbook.sources import GEOMETRY, LSU_STOCKING

# °C in half an hour: 7.5 °F warming (the table says 7 to 8), 5 °F cooling.
WARMING, COOLING = 7.5 / 1.8, 5 / 1.8

Difference = Annotated[float, Quantity(
    "difference", "Value in the vessel minus value in the tank: temperature, salinity or another value that mixes",
    "any unit",
    low=-1e6, high=1e6)]
Tolerance = Annotated[float, Quantity(
    "tolerance", "Largest difference that counts as matched, in the unit of the difference", "any unit",
    low=0, high=1e6, above=True)]
Mixing = Annotated[float, Quantity(
    "value", "A value that mixes: temperature, salinity, total ammonia; not pH (see EXCHANGE_PH)", "any unit",
    low=-1e6, high=1e6)]
ExchangeShare = Annotated[float, Quantity(
    "share", "Share of the vessel's water that each exchange replaces with tank water", low=0, high=0.99, above=True)]
Exchanges = Annotated[float, Quantity("count of exchanges", "Number of exchanges", low=0, high=100, whole=True)]


@worksheet_function(category=CATEGORY, source=LSU_STOCKING.at("7 to 8 °F warming, 5 °F cooling in 30 minutes"),
                    example=(22.0, 26.0))
def tempering_minutes(
    temperature_from: Annotated[WaterTemperature, "Temperature of the water that the fish are in now"],
    temperature_to: Annotated[WaterTemperature, "Temperature of the water that they are going to"],
) -> MinutesLeft:
    """Minutes over which to bring fish slowly from one water temperature to another; cooling takes 1.5 times as long
    as warming.
    """
    rise = temperature_to - temperature_from
    return 30 * ops.maximum(rise / WARMING, -rise / COOLING)


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("dilution"), example=(4.0, 1.0, 0.5))
def exchanges_needed(difference: Difference, tolerance: Tolerance, fraction: ExchangeShare) -> Exchanges:
    """How many times to exchange a share of the vessel's water until the difference is within the tolerance; 0 if it
    already is.

    It is exact for salt and ammonia, and close for temperature. pH does not mix like this: see EXCHANGE_PH.
    """
    gap = ops.absolute(difference)
    # Rounded before counting, so that float noise asks for no exchange too many.
    return ops.where(
        gap > tolerance,
        lambda: ops.ceil(ops.round_to(ops.log(tolerance / gap) / ops.log(1 - fraction), 6)),
        0.0,
    )


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("dilution"), example=(4.0, 0.5, 0.5, 2.0))
def exchange_result(
    vessel: Annotated[Mixing, "Value in the vessel: temperature, salinity, total ammonia; not pH (see EXCHANGE_PH)"],
    tank: Annotated[Mixing, "The same value in the tank, in the same unit"], fraction: ExchangeShare, times: Exchanges,
) -> Annotated[Mixing, "Value in the vessel afterwards, in the same unit"]:
    """Value in the vessel after a share of its water was exchanged for tank water one or more times; not for pH."""
    return tank + (vessel - tank) * (1 - fraction) ** times


@worksheet_function(
    category=CATEGORY, source=(GEOMETRY.at("dilution"), *CARBONATE), in_steps=True,
    example=(7.2, 60.0, 7.8, 130.0, 20.0, 0.5, 1.0, 8.0),
)
def exchange_ph(
    ph_vessel: Annotated[PH, "pH in the vessel"],
    alkalinity_vessel: Annotated[Alkalinity, "Alkalinity in the vessel, as CaCO3"],
    ph_tank: Annotated[PH, "pH in the tank"],
    alkalinity_tank: Annotated[Alkalinity, "Alkalinity in the tank, as CaCO3"],
    temperature: WaterTemperature, fraction: ExchangeShare, times: Exchanges,
    phosphate_vessel: Annotated[Phosphate, "Phosphate in the vessel, as PO4 (not P)"] = 0.0,
    phosphate_tank: Annotated[Phosphate, "Phosphate in the tank, as PO4 (not P)"] = 0.0,
) -> PH:
    """pH in the vessel after a share of its water was exchanged for tank water one or more times; it is not the average
    of the two.

    Alkalinity, carbonate and phosphate mix, and the pH follows from them. Carbon dioxide that escapes to the air
    between the exchanges is not counted: losing it raises the pH further, and with it the share of un-ionised ammonia.
    """
    k = constants(temperature, 0.0)
    left = (1 - fraction) ** times  # share of the vessel's own water

    def mixed(vessel: float, tank: float) -> float:
        return left * vessel + (1 - left) * tank

    vessel_eq, tank_eq = alkalinity_vessel / MG_CACO3_PER_EQ, alkalinity_tank / MG_CACO3_PER_EQ
    vessel_po4, tank_po4 = phosphate_vessel / MG_PO4_PER_MOL, phosphate_tank / MG_PO4_PER_MOL
    return balanced_ph(
        mixed(vessel_eq, tank_eq),
        mixed(carbonate_mol(ph_vessel, vessel_eq, vessel_po4, k), carbonate_mol(ph_tank, tank_eq, tank_po4, k)),
        mixed(vessel_po4, tank_po4),
        k,
        mixed(ph_vessel, ph_tank),  # a start for the search only
    )
