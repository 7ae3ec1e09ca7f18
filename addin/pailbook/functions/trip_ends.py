"""When a trip ends: hours until oxygen, ammonia, carbon dioxide and the battery reach their limits.

Oxygen and CO2 have closed forms. Ammonia at its limit is searched for, in time alone.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from pailbook import ops
from pailbook.functions.acids import carbonate, constants
from pailbook.functions.aeration import clearance, field_saturation
from pailbook.functions.ammonia import ammonia_fraction
from pailbook.functions.breathing import oxygen_consumption
from pailbook.functions.carbonate import carbon_dioxide
from pailbook.functions.equilibrium import MG_CACO3_PER_EQ, MG_CO2_PER_MOL, MG_PO4_PER_MOL, alkalinity_beside_carbonate
from pailbook.functions.excretion import ammonia_excretion
from pailbook.functions.oxygen import oxygen_saturation
from pailbook.functions.species import LIMITS
from pailbook.functions.trip import LEAST_RENEWAL, MG_N_PER_MOL, approach, co2_clearance, co2_made, co2_of_air
from pailbook.quantities import SPECIES

LONGEST = 24.0  # hours; these few numbers are no basis for a longer plan
FIRST_OXYGEN = 0.85  # of saturation
FIRST_TAN = 0.5  # mg/L
HALVINGS = 13  # of LONGEST: 11 seconds
OXYGEN_LIMITS = {"any fish": 3.0, **{one: LIMITS[one, "oxygen", "act low"][0] for one in SPECIES}}  # mg/L of oxygen


class Trip(NamedTuple):
    """The arguments of both functions, in their order."""

    volume: Any
    biomass: Any
    fish_mass: Any
    temperature: Any
    oxygen: Any
    tan: Any
    ph: Any
    alkalinity: Any
    air_flow: Any
    depth: Any
    battery_hours: Any
    species: Any
    hours_fasted: Any
    activity: Any
    stone: Any
    elevation: Any
    phosphate: Any
    sealed: Any
    oxygen_limit: Any
    ammonia_limit: Any
    carbon_dioxide_limit: Any


class Ends(NamedTuple):
    """Hours until each of these ends the trip, LONGEST where it does not."""

    oxygen: Any
    ammonia: Any
    carbon_dioxide: Any
    battery: Any

    @property
    def first(self) -> Any:
        """Hours until the first of them does."""
        return ops.minimum(ops.minimum(self.oxygen, self.ammonia), ops.minimum(self.carbon_dioxide, self.battery))


def _until(start: Any, limit: Any, made: Any, balance: Any, renewal: Any) -> Any:
    """Hours until a value that rises, or nears a balance, reaches its limit; LONGEST where it does not in that time."""
    def nearing() -> Any:
        steady = balance + made / renewal

        def hours() -> Any:
            return ops.minimum(ops.log((steady - start) / (steady - limit)) / renewal, LONGEST)

        return ops.where(steady > limit, hours, LONGEST)

    def rising() -> Any:
        return ops.where(made > 0, lambda: ops.minimum((limit - start) / made, LONGEST), LONGEST)

    # Not 0 outright: in a column a start without an answer must stay one.
    return ops.where(start < limit, lambda: ops.where(renewal > LEAST_RENEWAL, nearing, rising), 0.0 + 0 * start)


def _until_ammonia(trip: Trip, excretion: Any, co2_start: Any, made: Any, renewal: Any) -> Any:
    """Hours until un-ionised ammonia reaches its limit, by halving the time and a straight line at the end.

    At each time ammonia, CO2 and alkalinity are known. The limit is reached where the pH that it takes is no more than
    the pH that there is, which shows by the alkalinity that the former needs beside the CO2 then: no search for pH.
    """
    t, limit = trip.temperature, trip.ammonia_limit
    k = constants(t, 0.0)
    pka = 7 + ops.log10(1 / ammonia_fraction(7.0, t) - 1)
    tan = ops.where(trip.tan > 0, trip.tan, FIRST_TAN)
    added = trip.biomass * excretion / trip.volume  # mg/L per hour
    phosphate_mol = trip.phosphate / MG_PO4_PER_MOL

    def spare(hours: Any) -> Any:
        """Alkalinity, eq/L, that is missing for the limit to be reached; negative beyond it."""
        tan_now = tan + added * hours

        def missing() -> Any:
            ph = pka - ops.log10(tan_now / limit - 1)
            co2 = approach(co2_start, made, co2_of_air(t), renewal, hours) / MG_CO2_PER_MOL
            needed = co2 * carbonate(ph, k).charge + alkalinity_beside_carbonate(ph, phosphate_mol, k)
            return needed - trip.alkalinity / MG_CACO3_PER_EQ - added * hours / MG_N_PER_MOL

        return ops.where(tan_now > 1.000001 * limit, missing, 1.0)  # so little ammonia never reaches it

    low: Any = 0.0
    width = LONGEST
    for _ in range(HALVINGS):
        width /= 2
        low = low + ops.where(spare(low + width) > 0, width, 0.0)
    before, after = spare(low), spare(low + width)
    crossing = low + width * ops.where(after < 0, lambda: before / (before - after), 1.0)
    return ops.where(spare(0.0) > 0, ops.where(spare(LONGEST) > 0, LONGEST, crossing), 0.0)


def ends(trip: Trip) -> Ends:
    """What ends the trip, and when."""
    t = trip.temperature
    consumption = oxygen_consumption(trip.fish_mass, t, trip.activity, trip.species)
    excretion = ammonia_excretion(trip.fish_mass, t, trip.hours_fasted, trip.species)
    air_flow = ops.where(trip.sealed, 0.0, trip.air_flow)
    first = ops.where(trip.oxygen > 0, trip.oxygen, lambda: FIRST_OXYGEN * oxygen_saturation(t, 0.0, trip.elevation))
    lowest = ops.where(
        trip.oxygen_limit > 0, trip.oxygen_limit, lambda: ops.pick(trip.species, OXYGEN_LIMITS, "oxygen limit")
    )
    used = consumption * trip.biomass / trip.volume
    renewal = clearance(air_flow, trip.depth, t, trip.stone) / trip.volume
    # Oxygen falls to its limit as its negative rises to the negative limit.
    oxygen = _until(-first, -lowest, used, -field_saturation(t, trip.elevation), renewal)
    co2_start = carbon_dioxide(trip.ph, trip.alkalinity, t, trip.phosphate)
    made = co2_made(trip.biomass, consumption, excretion, trip.volume)
    co2_renewal = co2_clearance(air_flow, trip.depth, t, trip.stone) / trip.volume
    co2 = _until(co2_start, trip.carbon_dioxide_limit, made, co2_of_air(t), co2_renewal)
    ammonia = _until_ammonia(trip, excretion, co2_start, made, co2_renewal)
    lasts = ops.where((trip.battery_hours > 0) & (air_flow > 0), trip.battery_hours, LONGEST)
    return Ends(oxygen, ammonia, co2, ops.minimum(lasts, LONGEST))
