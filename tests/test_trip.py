"""Water on the road against an independent integration of the balances, by scipy.

Twice: the same balances as the closed forms state, to 1 %; and the whole chemistry, in which total carbonate is
balanced, pH is solved at every step and phosphate, carbonate and un-ionised ammonia take their part. The latter shows
what the closed forms leave out.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import pailbook

CO2, OXYGEN, NITROGEN, PO4, CACO3 = 44.009, 31.998, 14.007, 94.971, 50.043  # g/mol, g/eq
AIR_CO2 = 425e-6


class Haul(NamedTuple):
    """A vessel on the road; with pH 6.8, because what the closed forms leave out is larger at a low pH."""

    volume: float = 16.0
    biomass: float = 0.5
    consumption: float = 300.0
    excretion: float = 8.0
    temperature: float = 24.0
    oxygen: float = 7.0
    ph: float = 6.8
    alkalinity: float = 60.0
    phosphate: float = 0.0
    tan: float = 0.5
    air_flow: float = 2.0
    depth: float = 30.0
    stone: str = "coarse"

    @property
    def air(self) -> tuple[Any, ...]:
        return self.air_flow, self.depth, self.stone


# Cold, warm, acid and phosphate-rich water beyond the scenario's, so that every term of the balance counts.
HAULS = [
    Haul(), Haul(air_flow=0.0), Haul(air_flow=6.0, stone="fine"), Haul(air_flow=30.0, stone="fine", depth=100.0),
    Haul(temperature=10.0, consumption=90.0, excretion=5.0, ph=7.6, alkalinity=120.0, air_flow=1.0),
    Haul(temperature=30.0, consumption=600.0, excretion=34.0, alkalinity=90.0, air_flow=4.0),
    Haul(volume=166.0, biomass=4.0, air_flow=10.0, depth=60.0, phosphate=35.0),
    Haul(ph=6.4, alkalinity=40.0, phosphate=40.0, air_flow=2.0), Haul(ph=7.4, alkalinity=150.0, phosphate=20.0),
    Haul(ph=6.6, alkalinity=50.0, phosphate=35.0, air_flow=0.0, consumption=150.0),
]
each_haul = pytest.mark.parametrize("haul", HAULS, ids=lambda haul: f"{HAULS.index(haul)}")
HOURS = (0.25, 0.75, 2.0, 4.0)


# Rates from the sources, not from the functions under test -----------------------------------------------


def henry(temperature: float) -> float:
    """Plummer & Busenberg 1982: mol/L per atm of CO2."""
    kelvin = temperature + 273.15
    log_kh = 108.3865 + 0.01985076 * kelvin - 6919.53 / kelvin - 40.45154 * math.log10(kelvin) + 669365 / kelvin**2
    return float(10**log_kh)


def oxygen_gap_closed(haul: Haul) -> float:
    """L of water per hour: 0.2787 g of oxygen in a L of air, 5 or 3 % per metre, alpha 0.9, 9.09 mg/L at 20 °C."""
    efficiency = {"fine": 0.05, "coarse": 0.03}[haul.stone] * haul.depth / 100
    return float(haul.air_flow * 60 * 278.7 * efficiency * 0.9 * 1.024 ** (haul.temperature - 20) / 9.09)


def stripped_of_co2(haul: Haul) -> float:
    """L of water per hour, by following a bubble through the water: it fills up by 0.9 of the oxygen's coefficient."""
    if not haul.air_flow:
        return 0.0
    flow = haul.air_flow * 60
    holds = 1 / (henry(haul.temperature) * 0.0820574 * (haul.temperature + 273.15))
    coefficient = 0.9 * oxygen_gap_closed(haul) / flow
    bubble = solve_ivp(lambda _, y: coefficient * (1 - y / holds), (0, 1), [0.0], rtol=1e-9, atol=1e-12)
    return float(flow * bubble.y[0, -1])


def co2_at(haul: Haul) -> float:
    return float(pailbook.carbon_dioxide(haul.ph, haul.alkalinity, haul.temperature, haul.phosphate))


def integrated(haul: Haul, hours: float) -> tuple[float, float, float]:
    """Oxygen, TAN and free CO2 by the balances as the closed forms state them."""
    saturation = 0.98 * pailbook.oxygen_saturation(haul.temperature)
    balance = henry(haul.temperature) * AIR_CO2 * CO2 * 1000
    load = haul.biomass / haul.volume
    oxygen_in, co2_out = oxygen_gap_closed(haul) / haul.volume, stripped_of_co2(haul) / haul.volume
    made = load * (haul.consumption * 0.9 * CO2 / OXYGEN - haul.excretion * CO2 / NITROGEN)

    def rates(_: float, y: Any) -> list[float]:
        return [oxygen_in * (saturation - y[0]) - load * haul.consumption, load * haul.excretion,
                made - co2_out * (y[2] - balance)]

    found = solve_ivp(rates, (0, hours), [haul.oxygen, haul.tan, co2_at(haul)], rtol=1e-9, atol=1e-9).y[:, -1]
    return float(found[0]), float(found[1]), float(found[2])


