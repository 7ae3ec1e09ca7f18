"""What doses bring: every nutrient's mass balance, alkalinity by the charges, and phosphate's effect on pH."""

from __future__ import annotations

from itertools import product
from typing import Any

import periodictable
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import pailbook
from balance import BRINGS, MG_CACO3_PER_EQ, MG_PO4_PER_MOL, State
from pailbook.functions.chemicals import ACIDS, IRON_CHELATE, PRODUCTS
from pailbook.functions.dosing import PH_CHEMICALS
from pailbook.outcomes import NotInTable, NotPossible, WrongKind
from test_dosing_properties import states

# Element of each nutrient, and the formula that its mg are of, beside atoms of the element in it.
NUTRIENTS = {
    "NO3": ("N", "NO3", 1), "N": ("N", "N", 1), "P": ("P", "P", 1), "PO4": ("P", "PO4", 1), "P2O5": ("P", "P2O5", 2),
    "K": ("K", "K", 1), "K2O": ("K", "K2O", 2), "Ca": ("Ca", "Ca", 1), "Mg": ("Mg", "Mg", 1), "Fe": ("Fe", "Fe", 1),
    "S": ("S", "S", 1), "SO4": ("S", "SO4", 1), "Na": ("Na", "Na", 1), "Cl": ("Cl", "Cl", 1),
}
AMMONIUM = {"NH4H2PO4": 1, "(NH4)2HPO4": 2, "(NH4)2SO4": 2, "NH4NO3": 1, "NH4Cl": 1}
CHEMICALS = tuple(dict.fromkeys(c.formula for c in (*PRODUCTS, *ACIDS)))
PHOSPHATES = ("H3PO4", "KH2PO4", "K2HPO4", "Ca(H2PO4)2.H2O")
volumes = st.floats(0, 6).map(lambda exponent: float(10**exponent))


def formula(text: str) -> Any:
    """Ca(H2PO4)2.H2O and MgSO4.7H2O as the library writes them."""
    return periodictable.formula(text.replace(".", "+"))


def is_acid(chemical: str) -> bool:
    return chemical in [acid.formula for acid in ACIDS]


def added(chemical: str, nutrient: str, grams: float = 100.0, volume: float = 1000.0) -> float:
    strength = 100 if is_acid(chemical) else None
    return float(pailbook.nutrient_added(chemical, nutrient, grams, volume, strength))


# Mass ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("chemical", CHEMICALS)
def test_every_atom_is_counted(chemical: str) -> None:
    """Against the formulas and atomic weights of periodictable."""
    whole = formula(chemical)
    atoms = {str(element): count for element, count in whole.atoms.items()}
    for nutrient, (element, basis, atoms_of_it) in NUTRIENTS.items():
        count = atoms.get(element, 0) - (AMMONIUM.get(chemical, 0) if element == "N" else 0)
        expected = 100 * count / atoms_of_it * formula(basis).mass / whole.mass
        assert added(chemical, nutrient) == pytest.approx(expected, rel=2e-4, abs=1e-12), nutrient
    ammonium = 100 * AMMONIUM.get(chemical, 0) * formula("N").mass / whole.mass
    assert added(chemical, "TAN") == pytest.approx(ammonium, rel=2e-4, abs=1e-12)


@given(st.sampled_from([c for c in CHEMICALS if c not in AMMONIUM]), st.sampled_from(list(NUTRIENTS)), volumes,
       st.floats(0, 1000), st.floats(0, 500))
def test_a_dose_gives_the_rise_that_it_is_for(
    chemical: str, nutrient: str, volume: float, value: float, rise: float
) -> None:
    strength = 100 if is_acid(chemical) else None
    try:
        amount = pailbook.nutrient_dose(chemical, nutrient, volume, value, value + rise, strength)
    except NotInTable:
        assert added(chemical, nutrient) == 0
        return
    except WrongKind:  # an acid that is no fertiliser
        assert chemical in ("HCl", "H2SO4")
        return
    assume(amount <= 1e7)
    found = pailbook.nutrient_added(chemical, nutrient, amount, volume, strength)
    assert found == pytest.approx(rise, rel=1e-9, abs=1e-9)


@given(st.sampled_from(("15-5-30", "20-20-20", "0-52-34")), st.sampled_from(("N", "NO3", "P2O5", "PO4", "K2O", "K")),
       volumes, st.floats(0, 500))
def test_a_label_grades_dose_gives_its_rise(grade: str, nutrient: str, volume: float, rise: float) -> None:
    assume(not (grade.startswith("0-") and nutrient in ("N", "NO3")))
    amount = pailbook.nutrient_dose(grade, nutrient, volume, 0, rise)
    assume(amount <= 1e7)
    assert pailbook.nutrient_added(grade, nutrient, amount, volume) == pytest.approx(rise, rel=1e-9, abs=1e-9)


