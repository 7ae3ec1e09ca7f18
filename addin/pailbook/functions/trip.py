"""Water on the road: oxygen, ammonia, carbon dioxide and pH after a number of hours, in closed form.

`volume` is the water's, not the vessel's, and rates stay as they are all the way. With V the water, B the fish, and K
the water per hour whose gap to saturation the air closes:

V d(oxygen)/dt = K (what air gives - oxygen) - B use K from the air stone's field transfer V d(ammonia)/dt = B excretion
V d(CO2)/dt = B (1.24 use - 3.14 excretion) - K' (CO2 - what air gives)

Fish breathe out 0.9 mol of CO2 for a mol of oxygen (1.24 by weight). Each mol of ammonia takes a hydrogen ion up, which
turns a mol of CO2 into bicarbonate: that much less CO2, and that much more alkalinity. K' is 0.9 of K, as CO2 diffuses
more slowly, but no bubble carries off more than it can hold: one that rises through the water fills up along an
exponential, and K' = G (1 - exp(-0.9 K / G)) with G = air flow times the CO2 in a litre of air beside that in a litre
of water.

Left out, on purpose: what phosphate and carbonate take up or give back as CO2 changes, which moves CO2 by 1 % in water
without phosphate, by up to a tenth (pH by 0.05) with 40 mg/L of PO4; and gas passing through the water's own surface.
"""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions import aeration, mixing
from pailbook.functions.acids import co2_in_balance, constants
from pailbook.functions.aeration import clearance, field_saturation
from pailbook.functions.carbonate import carbon_dioxide as free_carbon_dioxide
from pailbook.functions.chemicals import molar_mass
from pailbook.functions.equilibrium import (
    MG_CACO3_PER_EQ,
    MG_CO2_PER_MOL,
    MG_PO4_PER_MOL,
    TOO_LITTLE_ALKALINITY,
    settled_ph,
)
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import (
    PH,
    Alkalinity,
    Biomass,
    BreathingTemperature,
    CarbonDioxide,
    Consumption,
    Depth,
    Elevation,
    Excretion,
    Oxygen,
    Phosphate,
    Stone,
    TotalAmmonia,
    TripAirFlow,
    TripHours,
    Venting,
    Volume,
)
from pailbook.sources import COMMON_PRACTICE, GAS_TRANSFER, GEOMETRY

MG_N_PER_MOL = 1000 * molar_mass("N")
RESPIRATORY_QUOTIENT = 0.9
CO2_PER_OXYGEN = RESPIRATORY_QUOTIENT * molar_mass("CO2") / molar_mass("O2")
CO2_PER_AMMONIA = molar_mass("CO2") / molar_mass("N")  # CO2 that becomes bicarbonate beside each N
CO2_TRANSFER = 0.9  # CO2's coefficient beside oxygen's; the root of their diffusivities is 0.95, and 0.9 is safer
GAS_CONSTANT = 0.082057  # L atm / (mol K)
CO2_IN_AIR = 425.0  # ppm
LEAST_RENEWAL = 1e-6  # per hour; less is no air
BALANCE = GEOMETRY.at("mass balance of a mixed vessel")
QUOTIENT = COMMON_PRACTICE.at("respiratory quotient 0.9")


def approach(start: Any, made: Any, balance: Any, renewal: Any, hours: Any) -> Any:
    """A value after some hours of being made and of nearing a balance, by the share `renewal` of the gap per hour."""
    def nearing() -> Any:
        return start + (balance + made / renewal - start) * (1 - ops.exp(-(renewal * hours)))

    return ops.where(renewal > LEAST_RENEWAL, nearing, lambda: start + made * hours)


def co2_made(biomass: Any, consumption: Any, excretion: Any, volume: Any) -> Any:
    """Free CO2, mg/L per hour, that fish add: what they make, less what turns into bicarbonate beside ammonia."""
    return ops.maximum(CO2_PER_OXYGEN * consumption - CO2_PER_AMMONIA * excretion, 0.0) * biomass / volume


def co2_of_air(temperature: Any) -> Any:
    """Free CO2, mg/L, of water in balance with outdoor air."""
    return MG_CO2_PER_MOL * co2_in_balance(CO2_IN_AIR, temperature, 0.0)


def co2_clearance(air_flow: Any, depth: Any, temperature: Any, stone: Any) -> Any:
    """Water, L/h, that an air stone would strip of CO2."""
    # mg in a litre of air beside mg in a litre of water, in balance: 1.2 at 25 °C.
    air_holds = 1 / (co2_in_balance(1e6, temperature, 0.0) * GAS_CONSTANT * (temperature + 273.15))
    per_litre = CO2_TRANSFER * clearance(1.0, depth, temperature, stone) / 60  # cleared by each L of air
    return 60 * air_flow * air_holds * (1 - ops.exp(-(per_litre / air_holds)))


