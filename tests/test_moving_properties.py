"""The functions for moving fish: what physics and arithmetic demand, and independent libraries where there are any."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import phreeqpython
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.stats import binomtest

import pailbook
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import NotInTable, NotPossible, OutOfLimits

quick = settings(max_examples=60, deadline=None, derandomize=True, database=None)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda x: float(f"{x:.6g}"))


# Counting -------------------------------------------------------------------------------------------------


@quick
@given(st.integers(1, 400), st.data(), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]))
def test_survival_is_wilson_s_interval(total: int, data: st.DataObject, confidence: float) -> None:
    dead = data.draw(st.integers(0, total))
    known = binomtest(total - dead, total).proportion_ci(confidence, "wilson")
    assert pailbook.survival_low(dead, total, confidence) == pytest.approx(known.low, rel=1e-9, abs=1e-12)
    assert pailbook.survival_high(dead, total, confidence) == pytest.approx(known.high, rel=1e-9, abs=1e-12)


def test_more_dead_than_fish_are_refused() -> None:
    with pytest.raises(NotPossible, match="more fish died than there were"):
        pailbook.survival_low(6, 5)


@quick
@given(numbers(-30, 30), numbers(0.01, 5), numbers(0.1, 0.95))
def test_as_many_exchanges_as_needed_and_no_more(difference: float, tolerance: float, fraction: float) -> None:
    times = pailbook.exchanges_needed(difference, tolerance, fraction)
    left = abs(pailbook.exchange_result(difference, 0.0, fraction, times))
    assert left <= tolerance * (1 + 1e-6)
    assert times == 0 or abs(difference) * (1 - fraction) ** (times - 1) > tolerance * (1 - 1e-6)


@pytest.mark.parametrize(("share", "times"), [(0.5, n) for n in range(1, 8)] + [(0.9, 1), (0.9, 2), (0.9, 3)])
def test_float_noise_asks_for_no_exchange_too_many(share: float, times: int) -> None:
    """10 halved n times, or left with a tenth n times, is within exactly that."""
    assert pailbook.exchanges_needed(10.0, 10.0 * (1 - share) ** times, share) == times
    assert pailbook.exchanges_needed(10.0, float(f"{10.0 * (1 - share) ** times:.12g}"), share) == times


# Water that meets water ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def program() -> Any:
    return phreeqpython.PhreeqPython(database="phreeqc.dat")


@quick
@given(numbers(6.2, 7.6), numbers(20, 150), numbers(7.0, 8.2), numbers(40, 200), numbers(10, 30),
       numbers(0.1, 0.6), st.integers(1, 3), numbers(0, 40))
def test_exchanges_one_by_one_are_mixtures(
    ph: float, alkalinity: float, tank_ph: float, tank_alkalinity: float, t: float, fraction: float, times: int,
    phosphate: float,
) -> None:
    """PH_MIX is tested against phreeqc; water is taken out and the tank's put in, step by step."""
    vessel, left = (ph, alkalinity, phosphate), phosphate
    for _ in range(times):
        mixed = pailbook.ph_mix(1 - fraction, vessel[0], vessel[1], t, fraction, tank_ph, tank_alkalinity, t, left)
        left *= 1 - fraction
        vessel = (mixed, (1 - fraction) * vessel[1] + fraction * tank_alkalinity, left)
    at_once = pailbook.exchange_ph(ph, alkalinity, tank_ph, tank_alkalinity, t, fraction, times, phosphate)
    assert at_once == pytest.approx(vessel[0], abs=1e-6)


def test_a_half_exchange_can_raise_the_ammonia_that_harms() -> None:
    """A low pH, where it harms most: TAN 4 at pH 6.6, alkalinity 40, PO4 35, with as much of pH 8.0 and
    alkalinity 150: pH by phreeqc's MIX 7.15.

    TAN halves; the un-ionised share grows 3.5-fold (Emerson et al. 1975, 10^0.55). The mean of the pH values is 7.30.
    """
    after = pailbook.exchange_ph(6.6, 40.0, 8.0, 150.0, 25.0, 0.5, 1.0, 35.0)
    assert after == pytest.approx(7.15, abs=0.015)
    assert pailbook.ammonia_unionized(4.0, 6.6, 25.0) == pytest.approx(0.009, abs=0.0005)
    assert pailbook.ammonia_unionized(2.0, after, 25.0) == pytest.approx(0.016, abs=0.0006)


