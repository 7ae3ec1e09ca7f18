"""Acids in fresh water: constants, charges, and the pH at which charges balance.

Alkalinity is counted from CO2 and H2PO4-, in equivalents per litre:

    alkalinity = carbonate * n(pH) + phosphate * m(pH) + hydroxide - hydrogen

with n and m the mean charge of a mol of carbonate and of phosphate above those two. No ion pairs: against a model
that has them, pH after a dose for 0.2 differs by up to 0.02 at once (0.03 in hard water), and settled by up to 0.045
(0.06) where phosphate makes half of the alkalinity; larger moves and pH above 7.5 differ by more.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from pailbook import ops
from pailbook.functions.solution import activity_term, neutral_term

MG_CACO3_PER_EQ = 50043.0
MG_PO4_PER_MOL = 94970.0
MG_CO2_PER_MOL = 44009.0
CALORIE = 4.184
GAS_CONSTANT = 8.314462618
LN_10 = 2.302585092994046
NEWTON_STEPS = 10  # enough for a move of three pH and nearly all larger ones; what has not come to rest is refused
LARGEST_STEP = 1.0  # pH; half as much loses the root beyond three pH, twice as much can run back and forth
LEAST_ALKALINITY = 1e-5  # eq/L, where a search begins that an acid has left with less
AT_REST = 1e-6  # pH of the last step: Newton's error is then its square
LOWEST_PH, HIGHEST_PH = 4, 11
TOO_LITTLE_ALKALINITY = (
    "phosphate and hydroxide alone make more alkalinity than was measured; check the phosphate's basis and the pH"
)


class Constants(NamedTuple):
    """Negative logarithms of the acid constants as they act in this water: pH as activity, ions as concentration."""

    carbonic_1: Any
    carbonic_2: Any
    phosphoric_1: Any
    phosphoric_2: Any
    phosphoric_3: Any
    water: Any
    hydrogen_activity: Any  # -log10 of the activity coefficient of H+


def _van_t_hoff(pk_25: float, association_joule: float, kelvin: Any) -> Any:
    """A pK at another temperature, from its association enthalpy."""
    return pk_25 - association_joule / (GAS_CONSTANT * LN_10) * (1 / kelvin - 1 / 298.15)


def constants(temperature: Any, conductivity: Any) -> Constants:
    """The acid constants at a temperature (°C) and conductivity (µS/cm at 25 °C; 0 for infinite dilution).

    Plummer & Busenberg 1982 for carbonic acid and water, NIST46 for phosphoric acid, Davies 1962 for activities.
    """
    kelvin = temperature + 273.15
    log_kelvin = ops.log10(kelvin)
    one = activity_term(1, temperature, conductivity)
    neutral = neutral_term(conductivity)
    carbonic_1 = 356.3094 + 0.06091964 * kelvin - 21834.37 / kelvin - 126.8339 * log_kelvin + 1684915 / kelvin**2
    carbonic_2 = 107.8871 + 0.03252849 * kelvin - 5151.79 / kelvin - 38.92561 * log_kelvin + 563713.9 / kelvin**2
    water = 283.9710 - 13323 / kelvin + 0.05069842 * kelvin - 102.24447 * log_kelvin + 1119669 / kelvin**2
    # NIST46: PO4 takes up one, two, three H with -3.530 kcal, -4.520 kcal, -10.1 kJ in all.
    one_h, two_h, three_h = -3.530e3 * CALORIE, -4.520e3 * CALORIE, -10.1e3
    return Constants(
        carbonic_1 - one - neutral,
        carbonic_2 - 3 * one,
        _van_t_hoff(2.168, three_h - two_h, kelvin) - one - neutral,
        _van_t_hoff(7.207, two_h - one_h, kelvin) - 3 * one,
        _van_t_hoff(12.346, one_h, kelvin) - 5 * one,
        water - one,
        one,
    )


def co2_in_balance(ppm: Any, temperature: Any, conductivity: Any) -> Any:
    """Free CO2, mol/L, of water in balance with air of so many ppm at one atmosphere; Plummer & Busenberg 1982."""
    kelvin = temperature + 273.15
    log_kh = 108.3865 + 0.01985076 * kelvin - 6919.53 / kelvin - 40.45154 * ops.log10(kelvin) + 669365 / kelvin**2
    return ppm * 1e-6 * 10 ** (log_kh - neutral_term(conductivity))


class Carbonate(NamedTuple):
    """Bicarbonate and carbonate beside one mol of CO2."""

    bicarbonate: Any
    carbonate: Any

    @property
    def charge(self) -> Any:
        """Equivalents beside one mol of CO2."""
        return self.bicarbonate + 2 * self.carbonate

    @property
    def total(self) -> Any:
        """Mol of all three together."""
        return 1 + self.bicarbonate + self.carbonate


def carbonate(ph: Any, k: Constants) -> Carbonate:
    """How carbonate divides at a pH."""
    bicarbonate = 10 ** (ph - k.carbonic_1)
    return Carbonate(bicarbonate, bicarbonate * 10 ** (ph - k.carbonic_2))


class Phosphate(NamedTuple):
    """The other forms beside one mol of H2PO4-."""

    h3po4: Any
    hpo4: Any
    po4: Any

    @property
    def total(self) -> Any:
        """Mol of all four together."""
        return 1 + self.h3po4 + self.hpo4 + self.po4

    @property
    def charge(self) -> Any:
        """Equivalents of alkalinity in a mol of phosphate."""
        return (self.hpo4 + 2 * self.po4 - self.h3po4) / self.total


def phosphate(ph: Any, k: Constants) -> Phosphate:
    """How phosphate divides at a pH."""
    hpo4 = 10 ** (ph - k.phosphoric_2)
    return Phosphate(10 ** (k.phosphoric_1 - ph), hpo4, hpo4 * 10 ** (ph - k.phosphoric_3))


def hydroxide(ph: Any, k: Constants) -> Any:
    """Concentration of OH-, mol/L."""
    return 10 ** (ph - k.water)


def hydrogen(ph: Any, k: Constants) -> Any:
    """Concentration of H+, mol/L."""
    return 10 ** (k.hydrogen_activity - ph)


def alkalinity_beside_carbonate(ph: Any, phosphate_mol: Any, k: Constants) -> Any:
    """Alkalinity, eq/L, of phosphate and of water itself."""
    return phosphate_mol * phosphate(ph, k).charge + hydroxide(ph, k) - hydrogen(ph, k)


def balanced_ph(alkalinity: Any, carbonate_mol: Any, phosphate_mol: Any, k: Constants, start: Any) -> Any:
    """pH at which so much alkalinity (eq/L), carbonate and phosphate (mol/L) balance, found from a start."""
    before = ph = start
    for _ in range(NEWTON_STEPS):
        c = carbonate(ph, k)
        n = c.charge / c.total
        spread = (c.bicarbonate + 4 * c.carbonate) / c.total - n**2  # dn/d ln pH-scale: the variance of the charge
        excess = carbonate_mol * n + alkalinity_beside_carbonate(ph, phosphate_mol, k) - alkalinity
        slope = carbonate_mol * spread + _buffer_beside_carbonate(ph, phosphate_mol, k)
        before, ph = ph, _step(ph, excess, slope)
    return _at_rest(ph, before)


def settled_ph(alkalinity: Any, co2_mol: Any, phosphate_mol: Any, k: Constants) -> Any:
    """pH at which so much alkalinity (eq/L) balances while free CO2 and phosphate (mol/L) stay what they are."""
    # The start: all alkalinity as bicarbonate. Carbonate grows so fast with pH that from far above the way is long.
    as_bicarbonate = k.carbonic_1 + ops.log10(ops.maximum(alkalinity, LEAST_ALKALINITY) / co2_mol)
    before = ph = ops.minimum(as_bicarbonate, float(HIGHEST_PH))
    for _ in range(NEWTON_STEPS):
        c = carbonate(ph, k)
        excess = co2_mol * c.charge + alkalinity_beside_carbonate(ph, phosphate_mol, k) - alkalinity
        slope = co2_mol * (c.bicarbonate + 4 * c.carbonate) + _buffer_beside_carbonate(ph, phosphate_mol, k)
        before, ph = ph, _step(ph, excess, slope)
    return _at_rest(ph, before)


def _buffer_beside_carbonate(ph: Any, phosphate_mol: Any, k: Constants) -> Any:
    p = phosphate(ph, k)
    spread = (p.h3po4 + p.hpo4 + 4 * p.po4) / p.total - p.charge**2
    return phosphate_mol * spread + hydroxide(ph, k) + hydrogen(ph, k)


def carbonate_mol(ph: Any, alkalinity: Any, phosphate_mol: Any, k: Constants) -> Any:
    """Total carbonate, mol/L, of water with so much alkalinity, eq/L; an error where phosphate alone makes more."""
    c = carbonate(ph, k)
    carried = ops.positive(alkalinity - alkalinity_beside_carbonate(ph, phosphate_mol, k), TOO_LITTLE_ALKALINITY)
    return carried * c.total / c.charge


def _step(ph: Any, excess: Any, slope: Any) -> Any:
    newton = excess / (LN_10 * slope)
    return ph - ops.maximum(ops.minimum(newton, LARGEST_STEP), -LARGEST_STEP)


def _at_rest(ph: Any, before: Any) -> Any:
    """The pH, where the search has come to rest within the limits of a pH; an error elsewhere."""
    found = (ops.absolute(ph - before) < AT_REST) & (ph >= LOWEST_PH) & (ph <= HIGHEST_PH)
    return ops.require(found, ph, f"pH leaves the range from {LOWEST_PH} to {HIGHEST_PH}, or moves too far to follow")
