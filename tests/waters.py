"""Waters of a known composition in phreeqpython (phreeqc.dat), with the database's ion pairs or without.

They range over what the functions are used for, beyond the water of the invented farm, because errors of the chemistry
grow towards low pH, low alkalinity and much phosphate.

Calcium and magnesium hold on to phosphate and carbonate, and our functions count it where they are given both (see
test_ion_pairs.py). Without them each is compared twice: with the pairs switched off, where only the arithmetic and the
activities can differ, and with them, where the differences that the help admits must hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Any

import phreeqpython

IONIC_STRENGTH_PER_CONDUCTIVITY = 1.3e-5  # mol/L per µS/cm, the usual factor for fresh waters
MG_CACO3_PER_MEQ = 100.086 / 2
MG_PO4_PER_MMOL = 94.971
MG_CO2_PER_MMOL = 44.009
GRAMS_PER_MOL = {
    "KOH": 56.105, "Ca(OH)2": 74.092, "K2CO3": 138.204, "KHCO3": 100.114, "CaCO3": 100.086, "NaHCO3": 84.006,
    "HCl": 36.458, "H2SO4": 98.072, "HNO3": 63.012, "H3PO4": 97.994,
}
BASES, ACIDS = list(GRAMS_PER_MOL)[:6], list(GRAMS_PER_MOL)[6:]
PAIRS = (
    "Ca+2 + HPO4-2 = CaHPO4", "Ca+2 + H2PO4- = CaH2PO4+", "Ca+2 + PO4-3 = CaPO4-", "Ca+2 + CO3-2 = CaCO3",
    "Ca+2 + CO3-2 + H+ = CaHCO3+", "Ca+2 + SO4-2 = CaSO4", "Mg+2 + HPO4-2 = MgHPO4", "Mg+2 + H2PO4- = MgH2PO4+",
    "Mg+2 + PO4-3 = MgPO4-", "Mg+2 + CO3-2 = MgCO3", "Mg+2 + H+ + CO3-2 = MgHCO3+", "Mg+2 + SO4-2 = MgSO4",
    "K+ + HPO4-2 = KHPO4-", "K+ + SO4-2 = KSO4-", "Na+ + HPO4-2 = NaHPO4-", "Na+ + HCO3- = NaHCO3",
    "Na+ + CO3-2 = NaCO3-", "Na+ + SO4-2 = NaSO4-",
)
SOFT: dict[str, float] = {}
USUAL = {"Ca": 60 / 40.078, "Mg": 15 / 24.305, "K": 60 / 39.098, "N(5)": 150 / 62.004, "S(6)": 30 / 96.056}  # mmol/kg
HARD = {"Ca": 100 / 40.078, "Mg": 30 / 24.305, "K": 150 / 39.098, "S(6)": 150 / 96.056}
CHARGES = {"Ca": 2, "Mg": 2, "K": 1, "N(5)": -1, "S(6)": -2}


@dataclass(frozen=True)
class Water:
    """What a grower knows about the water."""

    temperature: float
    ph: float
    alkalinity: float
    phosphate: float


def grid(*axes: Any) -> list[Water]:
    return [Water(*values) for values in product(*axes)]


class Library:
    """phreeqpython, with its ion pairs or without."""

    def __init__(self, pairs: bool) -> None:
        self.program = phreeqpython.PhreeqPython(database="phreeqc.dat")
        if not pairs:
            off = "\n".join(f"{pair}\n log_k -30\n delta_h 0" for pair in PAIRS)
            self.program.ip.run_string(f"SOLUTION_SPECIES\n{off}\nEND\n")

    def make(self, water: Water, minerals: dict[str, float]) -> Any:
        """The water; chloride or sodium balances the charge."""
        milliequivalents = water.alkalinity / MG_CACO3_PER_MEQ
        phosphorus = water.phosphate / MG_PO4_PER_MMOL
        charge = sum(CHARGES[ion] * amount for ion, amount in minerals.items()) - milliequivalents - phosphorus
        return self.program.add_solution({
            "units": "mmol/kgw", "temp": water.temperature, "pH": water.ph, "Alkalinity": milliequivalents,
            **({"P": phosphorus} if phosphorus else {}), **minerals,
            **({"Cl": f"{charge} charge"} if charge > 0 else {"Na": f"{-charge} charge"}),
        })

    def after(self, solution: Any, chemical: str, grams: float) -> tuple[float, float]:
        """pH after a dose in g/m³, at once and with the pressure of CO2 back at its start."""
        pressure = solution.si("CO2(g)")
        dosed = solution.copy()
        dosed.add(chemical, grams / GRAMS_PER_MOL[chemical])
        at_once = float(dosed.pH)
        dosed.equalize(["CO2(g)"], [pressure])
        settled = float(dosed.pH)
        dosed.forget()
        return at_once, settled


def conductivity_of(solution: Any) -> float:
    return float(solution.I) / IONIC_STRENGTH_PER_CONDUCTIVITY