@quick
@given(numbers(5, 1000), numbers(50, 1500), numbers(0.1, 0.8))
def test_salt_finds_the_volume_again(program: Any, volume: float, before: float, rise: float) -> None:
    """phreeqc's own conductivity of sodium chloride solutions, 25 °C; within 3 %."""
    def conductivity(grams_per_litre: float) -> float:
        moles = grams_per_litre / 58.443 * 1000
        water = program.add_solution_simple({"NaCl": moles}, temperature=25)
        value = float(water.sc)
        water.forget()
        return value

    first = before / 2000
    found = pailbook.volume_from_salt(volume * rise, conductivity(first), conductivity(first + rise))
    assert found == pytest.approx(volume, rel=0.03)


def test_salt_that_has_not_mixed_is_no_volume() -> None:
    with pytest.raises(NotPossible, match="has not risen"):
        pailbook.volume_from_salt(100, 500, 500)


# Heat -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cover", "conductance"), [("sheltered", 8.0), ("foam", 2.3), ("wind", 25.0)])
@pytest.mark.parametrize(("volume", "area", "air"), [(24.0, 0.58, 5.0), (72.0, 1.20, 35.0), (30.0, 0.58, -5.0)])
def test_water_temperature_against_integration(
    cover: str, conductance: float, volume: float, area: float, air: float
) -> None:
    """With water whose heat and density change with temperature: CoolProp at 10, 20 and 30 °C (density from memory)."""
    def rate(_: float, y: Any) -> list[float]:
        heat = np.interp(y[0], (10, 20, 30), (4195.2, 4184.1, 4179.8))
        density = np.interp(y[0], (10, 20, 30), (0.9997, 0.9982, 0.9957))
        return [conductance * area * (air - y[0]) * 3600 / (volume * density * heat)]

    found = solve_ivp(rate, (0, 2), [22.0], rtol=1e-8).y[0, -1]
    after = pailbook.water_temperature_after(22.0, air, 2.0, volume, area, cover)
    assert after - air == pytest.approx(found - air, rel=0.01)


def test_a_box_of_foam_keeps_warm_at_least_as_long_as_calculated() -> None:
    """Styrofoam boxes of 2.5 cm walls with 8 L (abstract, looked up): exp(-0.11 cm/h x surface / volume).

    Surface of the water in a box of 40 x 40 cm and 5 cm depth, as the abstract has it.
    """
    surface = 2 * 40 * 40 + 4 * 40 * 5.0
    box = 10 + 15 * math.exp(-6 * 0.11 * surface / 8000)
    calculated = pailbook.water_temperature_after(25.0, 10.0, 6.0, 8.0, surface / 10000, "foam")
    assert 0 < box - calculated < 3


def test_covers_in_order_and_area_by_the_volume() -> None:
    args = (25.0, 5.0, 1.0, 24.0)
    cooled = [pailbook.water_temperature_after(*args, None, cover) for cover in ("wind", "open", "sheltered", "foam")]
    assert cooled == sorted(cooled)
    # Vessels of 30 and 90 L, 0.8 full. By geometry, to a tenth: closed cylinders as high as wide, and twice as high.
    for litres, height in ((30, 1), (30, 2), (90, 1), (90, 2)):
        width = (litres / 1000 * 4 / (math.pi * height)) ** (1 / 3)
        area = math.pi * width**2 * (0.5 + height)
        assumed = pailbook.water_temperature_after(25.0, 5.0, 1.0, 0.8 * litres) - 5
        measured = pailbook.water_temperature_after(25.0, 5.0, 1.0, 0.8 * litres, area) - 5
        assert math.log(assumed / 20) == pytest.approx(math.log(measured / 20), rel=0.1)


