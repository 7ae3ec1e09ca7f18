"""One concentration in several bases: PO4 or P, NO3 or N, CaCO3 or degrees."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.chemicals import molar_mass
from pailbook.quantities import LITRES_PER_US_GALLON, Basis, Concentration, HardnessUnit, HardnessValue
from pailbook.sources import GEOMETRY, IUPAC_2021

CATEGORY = "Nutrients"

# mg that carry one mmol of the element; of calcium and magnesium, one meq, so that CaCO3 can stand for both.
MG_PER_UNIT = {
    "PO4": molar_mass("PO4"), "P": molar_mass("P"), "P2O5": molar_mass("P2O5") / 2,
    "N": molar_mass("N"), "NO3": molar_mass("NO3"), "NO2": molar_mass("NO2"), "NH3": molar_mass("NH3"),
    "NH4": molar_mass("NH4"),
    "K": molar_mass("K"), "K2O": molar_mass("K2O") / 2,
    "S": molar_mass("S"), "SO4": molar_mass("SO4"),
    "Ca": molar_mass("Ca") / 2, "CaO": molar_mass("CaO") / 2, "CaCO3": molar_mass("CaCO3") / 2,
    "Mg": molar_mass("Mg") / 2, "MgO": molar_mass("MgO") / 2,
}
# Bases convert into each other where their families differ by 1 at most: CaCO3 lies between calcium and magnesium.
FAMILIES = {
    "PO4": 10, "P": 10, "P2O5": 10, "N": 20, "NO3": 20, "NO2": 20, "NH3": 20, "NH4": 20, "K": 30, "K2O": 30,
    "S": 40, "SO4": 40, "Ca": 50, "CaO": 50, "CaCO3": 51, "Mg": 52, "MgO": 52,
}
_UNITS = "CaCO3 (mg/L), dH (German degrees), fH (French degrees), gpg (grains per US gal) or meq (meq/L)"
MG_CACO3 = {
    "CaCO3": 1.0,
    "dH": 10 * molar_mass("CaCO3") / molar_mass("CaO"),  # 10 mg/L of CaO
    "fH": 10.0,  # 10 mg/L of CaCO3
    "gpg": 64.79891 / LITRES_PER_US_GALLON,  # a grain, 64.79891 mg, in a US gallon
    "meq": molar_mass("CaCO3") / 2,
}


@worksheet_function(category=CATEGORY, source=IUPAC_2021.at("table 1"), example=(12.0, "PO4", "P"))
def nutrient_convert(
    value: Annotated[Concentration, "Concentration in its present basis"],
    from_basis: Annotated[Basis, "Present basis"], to_basis: Annotated[Basis, "Basis to convert to"],
) -> Annotated[Concentration, "Concentration in the basis converted to"]:
    """Converts a nutrient to another basis: PO4, P or P2O5; NO3, N, NO2, NH3 or NH4; K or K2O; S or SO4; Ca, CaO or
    CaCO3; Mg, MgO or CaCO3.
    """
    allowed = ops.absolute(
        ops.pick(from_basis, FAMILIES, "basis") - ops.pick(to_basis, FAMILIES, "basis")
    ) <= 1
    return ops.require(
        allowed,
        lambda: value * ops.pick(to_basis, MG_PER_UNIT, "basis") / ops.pick(from_basis, MG_PER_UNIT, "basis"),
        "the two bases belong to different nutrients",
    )


@worksheet_function(
    category=CATEGORY,
    source=(IUPAC_2021.at("table 1"), GEOMETRY.at("degrees and grains")),
    example=(6.0, "dH", "CaCO3"),
)
def hardness_convert(
    value: Annotated[HardnessValue, "Hardness or alkalinity in its present unit"],
    from_unit: Annotated[HardnessUnit, f"Present unit: {_UNITS}"],
    to_unit: Annotated[HardnessUnit, f"Unit to convert to: {_UNITS}"],
) -> Annotated[HardnessValue, "Hardness or alkalinity in the unit converted to"]:
    """Converts hardness or alkalinity to another unit: CaCO3 (mg/L), dH, fH, gpg (grains per US gallon) or meq (meq/L).
    """
    return value * ops.pick(from_unit, MG_CACO3, "unit") / ops.pick(to_unit, MG_CACO3, "unit")
