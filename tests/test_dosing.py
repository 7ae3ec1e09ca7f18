"""Doses of bases and acids against phreeqpython (see waters.py) and PyCO2SYS: do they reach the pH they are for?"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import PyCO2SYS
import pytest

import pailbook
from thorough import first
from waters import (
    ACIDS,
    BASES,
    GRAMS_PER_MOL,
    HARD,
    MG_CACO3_PER_MEQ,
    SOFT,
    USUAL,
    Library,
    Water,
    conductivity_of,
    grid,
)

# As waters.py says: pH 6.2 to 7.0, alkalinity low to high, with phosphate and without.
WATERS = grid((12, 30), (6.2, 6.6, 7.0), (20, 50, 120), (0, 35))


@pytest.fixture(scope="module")
def paired() -> Library:
    return Library(pairs=True)


@pytest.fixture(scope="module")
def unpaired() -> Library:
    return Library(pairs=False)


def dose(chemical: str, water: Water, to: float, timing: str, conductivity: float | None) -> float:
    """g/m³ by PH_DOSE."""
    return float(pailbook.ph_dose(
        chemical, 1000, water.ph, to, water.alkalinity, water.temperature, water.phosphate or None,
        100 if chemical in ACIDS else None, timing, conductivity,
    ))


def misses(
    library: Library, waters: list[Water], minerals: dict[str, float], chemicals: list[str], timing: str,
    conductivity: Callable[[Any], float] = conductivity_of,
) -> Iterator[tuple[float, float]]:
    """Dose in g/m³ for 0.2 pH, and by how much the library's pH then misses the target; one pair a dose."""
    for water in waters:
        solution = library.make(water, minerals)
        for chemical in chemicals:
            if chemical == "CaCO3" and timing == "at once":
                continue
            to = water.ph + (0.2 if chemical in BASES else -0.2)
            grams = dose(chemical, water, to, timing, conductivity(solution))
            yield grams, library.after(solution, chemical, grams)[timing == "settled"] - to
        solution.forget()


def worst(found: Iterator[tuple[float, float]]) -> float:
    return max(abs(miss) for _, miss in found)


# Doses --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ph", "alkalinity", "calcium"), [(6.4, 20, 60), (6.8, 60, 80)])
@pytest.mark.parametrize("salts", [{}, {"N(5)": 2.4}, {"S(6)": 0.8}], ids=["chloride", "nitrate", "sulfate"])
def test_bases_hit_the_target_in_the_waters_of_the_reference_rows(
    paired: Library, ph: float, alkalinity: float, calcium: float, salts: dict[str, float]
) -> None:
    minerals = {**USUAL, "Ca": calcium / 40.078, "N(5)": 0.0, "S(6)": 0.0, **salts}
    minerals = {ion: amount for ion, amount in minerals.items() if amount}
    water = [Water(25, ph, alkalinity, 35)]
    assert worst(misses(paired, water, minerals, ["KOH", "K2CO3", "KHCO3", "NaHCO3"], "at once")) < 0.006
    assert worst(misses(paired, water, minerals, BASES, "settled")) < 0.01


@pytest.mark.parametrize("minerals", [SOFT, USUAL, HARD], ids=["soft", "usual", "hard"])
@pytest.mark.parametrize("timing", ["at once", "settled"])
def test_doses_hit_the_target_where_ions_do_not_pair(
    unpaired: Library, minerals: dict[str, float], timing: str
) -> None:
    """Soft water's own ionic strength grows with a dose, the other waters' hardly."""
    assert worst(misses(unpaired, WATERS, minerals, BASES, timing)) < (0.005 if minerals else 0.01)
    assert worst(misses(unpaired, WATERS, minerals, ACIDS, timing)) < 0.002


@pytest.mark.parametrize(("minerals", "usual_dose"), [(SOFT, 0.01), (USUAL, 0.02), (HARD, 0.03)],
                         ids=["soft", "usual", "hard"])
def test_doses_hit_the_target_at_once(paired: Library, minerals: dict[str, float], usual_dose: float) -> None:
    """0.02 at a usual hardness, 0.03 at a high one; 0.05 from 50 g/m³."""
    for grams, miss in misses(paired, WATERS, minerals, [*BASES, *ACIDS], "at once"):
        assert abs(miss) < (usual_dose if grams < 50 else 0.05)


@pytest.mark.parametrize(("minerals", "without_phosphate", "with_phosphate"),
                         [(SOFT, 0.012, 0.012), (USUAL, 0.02, 0.045), (HARD, 0.025, 0.06)],
                         ids=["soft", "usual", "hard"])