@quick
@given(numbers(1, 1000), numbers(1, 40), numbers(0.5, 30))
def test_ice_melts_into_the_wanted_temperature(volume: float, warm: float, fall: float) -> None:
    """Heat given off by the water is what the ice takes up: 334 kJ/kg to melt, 4.186 per °C."""
    cold = warm - fall
    if cold < 0.1:
        with pytest.raises((OutOfLimits, NotPossible)):
            pailbook.ice_mass(volume, cold or 0.1, warm)
        return
    ice = pailbook.ice_mass(volume, warm, cold)
    assert (volume * warm * 4.186 - ice * 334) / (4.186 * (volume + ice)) == pytest.approx(cold, abs=0.002)


# Fish -------------------------------------------------------------------------------------------------------


@quick
@given(numbers(1, 2000), numbers(1, 35), numbers(0, 200), numbers(1, 100), numbers(0, 1))
def test_excretion_falls_with_weight_fasting_and_cold(
    mass: float, t: float, hours: float, more: float, share: float
) -> None:
    here = pailbook.ammonia_excretion(mass, t, hours)
    assert here >= 5
    assert pailbook.ammonia_excretion(mass + more, t, hours) <= here
    assert pailbook.ammonia_excretion(mass, t, hours + more) <= here
    assert pailbook.ammonia_excretion(mass, max(t * share, 0.5), hours) <= max(here, 5)


def test_hauling_densities_have_no_other_species_and_no_other_sizes() -> None:
    with pytest.raises(NotInTable, match="hauling rule for yellow perch"):
        pailbook.hauling_density("yellow perch", 20, 20)
    with pytest.raises(NotInTable, match="condition factor for jade perch"):
        pailbook.fish_mass_from_length(20, "jade perch")
    with pytest.raises(OutOfLimits, match=r"length is 1\.9 in; expected a number from 2 to 16 in"):
        pailbook.hauling_density("channel catfish", 1.9, 65, units="us")
    assert pailbook.hauling_density("channel catfish", 2, 85, units="us") == pytest.approx(0.25)  # half of half a pound


def test_published_densities_in_between_stay_at_or_below_the_table_s_high_end() -> None:
    """Dupree & Huner 1984 (seen in a reprint), lb/gal: the high ends that are known."""
    for stage, hours, high in (
        ("eggs", 24, 1.0), ("eggs", 48, 0.5), ("yolk-sac fry", 1, 3.0), ("yolk-sac fry", 24, 2.0),
        ("swim-up fry", 12, 1.6), ("swim-up fry", 48, 0.6), ("1-2 in fingerlings", 12, 3.2),
    ):
        assert pailbook.bag_density(stage, hours, units="us") < high


@quick
@given(numbers(50, 95), numbers(-20, 20))
def test_tempering_keeps_below_a_degree_a_minute_and_cooling_takes_longer(fahrenheit: float, rise: float) -> None:
    """LSU AgCenter: 7 to 8 °F warming, 5 °F cooling in 30 minutes (looked up)."""
    there = min(max(fahrenheit + rise, 40), 100)
    minutes = pailbook.tempering_minutes(fahrenheit, there, units="us")
    assert minutes >= abs(there - fahrenheit)
    assert minutes == pytest.approx(1.5 * pailbook.tempering_minutes(there, fahrenheit, units="us"), abs=1e-6) or (
        there >= fahrenheit
    )


# Trips ------------------------------------------------------------------------------------------------------


