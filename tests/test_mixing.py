"""Aired and mixed waters, phosphoric acid and the scale index against phreeqpython (see waters.py)."""

from __future__ import annotations

import math
from itertools import product
from typing import Any

import pytest

import pailbook
from waters import GRAMS_PER_MOL, HARD, MG_PO4_PER_MMOL, SOFT, USUAL, Library, Water, conductivity_of, grid

OCTACALCIUM_PKSP = 96.6  # Dorozhkin 2010, Materials 3:3994, table 3


@pytest.fixture(scope="module")
def paired() -> Library:
    return Library(pairs=True)


@pytest.fixture(scope="module")
def unpaired() -> Library:
    return Library(pairs=False)


# Air and mixtures ---------------------------------------------------------------------------------------

AIRED = grid((5, 15, 25, 32), (7.0,), (20, 50, 100, 150), (0, 35))


def aired_misses(library: Library, minerals: dict[str, float]) -> list[float]:
    found = []
    for water, ppm in product(AIRED, (425, 1000)):
        solution = library.make(water, minerals)
        solution.equalize(["CO2(g)"], [math.log10(ppm * 1e-6)])
        ours = pailbook.ph_aerated(water.alkalinity, water.temperature, water.phosphate or None, ppm,
                                   conductivity_of(solution))
        found.append(ours - solution.pH)
        solution.forget()
    return found


def test_aired_water(paired: Library, unpaired: Library) -> None:
    """Hard water holds on to phosphate and carbonate: its pH in the air ends up to 0.12 lower than ours."""
    assert max(map(abs, aired_misses(paired, SOFT))) < 0.0015
    assert max(map(abs, aired_misses(unpaired, USUAL))) < 0.01
    for minerals, most in ((USUAL, 0.1), (HARD, 0.12)):
        assert all(0 < miss < most for miss in aired_misses(paired, minerals))


def mixed_misses(library: Library, minerals: dict[str, float]) -> list[float]:
    """Tank water with phosphate into source water, in three shares."""
    found = []
    tanks, sources = grid((25,), (6.0, 6.6, 7.2), (20, 60), (0, 35)), grid((12, 25), (7.0, 7.6), (40, 150), (0,))
    for tank, source, share in product(tanks, sources, (0.2, 0.5, 0.9)):
        parts = [library.make(water, minerals) for water in (tank, source)]
        mixture = library.program.mix_solutions({parts[0]: share, parts[1]: 1 - share})
        ours = pailbook.ph_mix(
            share * 20, tank.ph, tank.alkalinity, tank.temperature, (1 - share) * 20, source.ph, source.alkalinity,
            source.temperature, tank.phosphate or None, source.phosphate or None, conductivity_of(mixture),
        )
        found.append(ours - mixture.pH)
        for solution in (*parts, mixture):
            solution.forget()
    return found


def test_mixed_waters(paired: Library, unpaired: Library) -> None:
    """Within 0.02 where ions do not pair (one conductivity stands for both waters), 0.03 to 0.04 in hard water."""
    assert max(map(abs, mixed_misses(unpaired, USUAL))) < 0.01
    assert max(map(abs, mixed_misses(paired, SOFT))) < 0.02
    assert max(map(abs, mixed_misses(paired, USUAL))) < 0.03
    assert max(map(abs, mixed_misses(paired, HARD))) < 0.04


# Phosphate ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("ph", "alkalinity", "largest"), [
    (6.4, 20, 7.7), (6.6, 30, 9.0), (6.8, 40, 8.9), (7.0, 60, 9.2),
])
def test_phosphoric_acid_that_a_day_takes(paired: Library, ph: float, alkalinity: float, largest: float) -> None:
    """Finding: no more than 7.7 to 9.2 mg/L PO4 for 0.2 pH, so 30 to 40 mg/L in one dose does not go."""
    solution = paired.make(Water(25, ph, alkalinity, 30), USUAL)
    rise = pailbook.phosphate_rise_allowed("H3PO4", ph, alkalinity, 25, 30, conductivity=conductivity_of(solution))
    assert rise == pytest.approx(largest, rel=0.05)
    grams = rise / MG_PO4_PER_MMOL * GRAMS_PER_MOL["H3PO4"]
    at_once, settled = paired.after(solution, "H3PO4", grams)
    assert at_once == pytest.approx(ph - 0.2, abs=0.02)
    assert settled > at_once


def octacalcium_index(solution: Any, ph: float) -> float:
    """8 Ca, 2 HPO4 and 4 PO4, written with H and PO4."""
    calcium, phosphate = (math.log10(solution.activity(ion, units="mol")) for ion in ("Ca+2", "PO4-3"))
    return 8 * calcium - 2 * ph + 6 * phosphate + OCTACALCIUM_PKSP


def scale_differences(library: Library) -> list[tuple[float, float]]:
    """pH, and by how much our scale index is above the library's."""
    found = []
    for water, calcium in product(grid((15, 25, 30), (6.2, 6.6, 7.0), (20, 60), (5, 20, 40)), (20, 40, 70, 100)):
        solution = library.make(water, {"Ca": calcium / 40.078})
        ours = pailbook.phosphate_scale_index(calcium, water.phosphate, water.ph, water.alkalinity, water.temperature)
        found.append((water.ph, ours - octacalcium_index(solution, water.ph)))
        solution.forget()
    return found


def test_scale_index(paired: Library, unpaired: Library) -> None:
    """The activities agree; pairs keep some calcium and phosphate back, so ours warns early and never late."""
    assert max(abs(difference) for _, difference in scale_differences(unpaired)) < 0.06
    for ph, difference in scale_differences(paired):
        assert 0 < difference < (1.0 if ph <= 6.6 else 1.3)


def test_scale_begins_between_ph_6_3_and_7(paired: Library) -> None:
    """Finding, at Ca 70 and PO4 40: above that octacalcium phosphate may precipitate."""
    for alkalinity in (20, 40, 80):
        steps = [hundredths / 100 for hundredths in range(600, 740)]
        ours = [pailbook.phosphate_scale_index(70, 40, ph, alkalinity, 25) for ph in steps]
        waters = [paired.make(Water(25, ph, alkalinity, 40), {"Ca": 70 / 40.078}) for ph in steps]
        theirs = [octacalcium_index(water, ph) for water, ph in zip(waters, steps)]
        crossing, real = (next(ph for ph, index in zip(steps, found) if index > 0) for found in (ours, theirs))
        assert 6.3 < crossing <= real < 7.0
        assert real - crossing < 0.12
        assert ours == sorted(ours)
