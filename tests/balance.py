"""The balance of alkalinity written another way, by mass action in [H+], and solved by bracketing.

Only the constants come from the project; they are checked against libraries elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

from scipy.optimize import brentq

from pailbook.functions.equilibrium import constants

MG_CACO3_PER_EQ = 50043.0
MG_PO4_PER_MOL = 94970.0
# What a mol brings: equivalents of alkalinity, mol of carbonate, mol of phosphate.
BRINGS = {
    "KOH": (1, 0, 0), "Ca(OH)2": (2, 0, 0), "K2CO3": (2, 1, 0), "KHCO3": (1, 1, 0), "CaCO3": (2, 1, 0),
    "NaHCO3": (1, 1, 0), "HCl": (-1, 0, 0), "H2SO4": (-2, 0, 0), "HNO3": (-1, 0, 0), "H3PO4": (-1, 0, 1),
    "KH2PO4": (0, 0, 1), "K2HPO4": (1, 0, 1), "Ca(H2PO4)2.H2O": (0, 0, 2),
}


@dataclass(frozen=True)
class State:
    """A water: mg/L of alkalinity as CaCO3 and of phosphate as PO4, °C, µS/cm."""

    ph: float
    alkalinity: float
    temperature: float
    phosphate: float = 0.0
    conductivity: float = 0.0

    def shares(self, ph: float) -> tuple[float, float, float, float]:
        """Charge of a mol of carbonate and of phosphate, share of CO2, and hydroxide less hydrogen."""
        k = constants(self.temperature, self.conductivity)
        h = 10**-ph
        k1, k2, p1, p2, p3 = (10**-pk for pk in k[:5])
        carbonate = h * h + k1 * h + k1 * k2
        phosphate = h**3 + h * h * p1 + h * p1 * p2 + p1 * p2 * p3
        return (
            (k1 * h + 2 * k1 * k2) / carbonate, (h * p1 * p2 + 2 * p1 * p2 * p3 - h**3) / phosphate,
            h * h / carbonate, 10 ** (ph - k.water) - 10 ** (k.hydrogen_activity - ph),
        )

    @property
    def carbonate(self) -> float:
        """Total carbonate, mol/L; negative where phosphate alone makes more alkalinity than there is."""
        n, m, _, water = self.shares(self.ph)
        return (self.alkalinity / MG_CACO3_PER_EQ - self.phosphate / MG_PO4_PER_MOL * m - water) / n

    def solve(self, alkalinity: float, phosphate: float, carbonate: float | None, co2: float = 0.0) -> float:
        """pH of so many eq/L and mol/L: of a total of carbonate, or of free CO2 where that is None."""

        def excess(ph: float) -> float:
            n, m, share, water = self.shares(ph)
            held = carbonate * n if carbonate is not None else co2 * n / share
            return held + phosphate * m + water - alkalinity

        return float(brentq(excess, -4, 18, xtol=1e-13, rtol=1e-14))

    def after(self, brings: tuple[float, float, float], mol: float, timing: str) -> float:
        """pH after so many mol/L of a chemical."""
        alkalinity = self.alkalinity / MG_CACO3_PER_EQ + mol * brings[0]
        phosphate = self.phosphate / MG_PO4_PER_MOL + mol * brings[2]
        if timing == "at once":
            return self.solve(alkalinity, phosphate, self.carbonate + mol * brings[1])
        return self.solve(alkalinity, phosphate, None, self.carbonate * self.shares(self.ph)[2])