def test_doses_hit_the_target_when_settled(
    paired: Library, minerals: dict[str, float], without_phosphate: float, with_phosphate: float
) -> None:
    """Worst where phosphate makes half of the alkalinity and calcium holds on to it: the start's CO2 is misjudged."""
    for phosphate, most in ((0, without_phosphate), (35, with_phosphate)):
        waters = [water for water in WATERS if water.phosphate == phosphate]
        assert worst(misses(paired, waters, minerals, [*BASES, *ACIDS], "settled")) < most


def test_a_meters_conductivity_serves_as_well(paired: Library) -> None:
    for grams, miss in misses(paired, WATERS, USUAL, [*BASES, *ACIDS], "at once", lambda solution: float(solution.sc)):
        assert abs(miss) < (0.02 if grams < 50 else 0.05)


def test_the_safe_dose_overshoots_neither_at_once_nor_later(paired: Library) -> None:
    """Calcium carbonate aside, which needs days."""
    for water in WATERS:
        solution = paired.make(water, USUAL)
        for chemical in [*BASES[:4], "NaHCO3", *ACIDS]:
            change = 0.2 if chemical in BASES else -0.2
            grams = dose(chemical, water, water.ph + change, "safe", conductivity_of(solution))
            reached = [(ph - water.ph) / change for ph in paired.after(solution, chemical, grams)]
            assert 0.9 < max(reached) < 1.15
        solution.forget()


def test_a_settled_dose_given_at_once_overshoots(paired: Library) -> None:
    """Finding: for 0.2 pH from 6.8 at an alkalinity of 60, 8.2 g/m³ of KOH at once, 37.5 settled, which reach 8.5."""
    water = Water(25, 6.8, 60, 35)
    solution = paired.make(water, USUAL)
    conductivity = conductivity_of(solution)
    assert dose("KOH", water, 7.0, "at once", conductivity) == pytest.approx(8.2, abs=0.1)
    settled = dose("KOH", water, 7.0, "settled", conductivity)
    assert settled == pytest.approx(37.5, abs=0.5)
    assert paired.after(solution, "KOH", settled)[0] == pytest.approx(8.5, abs=0.05)
    ours = pailbook.ph_after_dose("KOH", settled, 1000, 6.8, 60, 25, 35, conductivity=conductivity)
    assert 8.5 < ours < 9.0, "above pH 8 calcium holds on to carbonate, and ours warns more than it must"


# (alkalinity, carbonate) that a mol brings; PyCO2SYS takes these for a fresh water.
BRINGS = {"KOH": (1, 0), "Ca(OH)2": (2, 0), "K2CO3": (2, 1), "KHCO3": (1, 1), "NaHCO3": (1, 1), "HCl": (-1, 0),
          "H2SO4": (-2, 0), "HNO3": (-1, 0)}


@pytest.mark.parametrize("chemical", first(list(BRINGS), 6))
@pytest.mark.parametrize("timing", ["at once", "settled"])
def test_doses_without_phosphate_by_other_constants(chemical: str, timing: str) -> None:
    """Millero 1979 for fresh water, infinite dilution: within 0.001 pH."""
    temperature, ph, alkalinity = (
        axis.ravel() for axis in np.meshgrid([10.0, 15, 20, 25, 30], [6.2, 6.6, 7.0, 7.4, 7.8], [20.0, 60, 150])
    )
    alkalinity_per_mol, carbonate_per_mol = BRINGS[chemical]
    to = ph + math.copysign(0.2, alkalinity_per_mol)
    grams = pailbook.ph_dose(
        chemical, 1000, ph, to, alkalinity, temperature, None, 100 if chemical in ACIDS else None, timing
    )
    micromol = grams / GRAMS_PER_MOL[chemical] * 1000
    fresh = {"salinity": 0, "temperature": temperature, "opt_k_carbonic": 8, "opt_pH_scale": 3}
    start = PyCO2SYS.sys(par1=alkalinity / MG_CACO3_PER_MEQ * 1000, par1_type=1, par2=ph, par2_type=3, **fresh)
    second, kind = (start["dic"] + carbonate_per_mol * micromol, 2) if timing == "at once" else (
        start["aqueous_CO2"], 8)
    reached = PyCO2SYS.sys(
        par1=start["alkalinity"] + alkalinity_per_mol * micromol, par1_type=1, par2=second, par2_type=kind, **fresh
    )["pH"]
    assert reached == pytest.approx(to, abs=0.001)