@given(st.floats(1, 20), volumes, st.floats(0, 50))
def test_iron_goes_by_the_label(percent: float, volume: float, rise: float) -> None:
    amount = pailbook.nutrient_dose(IRON_CHELATE, "Fe", volume, 0, rise, percent)
    assume(amount <= 1e7)
    assert amount * percent / 100 == pytest.approx(rise * volume / 1000)
    assert pailbook.nutrient_added(IRON_CHELATE, "Fe", amount, volume, percent) == pytest.approx(rise)
    assert pailbook.nutrient_added(IRON_CHELATE, "K", amount, volume, percent) == 0  # its label shows iron alone
    with pytest.raises(NotPossible, match="strength printed on its label"):
        pailbook.nutrient_added(IRON_CHELATE, "Fe", 1, volume)


@given(st.sampled_from(PHOSPHATES), volumes, st.floats(0, 100))
def test_phosphate_doses_are_nutrient_doses(product_: str, volume: float, rise: float) -> None:
    strength = 75 if product_ == "H3PO4" else None
    amount = pailbook.phosphate_dose(product_, volume, 10, 10 + rise, strength)
    assert amount == pailbook.nutrient_dose(product_, "PO4", volume, 10, 10 + rise, strength)


# Alkalinity ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("chemical", [c.formula for c in PH_CHEMICALS])
def test_alkalinity_is_what_the_charges_leave(chemical: str) -> None:
    """Strong cations less strong anions, with phosphate counted as H2PO4: meq/L by the nutrients added."""
    cations = added(chemical, "K") / 39.098 + added(chemical, "Na") / 22.990 + 2 * added(chemical, "Ca") / 40.078
    anions = (
        added(chemical, "Cl") / 35.45 + added(chemical, "NO3") / 62.004 + 2 * added(chemical, "SO4") / 96.056
        + added(chemical, "PO4") / 94.970
    )
    found = pailbook.alkalinity_added(chemical, 100, 1000, 100 if is_acid(chemical) else None)
    assert found / 50.043 == pytest.approx(cations - anions, rel=1e-4)


# Phosphate and pH ---------------------------------------------------------------------------------------


@given(states(6.0, 7.6, 0, (1, 2.4), 1.7), st.floats(0.1, 20), st.booleans())
def test_a_blend_leaves_ph_alone(state: State, rise: float, settled: bool) -> None:
    """Dosed by PHOSPHATE_DOSE, a part of each salt, at the ionic strength that the blend is for (0.008)."""
    state = State(state.ph, state.alkalinity, state.temperature, state.phosphate, 0.008 / 1.3e-5)
    assume(state.carbonate > 0)
    share = pailbook.phosphate_blend(state.ph, state.temperature)
    assert 0 < share < 1
    parts = {"K2HPO4": share * rise, "KH2PO4": (1 - share) * rise}
    alkalinity, phosphate = state.alkalinity, state.phosphate
    for salt, part in parts.items():
        grams = pailbook.phosphate_dose(salt, 1000, 0, part)
        alkalinity += grams / formula(salt).mass * BRINGS[salt][0] * MG_CACO3_PER_EQ / 1000
        phosphate += pailbook.nutrient_added(salt, "PO4", grams, 1000)
    co2 = state.co2
    carbonate = None if settled else state.carbonate
    found = state.solve(alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL, carbonate, co2)
    assert found == pytest.approx(state.ph, abs=0.01 if settled else 0.001)


@given(states(5.0, 8.5, 3.3, (1, 2.4), 2), st.sampled_from(PHOSPHATES), st.floats(0.01, 0.5))
def test_the_rise_allowed_moves_ph_by_just_the_change(state: State, product_: str, change: float) -> None:
    rises, moves = {}, {}
    for timing in ("at once", "settled", "safe"):
        try:
            rises[timing] = pailbook.phosphate_rise_allowed(
                product_, state.ph, state.alkalinity, state.temperature, state.phosphate, change, timing,
                state.conductivity or None,
            )
        except NotPossible:  # the salt's own pH is nearer than that: no dose of it moves pH so far
            own = {"KH2PO4": 4.7, "Ca(H2PO4)2.H2O": 4.7, "K2HPO4": 9.8}[product_]
            assert abs(own - state.ph) < change + 1.0
            return
        mol = rises[timing] / MG_PO4_PER_MOL / BRINGS[product_][2]
        for after in ("at once", "settled"):
            moves[timing, after] = abs(state.after(BRINGS[product_], mol, after) - state.ph)
    assert moves["at once", "at once"] == pytest.approx(change, abs=1e-6)
    assert moves["settled", "settled"] == pytest.approx(change, abs=1e-6)
    assert rises["safe"] == min(rises.values())
    assert max(moves["safe", after] for after in ("at once", "settled")) == pytest.approx(change, abs=1e-6)


@pytest.mark.parametrize(("chemical", "nutrient"), list(product(("lye", "H2O", ""), ("K",))))
def test_an_unknown_chemical_lists_the_known(chemical: str, nutrient: str) -> None:
    with pytest.raises(Exception, match=r"is missing|monopotassium phosphate.*KH2PO4"):
        pailbook.nutrient_added(chemical, nutrient, 1, 1)
