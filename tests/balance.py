"""The balance of alkalinity written another way, by mass action in [H+], and solved by bracketing.

Only the constants come from the project; they are checked against libraries elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from scipy.optimize import brentq

from pailbook.functions.acids import constants
from pailbook.functions.ion_pairs import pairs

MG_CACO3_PER_EQ = 50043.0
MG_PO4_PER_MOL = 94970.0
# What a mol brings: equivalents of alkalinity, mol of carbonate, mol of phosphate.
BRINGS = {
    "KOH": (1, 0, 0), "Ca(OH)2": (2, 0, 0), "K2CO3": (2, 1, 0), "KHCO3": (1, 1, 0), "CaCO3": (2, 1, 0),
    "NaHCO3": (1, 1, 0), "HCl": (-1, 0, 0), "H2SO4": (-2, 0, 0), "HNO3": (-1, 0, 0), "H3PO4": (-1, 0, 1),
    "KH2PO4": (0, 0, 1), "K2HPO4": (1, 0, 1), "Ca(H2PO4)2.H2O": (0, 0, 2),
}
BRINGS_CALCIUM = {"Ca(OH)2": 1.0, "CaCO3": 1.0, "Ca(H2PO4)2.H2O": 1.0}  # mol


@dataclass(frozen=True)
class State:
    """A water: mg/L of alkalinity as CaCO3, of phosphate as PO4, of calcium and magnesium; °C, µS/cm."""

    ph: float
    alkalinity: float
    temperature: float
    phosphate: float = 0.0
    conductivity: float = 0.0
    calcium: float = 0.0
    magnesium: float = 0.0

    def _water(
        self, ph: float, phosphate: float, co2: Callable[[float, float, float], float], more_calcium: float = 0.0
    ) -> tuple[float, float, float]:
        """Alkalinity, total carbonate and CO2, mol/L.

        `co2` says how much CO2 there is, from charge and total of all carbonate beside one mol of it, and the
        alkalinity that is not carbonate's. Calcium and magnesium each have a free share of their own, found by going
        round until nothing changes.
        """
        k = constants(self.temperature, self.conductivity)
        h = 10**-ph
        k1, k2, p1, p2, p3 = (10**-pk for pk in k[:5])
        hco3, co3, h3po4, hpo4, po4 = k1 / h, k1 * k2 / h**2, h / p1, p2 / h, p2 * p3 / h**2
        water = 10 ** (ph - k.water) - 10 ** (k.hydrogen_activity - ph)
        totals = [self.calcium / 40078 + more_calcium, self.magnesium / 24305]
        one_mol = [
            pairs(*metals, self.temperature, self.conductivity).held for metals in ((40078.0, 0.0), (0.0, 24305.0))
        ]
        free = list(totals)
        while True:
            paired = [1 + sum(amount * held[i] for amount, held in zip(free, one_mol)) for i in range(5)]
            n, all_c = hco3 * paired[0] + 2 * co3 * paired[1], 1 + hco3 * paired[0] + co3 * paired[1]
            h2po4 = phosphate / (h3po4 + paired[2] + hpo4 * paired[3] + po4 * paired[4])
            beside = h2po4 * (hpo4 * paired[3] + 2 * po4 * paired[4] - h3po4) + water
            now = co2(n, all_c, beside)
            before = free
            free = [
                (amount + total / (1 + max(now, 0.0) * (hco3 * held[0] + co3 * held[1])
                                   + h2po4 * (held[2] + hpo4 * held[3] + po4 * held[4]))) / 2
                for amount, total, held in zip(before, totals, one_mol)
            ]
            if all(math.isclose(a, b, rel_tol=1e-13) for a, b in zip(before, free)):
                return now * n + beside, now * all_c, now

    def _now(self) -> tuple[float, float, float]:
        eq, phosphate = self.alkalinity / MG_CACO3_PER_EQ, self.phosphate / MG_PO4_PER_MOL
        return self._water(self.ph, phosphate, lambda n, _, beside: (eq - beside) / n)

    @property
    def carbonate(self) -> float:
        """Total carbonate, mol/L; negative where phosphate alone makes more alkalinity than there is."""
        return self._now()[1]

    @property
    def co2(self) -> float:
        """Free CO2, mol/L."""
        return self._now()[2]

    def solve(
        self, alkalinity: float, phosphate: float, carbonate: float | None, co2: float = 0.0, more_calcium: float = 0.0
    ) -> float:
        """pH of so many eq/L and mol/L: of a total of carbonate, or of free CO2 where that is None."""

        def given(_: float, all_c: float, __: float) -> float:
            return co2 if carbonate is None else carbonate / all_c

        def excess(ph: float) -> float:
            return self._water(ph, phosphate, given, more_calcium)[0] - alkalinity

        return float(brentq(excess, -4, 18, xtol=1e-13, rtol=1e-14))

    def after(self, brings: tuple[float, float, float], mol: float, timing: str, calcium: float = 0.0) -> float:
        """pH after so many mol/L of a chemical; `calcium` is what a mol of it brings."""
        alkalinity = self.alkalinity / MG_CACO3_PER_EQ + mol * brings[0]
        phosphate = self.phosphate / MG_PO4_PER_MOL + mol * brings[2]
        if timing == "at once":
            return self.solve(alkalinity, phosphate, self.carbonate + mol * brings[1], more_calcium=mol * calcium)
        return self.solve(alkalinity, phosphate, None, self.co2, mol * calcium)