@worksheet_function(
    category=CATEGORY, source=(BALANCE, *aeration.SOURCE), example=(7.5, 0.99, 300.0, 48.0, 19.0, 0.5, 2.0)
)
def trip_oxygen(
    oxygen: Oxygen, biomass: Biomass, consumption: Consumption, volume: Volume,
    temperature: BreathingTemperature, hours: TripHours, air_flow: TripAirFlow = 0.0, depth: Depth = 30.0,
    elevation: Elevation = 0.0, stone: Stone = "coarse",
) -> Oxygen:
    """Dissolved oxygen, in mg/L, after a number of hours on the road, never below 0; if the air flow is left out, no
    air is supplied.

    If the depth is left out, the air stone is 30 cm (12 in) deep.
    """
    renewal = clearance(air_flow, depth, temperature, stone) / volume
    used = -(biomass * consumption / volume)
    after = approach(oxygen, used, field_saturation(temperature, elevation), renewal, hours)
    return ops.maximum(after, 0.0)


@worksheet_function(category=CATEGORY, source=BALANCE, example=(0.5, 0.99, 8.0, 48.0, 0.5))
def trip_ammonia(
    tan: TotalAmmonia, biomass: Biomass, excretion: Excretion, volume: Volume, hours: TripHours
) -> TotalAmmonia:
    """Total ammonia (TAN, mg/L as N) after a number of hours on the road; air does not remove it."""
    return tan + biomass * excretion / volume * hours


@worksheet_function(
    category=CATEGORY, source=(BALANCE, GAS_TRANSFER.at("CO2 beside oxygen"), QUOTIENT, *aeration.SOURCE),
    example=(6.0, 0.99, 300.0, 8.0, 48.0, 19.0, 0.5, 2.0),
)
def trip_carbon_dioxide(
    carbon_dioxide: CarbonDioxide, biomass: Biomass, consumption: Consumption, excretion: Excretion,
    volume: Volume, temperature: BreathingTemperature, hours: TripHours,
    air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, stone: Stone = "coarse", venting: Venting = "expected",
) -> CarbonDioxide:
    """Free carbon dioxide (CO2), in mg/L, after a number of hours on the road: as expected from the air flow, all kept
    in, or all aired out.

    An air stone removes CO2 while it adds oxygen, nine tenths as fast, and no more than the air can hold. "Kept in" and
    "aired out" (in balance with outdoor air) are the two extremes.
    """
    renewal = ops.where(
        venting == "expected", lambda: co2_clearance(air_flow, depth, temperature, stone) / volume, 0.0
    )
    made = co2_made(biomass, consumption, excretion, volume)
    return ops.where(
        venting == "aired out",
        lambda: co2_of_air(temperature),
        lambda: approach(carbon_dioxide, made, co2_of_air(temperature), renewal, hours),
    )


@worksheet_function(
    category=CATEGORY, source=(BALANCE, GAS_TRANSFER.at("CO2 beside oxygen"), QUOTIENT, *mixing.SOURCE), in_steps=True,
    example=(7.6, 90.0, 0.99, 300.0, 8.0, 48.0, 19.0, 0.5, 6.0, 2.0),
)
def trip_ph(
    ph: PH, alkalinity: Alkalinity, biomass: Biomass, consumption: Consumption, excretion: Excretion,
    volume: Volume, temperature: BreathingTemperature, hours: TripHours,
    phosphate: Phosphate = 0.0, air_flow: TripAirFlow = 0.0, depth: Depth = 30.0, stone: Stone = "coarse",
    venting: Venting = "expected",
) -> PH:
    """pH after a number of hours on the road, from the carbon dioxide (CO2) that builds up or is aired out; ammonia
    adds alkalinity.

    Airing out CO2 raises the pH, and with it the share of un-ionised ammonia, the form that harms fish: look at both
    extremes, "kept in" and "aired out", as well as at "expected".
    """
    before = free_carbon_dioxide(ph, alkalinity, temperature, phosphate)
    after = trip_carbon_dioxide(
        before, biomass, consumption, excretion, volume, temperature, hours, air_flow, depth, stone, venting
    )
    eq_after = alkalinity / MG_CACO3_PER_EQ + biomass * excretion / volume * hours / MG_N_PER_MOL
    # Aired out, CO2 does not depend on what there was before; water that cannot be is refused all the same.
    return ops.require(
        before >= 0,
        lambda: settled_ph(eq_after, after / MG_CO2_PER_MOL, phosphate / MG_PO4_PER_MOL, constants(temperature, 0.0)),
        TOO_LITTLE_ALKALINITY)