@each_haul
@pytest.mark.parametrize("hours", HOURS)
def test_closed_forms_equal_the_integrated_balances(haul: Haul, hours: float) -> None:
    oxygen, tan, co2 = integrated(haul, hours)
    assert pailbook.trip_oxygen(
        haul.oxygen, haul.biomass, haul.consumption, haul.volume, haul.temperature, hours, haul.air_flow, haul.depth,
        None, haul.stone,
    ) == pytest.approx(max(oxygen, 0), rel=0.01, abs=0.001)
    assert pailbook.trip_ammonia(haul.tan, haul.biomass, haul.excretion, haul.volume, hours) == pytest.approx(tan)
    assert after(haul, co2_at(haul), hours) == pytest.approx(co2, rel=0.01)


def after(haul: Haul, co2: float, hours: float, venting: str = "expected") -> float:
    return float(pailbook.trip_carbon_dioxide(
        co2, haul.biomass, haul.consumption, haul.excretion, haul.volume, haul.temperature, hours, *haul.air, venting
    ))


def ph_after(haul: Haul, hours: float, venting: str = "expected") -> float:
    return float(pailbook.trip_ph(
        haul.ph, haul.alkalinity, haul.biomass, haul.consumption, haul.excretion, haul.volume, haul.temperature, hours,
        haul.phosphate, *haul.air, venting,
    ))


# The whole chemistry --------------------------------------------------------------------------------------


class Acids(NamedTuple):
    """Acid constants: carbonic (Plummer & Busenberg 1982), phosphoric (NIST46 at 25 °C, near), ammonium (Emerson)."""

    carbonic_1: float
    carbonic_2: float
    phosphoric: float
    ammonium: float


def acids(temperature: float) -> Acids:
    kelvin = temperature + 273.15
    log = math.log10(kelvin)
    return Acids(
        float(10 ** (-356.3094 - 0.06091964 * kelvin + 21834.37 / kelvin + 126.8339 * log - 1684915 / kelvin**2)),
        float(10 ** (-107.8871 - 0.03252849 * kelvin + 5151.79 / kelvin + 38.92561 * log - 563713.9 / kelvin**2)),
        10**-7.207, float(10 ** -(0.09018 + 2729.92 / kelvin)),
    )


def alkalinity_of(h: float, carbon: float, phosphorus: float, ammonia: float, k: Acids) -> float:
    """mol/L in, eq/L out, counted from CO2, H2PO4- and NH4+."""
    first, second = k.carbonic_1 / h, k.carbonic_1 * k.carbonic_2 / h**2
    return (carbon * (first + 2 * second) / (1 + first + second) + phosphorus / (1 + h / k.phosphoric)
            + ammonia / (1 + h / k.ammonium) + 1e-14 / h - h)


def whole(haul: Haul, hours: float) -> tuple[float, float]:
    """pH and free CO2 with total carbonate as what is balanced, and everything else from pH."""
    k = acids(haul.temperature)
    phosphorus = haul.phosphate / PO4 / 1000
    balance = henry(haul.temperature) * AIR_CO2
    load, out = haul.biomass / haul.volume, stripped_of_co2(haul) / haul.volume
    nitrogen = load * haul.excretion / NITROGEN / 1000  # mol/L per hour
    h = 10**-haul.ph
    first = haul.tan / NITROGEN / 1000
    # What the kit's titration saw, which ammonia has its own small part in.
    alkalinity = haul.alkalinity / CACO3 / 1000
    carbon = brentq(lambda c: alkalinity_of(h, c, phosphorus, first, k) - alkalinity, 0, 1)

    def state(t: float, carbon: float) -> tuple[float, float]:
        eq, ammonia = alkalinity + nitrogen * t, first + nitrogen * t
        ph = brentq(lambda x: alkalinity_of(10**-x, carbon, phosphorus, ammonia, k) - eq, 3, 11, xtol=1e-12)
        h = 10**-ph
        return float(ph), carbon / (1 + k.carbonic_1 / h + k.carbonic_1 * k.carbonic_2 / h**2)

    def rates(t: float, y: Any) -> list[float]:
        return [load * haul.consumption / OXYGEN / 1000 * 0.9 - out * (state(t, y[0])[1] - balance)]

    end = solve_ivp(rates, (0, hours), [carbon], rtol=1e-7, atol=1e-10).y[0, -1]
    ph, co2 = state(hours, end)
    return ph, co2 * CO2 * 1000


