"""Acids in fresh water: their constants, and how carbonate and phosphate divide at a pH."""

from __future__ import annotations

from typing import Any, NamedTuple

from pailbook import ops
from pailbook.functions.solution import activity_term, neutral_term

CALORIE = 4.184  # J, the thermochemical one
GAS_CONSTANT = 8.314462618  # J / (mol K), CODATA 2018
LN_10 = 2.302585092994046


class Anions(NamedTuple):
    """A number for each anion that calcium and magnesium pair with."""

    bicarbonate: Any
    carbonate: Any
    h2po4: Any
    hpo4: Any
    po4: Any


class Constants(NamedTuple):
    """Negative logarithms of the acid constants as they act in this water: pH as activity, ions as concentration."""

    carbonic_1: Any
    carbonic_2: Any
    phosphoric_1: Any
    phosphoric_2: Any
    phosphoric_3: Any
    water: Any
    hydrogen_activity: Any  # -log10 of the activity coefficient of H+
    paired: Anions = Anions(1.0, 1.0, 1.0, 1.0, 1.0)  # mol, pairs and all, for each that is free; see `ion_pairs`


def van_t_hoff(log_25: float, association_joule: float, kelvin: Any) -> Any:
    """An association constant's log10 at another temperature, from its value at 25 °C and its enthalpy."""
    return log_25 - association_joule / (GAS_CONSTANT * LN_10) * (1 / kelvin - 1 / 298.15)


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
        van_t_hoff(2.168, three_h - two_h, kelvin) - one - neutral,
        van_t_hoff(7.207, two_h - one_h, kelvin) - 3 * one,
        van_t_hoff(12.346, one_h, kelvin) - 5 * one,
        water - one,
        one,
    )


def co2_in_balance(ppm: Any, temperature: Any, conductivity: Any) -> Any:
    """Free CO2, mol/L, of water in balance with air, whose CO2 is in ppm, at one atmosphere; Plummer & Busenberg 1982.
    """
    kelvin = temperature + 273.15
    log_kh = 108.3865 + 0.01985076 * kelvin - 6919.53 / kelvin - 40.45154 * ops.log10(kelvin) + 669365 / kelvin**2
    return ppm * 1e-6 * 10 ** (log_kh - neutral_term(conductivity))


class Carbonate(NamedTuple):
    """Bicarbonate and carbonate, paired or not, beside one mol of CO2."""

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
    return Carbonate(
        bicarbonate * k.paired.bicarbonate, bicarbonate * 10 ** (ph - k.carbonic_2) * k.paired.carbonate
    )


class Phosphate(NamedTuple):
    """All forms, paired or not, beside one mol of free H2PO4-."""

    h3po4: Any
    h2po4: Any
    hpo4: Any
    po4: Any

    @property
    def total(self) -> Any:
        """Mol of all four together."""
        return self.h2po4 + self.h3po4 + self.hpo4 + self.po4

    @property
    def charge(self) -> Any:
        """Equivalents of alkalinity in a mol of phosphate."""
        return (self.hpo4 + 2 * self.po4 - self.h3po4) / self.total


def phosphate(ph: Any, k: Constants) -> Phosphate:
    """How phosphate divides at a pH."""
    hpo4 = 10 ** (ph - k.phosphoric_2)
    return Phosphate(
        10 ** (k.phosphoric_1 - ph), k.paired.h2po4, hpo4 * k.paired.hpo4,
        hpo4 * 10 ** (ph - k.phosphoric_3) * k.paired.po4,
    )


def hydroxide(ph: Any, k: Constants) -> Any:
    """Concentration of OH-, mol/L."""
    return 10 ** (ph - k.water)


def hydrogen(ph: Any, k: Constants) -> Any:
    """Concentration of H+, mol/L."""
    return 10 ** (k.hydrogen_activity - ph)
