"""Pairs of calcium and magnesium with carbonate and phosphate: in hard water many of these ions stay together.

What is paired still counts in a titrated alkalinity, in total carbonate and in total phosphate: each anion stands for
its free and its paired ions together. How many are paired depends on how much calcium and magnesium is free, and that
on the anions: a few rounds find it.

Calcium and magnesium pair nearly alike, so one free share stands for both. Left out are pairs with sulfate (150
mg/L hold about a tenth of the calcium), with sodium and potassium, and with hydroxide, which matters above pH 8.4.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from pailbook import ops
from pailbook.functions.acids import CALORIE, Anions, Constants, carbonate, phosphate, van_t_hoff
from pailbook.functions.chemicals import molar_mass
from pailbook.functions.solution import activity_term
from pailbook.sources import BALL_NORDSTROM_1991

SOURCE = BALL_NORDSTROM_1991.at("table 2, pairs of calcium and magnesium")

_NEXT_TO_NOTHING = 1e-15  # mol/L, far below any reading: without any metal the free share is 1, not 0/0
_CHARGES = Anions(1, 2, 1, 2, 3)


def _calcium(kelvin: Any) -> Anions:
    """log10 of calcium's constants: Plummer & Busenberg 1982, those with phosphate Ball & Nordstrom 1991."""
    log_kelvin = ops.log10(kelvin)
    return Anions(
        bicarbonate=1209.120 + 0.31294 * kelvin - 34765.05 / kelvin - 478.782 * log_kelvin,
        carbonate=-1228.732 - 0.299444 * kelvin + 35512.75 / kelvin + 485.818 * log_kelvin,
        h2po4=van_t_hoff(1.408, 3.4e3 * CALORIE, kelvin),
        hpo4=van_t_hoff(2.739, 3.3e3 * CALORIE, kelvin),
        po4=van_t_hoff(6.459, 3.1e3 * CALORIE, kelvin),
    )


def _magnesium(kelvin: Any) -> Anions:
    """log10 of magnesium's constants, Ball & Nordstrom 1991."""
    return Anions(
        bicarbonate=-59.215 + 2537.455 / kelvin + 20.92298 * ops.log10(kelvin),
        carbonate=0.9910 + 0.00667 * kelvin,
        h2po4=van_t_hoff(1.513, 3.4e3 * CALORIE, kelvin),
        hpo4=van_t_hoff(2.870, 3.3e3 * CALORIE, kelvin),
        po4=van_t_hoff(6.589, 3.1e3 * CALORIE, kelvin),
    )


class Pairs(NamedTuple):
    """Calcium and magnesium, and what they would hold of each anion if they were all free."""

    metal: Any  # both together, mol/L
    held: Anions  # mol beside one that is free
    of_calcium: Anions  # the same for one mol/L of calcium

    def with_calcium(self, mol: Any) -> Pairs:
        """The same water with more calcium, by a number of mol/L."""
        held = Anions(*[now + constant * mol for now, constant in zip(self.held, self.of_calcium)])
        return Pairs(self.metal + mol, held, self.of_calcium)

    def acting(self, k: Constants, free: Any) -> Constants:
        """The constants with the pairs that form while a share of the metals is free."""
        return k._replace(paired=Anions(*[1 + free * held for held in self.held]))

    def free_in_closed(self, ph: Any, carbonate_mol: Any, phosphate_mol: Any, k: Constants, free: Any) -> Any:
        """The metals' free share beside all carbonate and phosphate, mol/L, from an earlier share."""
        c, held = carbonate(ph, k), self._beside_co2(ph, k)
        return self._free(carbonate_mol / (c.total + free * held) * held, ph, phosphate_mol, k, free)

    def free_beside_co2(self, ph: Any, co2_mol: Any, phosphate_mol: Any, k: Constants, free: Any) -> Any:
        """The metals' free share where free CO2 is given, mol/L."""
        return self._free(co2_mol * self._beside_co2(ph, k), ph, phosphate_mol, k, free)

    def _beside_co2(self, ph: Any, k: Constants) -> Any:
        c = carbonate(ph, k)
        return c.bicarbonate * self.held.bicarbonate + c.carbonate * self.held.carbonate

    def _free(self, held_by_carbonate: Any, ph: Any, phosphate_mol: Any, k: Constants, free: Any) -> Any:
        p = phosphate(ph, k)
        held = self.held.h2po4 + p.hpo4 * self.held.hpo4 + p.po4 * self.held.po4
        held_by_phosphate = phosphate_mol / (p.total + free * held) * held
        return self.metal / (self.metal + held_by_carbonate + held_by_phosphate)


def pairs(calcium: Any, magnesium: Any, temperature: Any, conductivity: Any) -> Pairs:
    """The pairs in water with calcium and magnesium (mg/L), of a temperature (°C) and conductivity (µS/cm)."""
    kelvin = temperature + 273.15
    one = activity_term(1, temperature, conductivity)
    # A metal of charge 2 and an anion of charge -z make a pair of charge 2 - z: 4 + z² - (2 - z)² is 4z.
    of_calcium, of_magnesium = (
        Anions(*[10 ** (log_k - 4 * charge * one) for log_k, charge in zip(logs, _CHARGES)])
        for logs in (_calcium(kelvin), _magnesium(kelvin))
    )
    calcium_mol, magnesium_mol = calcium / (1000 * molar_mass("Ca")), magnesium / (1000 * molar_mass("Mg"))
    held = Anions(*[ca * calcium_mol + mg * magnesium_mol for ca, mg in zip(of_calcium, of_magnesium)])
    return Pairs(_NEXT_TO_NOTHING + calcium_mol + magnesium_mol, held, of_calcium)


_NONE = Anions(0.0, 0.0, 0.0, 0.0, 0.0)
NO_PAIRS = Pairs(_NEXT_TO_NOTHING, _NONE, _NONE)