@each_haul
@pytest.mark.parametrize("hours", HOURS)
def test_what_the_closed_forms_leave_out_is_small(haul: Haul, hours: float) -> None:
    """Without phosphate pH to 0.01 and CO2 to 1.5 %; with 20 to 40 mg/L pH to 0.05 (kits step by 0.2 and more)."""
    ph, co2 = whole(haul, hours)
    assert ph_after(haul, hours) == pytest.approx(ph, abs=0.05 if haul.phosphate else 0.01)
    assert after(haul, co2_at(haul), hours) == pytest.approx(co2, rel=0.1 if haul.phosphate else 0.015, abs=0.05)


@each_haul
def test_the_expected_case_lies_between_the_bounds(haul: Haul) -> None:
    for hours in HOURS:
        values = [after(haul, co2_at(haul), hours, venting) for venting in ("aired out", "expected", "kept in")]
        assert values == sorted(values)
        acidity = [ph_after(haul, hours, venting) for venting in ("kept in", "expected", "aired out")]
        assert acidity == sorted(acidity)


def test_air_carries_off_no_more_than_it_holds() -> None:
    """A very good stone empties the bubbles' room: 1.2 L of water per L of air at 25 °C (Henry's law)."""
    haul = Haul(temperature=25.0, stone="fine", depth=1000.0, air_flow=1.0, consumption=600.0, excretion=0.0)
    made = haul.consumption * haul.biomass * 0.9 * CO2 / OXYGEN
    steady = after(haul, 5.0, 72.0) - henry(25.0) * AIR_CO2 * CO2 * 1000
    assert made / steady == pytest.approx(60 * 1.2007, rel=0.001)


def test_oxygen_settles_where_supply_and_use_balance() -> None:
    """OXYGEN_STEADY is another path to the same balance."""
    for air_flow in (2.0, 5.0):
        steady = pailbook.oxygen_steady(0.2, 300.0, air_flow, 30.0, 22.0)
        assert pailbook.trip_oxygen(5.0, 0.2, 300.0, 10.0, 22.0, 72.0, air_flow) == pytest.approx(steady, rel=1e-9)


# How long a trip is ----------------------------------------------------------------------------------------

NAMES = ("volume", "biomass", "fish_mass", "temperature", "oxygen", "tan", "ph", "alkalinity", "air_flow", "phosphate")


def road(hours: float, **given: Any) -> dict[str, float]:
    """Oxygen, NH3-N and CO2 of a trip after a number of hours, by the functions of the road table."""
    mass, t = given["fish_mass"], given["temperature"]
    use = pailbook.oxygen_consumption(mass, t)
    out = pailbook.ammonia_excretion(mass, t, 0)
    haul = Haul(given["volume"], given["biomass"], use, out, t, given["oxygen"], given["ph"], given["alkalinity"],
                given["phosphate"], given["tan"], given["air_flow"])
    tan = pailbook.trip_ammonia(haul.tan, haul.biomass, out, haul.volume, hours)
    return {
        "oxygen": pailbook.trip_oxygen(haul.oxygen, haul.biomass, use, haul.volume, t, hours, haul.air_flow),
        "ammonia": pailbook.ammonia_unionized(tan, ph_after(haul, hours), t),
        "carbon dioxide": after(haul, co2_at(haul), hours),
    }


LIMITS = {"oxygen": 3.0, "ammonia": 0.13, "carbon dioxide": 40.0}


def beyond(values: dict[str, float], slack: float) -> set[str]:
    return {name for name, value in values.items()
            if (value < LIMITS[name] * (1 - slack) if name == "oxygen" else value > LIMITS[name] * (1 + slack))}


def test_trip_hours_end_where_the_road_table_meets_its_first_limit() -> None:
    random = np.random.default_rng(4)
    ends: dict[str, int] = {}
    for _ in range(150):
        volume = float(random.choice([10, 16, 60, 160, 600]))
        given = dict(zip(NAMES, (
            volume, volume * random.uniform(0.004, 0.06), float(random.choice([10, 50, 200, 600])),
            random.uniform(8, 32), random.uniform(5, 9), random.uniform(0.01, 6), random.uniform(6.4, 8.2),
            random.uniform(30, 250), float(random.choice([0, volume / 8, volume / 3, volume])),
            float(random.choice([0, 20, 40])),
        ), strict=True))
        try:
            hours, end = pailbook.trip_hours(**given), pailbook.trip_limit(**given)
        except ValueError:
            continue  # phosphate alone makes more alkalinity than that
        ends[end] = ends.get(end, 0) + 1
        if hours > 0:
            for share in (0.05, 0.3, 0.7, 0.999):
                assert not beyond(road(hours * share, **given), 0.001), (given, hours, share)
            if hours == 24:
                assert end == "none within 24 h"
            else:
                later = beyond(road(hours * 1.01 + 1e-4, **given), 0)
                assert end in later | beyond(road(hours, **given), -0.001), given
        else:
            assert end in beyond(road(0.0, **given), -0.001), given
    assert min(ends[end] for end in (*LIMITS, "none within 24 h")) >= 5, ends