@quick
@given(numbers(5, 600), numbers(2, 50), numbers(5, 1000), numbers(6, 30), numbers(0, 20), numbers(1.05, 3))
def test_trips_get_shorter_with_more_fish_and_longer_with_more_water(
    volume: float, density: float, mass: float, t: float, air_flow: float, factor: float
) -> None:
    def hours(volume: float, biomass: float, **more: Any) -> float:
        return float(pailbook.trip_hours(volume, biomass, mass, t, air_flow=air_flow, **more))

    biomass = density * volume / 1000
    here = hours(volume, biomass)
    assert hours(volume, biomass * factor) <= here + 1e-6
    if air_flow == 0:
        assert hours(volume * factor, biomass) >= here - 1e-6
    if pailbook.trip_limit(volume, biomass, mass, t, air_flow=air_flow, activity=1.0) != "ammonia":
        # Calm fish make less CO2, so that aired water rises further in pH and more of its ammonia is un-ionised.
        assert hours(volume, biomass, activity=1.0) >= here - 1e-3
    assert hours(volume, biomass, tan=3.0) <= here + 1e-6
    assert hours(volume, biomass, oxygen_limit=5.0) <= here + 1e-6
    assert hours(volume, biomass, hours_fasted=48) >= here - 1e-6


@quick
@given(numbers(2, 200), numbers(0.5, 15), numbers(0.3, 60), numbers(45, 90), numbers(0, 20),
       numbers(6.4, 8.2), numbers(30, 250), numbers(0, 4), numbers(4, 40))
def test_a_plan_in_us_units_gives_the_same_decision(
    gallons: float, density: float, ounces: float, fahrenheit: float, air_flow: float, ph: float, alkalinity: float,
    tan: float, inches: float,
) -> None:
    pounds = density * gallons / 50
    us = {"volume": gallons, "biomass": pounds, "fish_mass": ounces, "temperature": fahrenheit, "depth": inches}
    metric = {"volume": gallons * 3.785411784, "biomass": pounds * 0.45359237, "fish_mass": ounces * 453.59237 / 16,
              "temperature": (fahrenheit - 32) * 5 / 9, "depth": inches * 2.54}
    same: dict[str, Any] = {"ph": ph, "alkalinity": alkalinity, "tan": tan, "air_flow": air_flow}
    assert pailbook.trip_hours(**us, **same, units="us") == pytest.approx(
        pailbook.trip_hours(**metric, **same), rel=1e-6, abs=1e-9
    )
    assert pailbook.trip_limit(**us, **same, units="us") == pailbook.trip_limit(**metric, **same)


def test_a_start_beyond_a_limit_is_no_trip_at_all() -> None:
    # Water beyond the scenario's: much CO2 needs a low pH, much un-ionised ammonia a high one.
    assert pailbook.trip_hours(48, 0.99, 110, 19, oxygen=2.9) == 0
    assert pailbook.trip_hours(48, 0.99, 110, 19, ph=6.0, alkalinity=60.0, oxygen=8.0) == 0  # CO2
    assert pailbook.trip_hours(48, 0.99, 110, 19, ph=8.5, alkalinity=200.0, tan=2.0, oxygen=8.0) == 0  # ammonia
    assert pailbook.trip_limit(48, 0.99, 110, 19, oxygen=2.9) == "oxygen"


def test_what_is_left_out_is_assumed_as_the_help_says() -> None:
    """85 % of saturation, TAN 0.5 (as for 0), pH 7.5, alkalinity 100, no air, just fed, twice the resting rate."""
    function = CATALOGUE["TRIP_HOURS"]
    names = [argument.name for argument in function.cell_arguments]
    entered: dict[str, Any] = {"volume": 400.0, "biomass": 0.5, "fish_mass": 150.0, "temperature": 24.0}
    spelt_out = {
        **entered, "oxygen": 0.85 * pailbook.oxygen_saturation(24.0), "tan": 0.5, "ph": 7.5, "alkalinity": 100.0,
        "species": "any fish", "activity": 2.0, "oxygen_limit": 3.0, "ammonia_limit": 0.13,
        "carbon_dioxide_limit": 40.0, "sealed": False,
    }
    hours = call(function, [entered.get(name) for name in names])
    assert 0 < hours < 24
    assert hours == pytest.approx(call(function, [spelt_out.get(name) for name in names]), rel=1e-12)
    for name in ("oxygen", "tan", "air_flow", "battery_hours", "hours_fasted", "phosphate", "elevation"):
        assert call(function, [{**entered, name: 0.0}.get(one) for one in names]) == hours  # 0 stands for a blank cell
