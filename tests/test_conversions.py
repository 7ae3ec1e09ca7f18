"""Molar masses, bases and hardness units against periodictable, a general-purpose library, there and back."""

from __future__ import annotations

from itertools import product
from typing import Any

import periodictable
import pytest

import pailbook
from pailbook.functions.chemicals import PRODUCTS
from pailbook.quantities import BASES, HARDNESS_UNITS


def molar_mass(formula: str) -> float:
    """g/mol of a formula such as MgSO4.7H2O."""
    salt, _, water = formula.partition(".")
    molecules = int(water.removesuffix("H2O") or 1) if water else 0
    return float(periodictable.formula(salt).mass) + molecules * float(periodictable.formula("H2O").mass)


@pytest.mark.parametrize("chemical", PRODUCTS, ids=lambda chemical: chemical.name)
def test_molar_masses_and_shares(chemical: Any) -> None:
    assert chemical.molar_mass == pytest.approx(molar_mass(chemical.formula), rel=2e-5)
    salt = periodictable.formula(chemical.formula.partition(".")[0])
    for element, count in salt.atoms.items():
        if str(element) in ("H", "O"):
            continue
        share = count * element.mass / molar_mass(chemical.formula)
        assert chemical.share(str(element)) == pytest.approx(share, rel=1e-4)


NITROGEN, PHOSPHORUS, POTASSIUM = ("N", "NO3", "NO2", "NH3", "NH4"), ("P", "PO4", "P2O5"), ("K", "K2O")
FAMILIES = (NITROGEN, PHOSPHORUS, POTASSIUM, ("S", "SO4"), ("Ca", "CaO", "CaCO3"), ("Mg", "MgO"))


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family[0])
def test_nutrient_conversions_by_molar_mass_there_and_back(family: tuple[str, ...]) -> None:
    """mg/L of one basis and of another that hold the same mmol of the element."""
    element = family[0]
    for one, other in product(family, family):
        mass = {basis: float(periodictable.formula(basis).mass) for basis in (one, other)}
        atoms = {basis: periodictable.formula(basis).atoms[periodictable.elements.symbol(element)] for basis in mass}
        found = pailbook.nutrient_convert(10.0, one, other)
        expected = 10.0 * (mass[other] / atoms[other]) / (mass[one] / atoms[one])
        assert found == pytest.approx(expected, rel=2e-5), (one, other)
        assert pailbook.nutrient_convert(found, other, one) == pytest.approx(10.0, rel=1e-12)


def test_every_basis_belongs_to_one_nutrient_and_different_ones_do_not_mix() -> None:
    assert sorted(basis for family in FAMILIES for basis in family) == sorted(BASES)
    for one, other in product(FAMILIES, FAMILIES):
        if one is not other:
            with pytest.raises(ValueError, match="different nutrients"):
                pailbook.nutrient_convert(10.0, one[0], other[0])


def test_hardness_conversions_there_and_back() -> None:
    """A German degree is 10 mg/L of CaO, a French one 10 mg/L of CaCO3, a grain 64.79891 mg."""
    carbonate, oxide = (float(periodictable.formula(formula).mass) for formula in ("CaCO3", "CaO"))
    mg_caco3 = {
        "CaCO3": 1.0, "dH": 10 * carbonate / oxide, "fH": 10.0, "gpg": 64.79891 / 3.785411784, "meq": carbonate / 2,
    }
    assert set(mg_caco3) == set(HARDNESS_UNITS)
    for one, other in product(mg_caco3, mg_caco3):
        found = pailbook.hardness_convert(8.0, one, other)
        assert found == pytest.approx(8.0 * mg_caco3[one] / mg_caco3[other], rel=2e-5)
        assert pailbook.hardness_convert(found, other, one) == pytest.approx(8.0, rel=1e-12)
