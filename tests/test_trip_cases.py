"""Trips that are known to go well, and trips that are known to end badly, each with its source.

Species, weights and vessels are those of the sources, not of the invented farm.

The practitioner's everyday moves must not be forbidden, and what kills must not be let through. A fish farm's advice to
buyers (looked up): without aeration, for 10 to 15 minutes only, 10 US gal for 100 catfish of 4 to 6 in, 20 for 100 of 6
to 8 in, 50 for 100 of 8 to 12 in, 5 for a pound of minnows. Weights by length from an extension table of channel
catfish fingerlings (looked up): 32 lb per 1000 at 5 in, 93 at 7 in, 328 at 10 in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pytest

import pailbook
from pailbook.terms import COMMON_PRACTICE

POUND, GALLON = 0.45359237, 3.785411784
USUAL = 5 * GALLON  # the vessel of the rule of thumb of common practice


@dataclass(frozen=True)
class Case:
    """A trip: what is known of it, how long it takes, and what ends it if it goes badly."""

    what: str
    source: str
    minutes: float
    ends_by: str  # "" where it goes well
    given: dict[str, Any] = field(hash=False)

    def __str__(self) -> str:
        return self.what


def case(what: str, source: str, minutes: float, ends_by: str = "", **given: Any) -> Case:
    return Case(what, source, minutes, ends_by, given)


def fish(count: float, mass: float, volume: float = USUAL, temperature: float = 25.0, **given: Any) -> dict[str, Any]:
    """A number of fish, the weight of one in g, in water of a volume in L."""
    return {"volume": volume, "biomass": count * mass / 1000, "fish_mass": mass, "temperature": temperature, **given}


def pounds(pounds: float, mass: float, gallons: float, temperature: float, **given: Any) -> dict[str, Any]:
    """Fish of a total weight in lb, the weight of one in g, in US gal of water."""
    size = {"volume": gallons * GALLON, "biomass": pounds * POUND, "fish_mass": mass, "temperature": temperature}
    return {**size, **given}


PRACTICE = COMMON_PRACTICE
FARM = "a fish farm's advice to buyers, 10 to 15 minutes without air (looked up)"
BAG = "Dupree & Huner 1984: three quarters of a bag are oxygen; without it the fish have none"
PIPER = "Piper et al. 1982, Fish Hatchery Management"
MX392 = "Missouri Extension MX392: the rate doubles for 18 °F more (looked up)"
THREE = fish(3, 225, ph=7.1, alkalinity=60.0)
POUND_IN_FIVE = pounds(1, 150, 5, 24)

GOOD = [
    case("three pan-size fish in 5 gal, aired, 45 min", PRACTICE, 45, **THREE, air_flow=2.0),
    case("a pound of fish in 5 gal, aired, two hours", PRACTICE, 120, **POUND_IN_FIVE, air_flow=2.0),
    case("100 catfish of 4 to 6 in in 10 gal, no air", FARM, 12.5, **pounds(3.2, 14.5, 10, 20)),
    case("100 catfish of 6 to 8 in in 20 gal, no air", FARM, 12.5, **pounds(9.3, 42, 20, 20)),
    case("100 catfish of 8 to 12 in in 50 gal, no air", FARM, 12.5, **pounds(32.8, 149, 50, 20)),
    case("a pound of minnows in 5 gal, no air", FARM, 12.5, **pounds(1, 3, 5, 20)),
    case("one pan-size fish in 5 gal, no air, half an hour", PRACTICE, 30, **fish(1, 225, temperature=22.0)),
    case("one channel catfish of 1 kg in 60 L of water, aired, an hour", PRACTICE, 60,
         **fish(1, 1000, 60.0, 20.0, species="channel catfish", air_flow=4.0)),
    case("five jade perch of 300 g in 72 L of water, aired, two hours", PRACTICE, 120,
         **fish(5, 300, 72.0, 22.0, species="jade perch", air_flow=10.0, depth=40.0)),
    case("five yellow perch of 60 g in 24 L of water, aired, an hour", PRACTICE, 60,
         **fish(5, 60, 24.0, 20.0, species="yellow perch", air_flow=2.0)),
    case("a pound of trout in 5 gal of cold water, aired, an hour", PRACTICE, 60,
         # Trout, which breathe more and bear less than the fish of the farm.
         **pounds(1, 250, 5, 10, species="rainbow trout", air_flow=2.0)),
    case("the three fish in cool water, aired, 90 min", MX392, 90, **{**THREE, "temperature": 15.0}, air_flow=2.0),
    # Acid water, which alone holds that much CO2.
    case("CO2 of 30 mg/L at the start, aired", "Colt et al. 2011: tilapia trucks run at 36 to 80 mg/L", 45,
         **{**POUND_IN_FIVE, "ph": 6.5, "alkalinity": 50.0}, air_flow=2.0),
    case("TAN of 10 mg/L in cold water at pH 7.0", PIPER + " p. 357: up to 10 ppm occurs on hauls", 120,
         # Trout at pH 7.0: what the source is about.
         **pounds(5, 100, 50, 10, species="rainbow trout", air_flow=20.0, tan=10.0, ph=7.0)),
]
BAD = [
    case("three pan-size fish in 5 gal, pump off, 60 min", PRACTICE, 60, "oxygen", **THREE),
    case("the hauling test with what aeration it had failing", "Hauling-tank aeration test: from above 20 to 2.2 mg/L "
         "of oxygen in 50 min, aeration running", 50, "oxygen",
         **fish(7896, 115, 1742.0, 21.5, oxygen=20.0, tan=0.7, ph=7.7, species="channel catfish", hours_fasted=72.0)),
    case("a powered tank's hauling density in 5 gal with an air stone", PIPER + " p. 362: 4 lb per gal wants agitators",
         60, "oxygen", **pounds(20, 600, 5, 18.3, air_flow=2.0, species="channel catfish")),
    case("a bag's density for 12 hours without the oxygen", BAG, 720, "oxygen",
         **pounds(0.6, 1, 1.5, 18.3, sealed=True)),
    case("a bag's density for 24 hours, swim-up fry, without the oxygen", BAG, 1440, "oxygen",
         **pounds(0.6, 0.1, 1.5, 18.3, sealed=True)),
    case("100 catfish of 4 to 6 in in 10 gal, no air, an hour", FARM, 60, "oxygen", **pounds(3.2, 14.5, 10, 20)),
    case("100 catfish of 8 to 12 in in 50 gal, no air, an hour", FARM, 60, "oxygen", **pounds(32.8, 149, 50, 20)),
    case("six pan-size fish in 5 gal, aired, 45 min", "twice the most by common practice", 45, "oxygen",
         **fish(6, 225, air_flow=2.0)),
    case("the three fish, two hours and a lid shut on them", PRACTICE, 120, "oxygen",
         **THREE, air_flow=2.0, sealed=True),
    case("a pound of fry in 5 gal, pump off, 30 min", "small fish use more for their weight: Clarke & Johnston 1999",
         30, "oxygen", **pounds(1, 2, 5, 26)),
    case("the three fish in a weak pump's air, two hours", PRACTICE, 120, "oxygen", **THREE, air_flow=0.5),
    case("44 gal whose pump fails, two hours", "pump or battery fails: dead within half an hour to an hour", 120,
         "oxygen", **fish(17, 300, 166.0, 24.0)),
    case("trout at 20 °C as if it were cold", MX392, 120, "oxygen",
         # Trout, which suffer first in warm water.
         **pounds(1.5, 250, 5, 20, species="rainbow trout", air_flow=1.0)),
    case("the battery lasts half the way", PRACTICE, 120, "battery",
         **fish(2, 100, temperature=24.0, air_flow=2.0, battery_hours=1.0)),
    case("TAN of 12 mg/L at pH 7.8 and 10 °C", PIPER + " p. 357: 11 to 12 ppm (NH3 0.13 to 0.14) harm trout in 6 hours",
         360, "ammonia",
         # Trout: what the source is about.
         **pounds(5, 100, 50, 10, species="rainbow trout", air_flow=20.0, tan=12.0, ph=7.8)),
    # More alkaline than the water of the farm: what the source is about.
    case("TAN of 4 mg/L in alkaline water, aired", "Colt & Kroeger 2013, abstract (looked up): air strips CO2, pH and "
         "NH3 were highest and many tilapia died, at alkalinity 442 too", 60, "ammonia",
         **{**POUND_IN_FIVE, "tan": 4.0, "ph": 8.2, "alkalinity": 442.0}, air_flow=4.0),
    # More alkaline than the water of the farm, as in the source.
    case("TAN of 6 mg/L, pH rising as CO2 is aired out", "the same", 120, "ammonia",
         **{**POUND_IN_FIVE, "tan": 6.0, "ph": 7.4, "alkalinity": 200.0}, air_flow=8.0, stone="fine"),
    # Acid water, which alone holds that much CO2.
    case("CO2 of 80 mg/L at the start", "twice the most that trucks began to lose quality at: Colt et al. 2011", 30,
         "carbon dioxide", **{**POUND_IN_FIVE, "ph": 6.2, "alkalinity": 60.0}, air_flow=2.0),
    # pH 7.0, where the CO2 of some hours passes its limit.
    case("oxygen blown in, CO2 kept in, four hours", "Wynne 2007 p. 43: oxygen's bubbles do not drive CO2 out", 240,
         "carbon dioxide", **{**POUND_IN_FIVE, "oxygen": 40.0, "sealed": True, "ph": 7.0, "alkalinity": 80.0}),
]


@pytest.mark.parametrize("trip", GOOD, ids=str)
def test_known_good_trips_are_not_forbidden(trip: Case) -> None:
    assert pailbook.trip_hours(**trip.given) * 60 > trip.minutes, trip.source


@pytest.mark.parametrize("trip", BAD, ids=str)
def test_known_bad_trips_are_stopped_and_say_why(trip: Case) -> None:
    assert pailbook.trip_hours(**trip.given) * 60 < trip.minutes, trip.source
    assert pailbook.trip_limit(**trip.given) == trip.ends_by, trip.source


def test_both_kinds_are_many() -> None:
    assert len(GOOD) + len(BAD) >= 22
    assert min(len(GOOD), len(BAD)) >= 10


def test_the_hauling_test_of_catfish_ended_far_below_the_ammonia_limit() -> None:
    """Abstract (looked up): TAN 12.8 mg/L at pH 6.70 and 23.5 °C, 0.032 mg/L un-ionised."""
    assert pailbook.ammonia_unionized(12.8, 6.70, 23.5) == pytest.approx(0.032, abs=0.001)
    fed, fasted = (pailbook.ammonia_excretion(115, 22.5, hours, "channel catfish") for hours in (0, 72))
    assert pailbook.trip_ammonia(0.7, 908, fasted, 1742, 4.35) == pytest.approx(12.8, abs=0.15)
    assert pailbook.trip_ammonia(0.7, 908, fed, 1742, 4.35) > 20  # what is assumed unless hours of fasting are given
