"""Free carbon dioxide from pH and alkalinity, with phosphate's own share of the alkalinity taken off."""

from __future__ import annotations

from typing import Any, NamedTuple

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY
from pailbook.functions.solution import activity_term, neutral_term
from pailbook.quantities import PH, Alkalinity, CarbonDioxide, Conductivity, Phosphate, WaterTemperature
from pailbook.sources import DAVIES_1962, NIST46, PLUMMER_BUSENBERG_1982

MG_CACO3_PER_EQ = 50043.0  # mg CaCO3 per equivalent of alkalinity
MG_PO4_PER_MOL = 94971.0
MG_CO2_PER_MOL = 44009.0
CALORIE = 4.184
GAS_CONSTANT = 8.314462618


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
    return pk_25 - association_joule / (GAS_CONSTANT * 2.302585092994046) * (1 / kelvin - 1 / 298.15)


def constants(temperature: Any, conductivity: Any) -> Constants:
    """The acid constants at a temperature (°C) and conductivity (µS/cm at 25 °C; 0 for infinite dilution)."""
    kelvin = temperature + 273.15
    log_kelvin = ops.log10(kelvin)
    one = activity_term(1, temperature, conductivity)
    neutral = neutral_term(conductivity)
    carbonic_1 = 356.3094 + 0.06091964 * kelvin - 21834.37 / kelvin - 126.8339 * log_kelvin + 1684915 / kelvin**2
    carbonic_2 = 107.8871 + 0.03252849 * kelvin - 5151.79 / kelvin - 38.92561 * log_kelvin + 563713.9 / kelvin**2
    water = 283.9710 - 13323 / kelvin + 0.05069842 * kelvin - 102.24447 * log_kelvin + 1119669 / kelvin**2
    # NIST46: PO4 takes up one, two, three H with -3.530 kcal, -4.520 kcal, -10.1 kJ in all.
    three, two, first = -3.530e3 * CALORIE, -4.520e3 * CALORIE, -10.1e3
    return Constants(
        carbonic_1 - one - neutral,
        carbonic_2 - 3 * one,
        _van_t_hoff(2.168, first - two, kelvin) - one - neutral,
        _van_t_hoff(7.207, two - three, kelvin) - 3 * one,
        _van_t_hoff(12.346, three, kelvin) - 5 * one,
        water - one,
        one,
    )


def phosphate_charge(ph: Any, k: Constants) -> Any:
    """Equivalents of alkalinity per mol of phosphate, counted from H2PO4-."""
    hpo4 = 10 ** (ph - k.phosphoric_2)  # each per mol of H2PO4-
    po4 = hpo4 * 10 ** (ph - k.phosphoric_3)
    h3po4 = 10 ** (k.phosphoric_1 - ph)
    return (hpo4 + 2 * po4 - h3po4) / (1 + hpo4 + po4 + h3po4)


def carbonate_alkalinity(ph: Any, alkalinity: Any, phosphate: Any, k: Constants) -> Any:
    """The alkalinity, eq/L, that bicarbonate and carbonate carry (alkalinity in mg/L CaCO3, phosphate in mg/L PO4)."""
    hydroxide = 10 ** (ph - k.water)
    hydrogen = 10 ** (k.hydrogen_activity - ph)
    return alkalinity / MG_CACO3_PER_EQ - phosphate / MG_PO4_PER_MOL * phosphate_charge(ph, k) - hydroxide + hydrogen


@worksheet_function(
    category=CATEGORY,
    source=(PLUMMER_BUSENBERG_1982.at("table 1"), NIST46.at("phosphate"), DAVIES_1962.at("p. 39")),
    example=(6.8, 60.0, 25.0, 35.0),
)
def carbon_dioxide(
    ph: PH, alkalinity: Alkalinity, temperature: WaterTemperature, phosphate: Phosphate = 0.0,
    conductivity: Conductivity = 0.0,
) -> CarbonDioxide:
    """Free carbon dioxide in mg/L; leaving out the phosphate (as PO4) overstates it, by a sixth in rich water."""
    k = constants(temperature, conductivity)
    carried = ops.positive(
        carbonate_alkalinity(ph, alkalinity, phosphate, k),
        "phosphate and hydroxide alone make more alkalinity than was measured; check the phosphate's basis and the pH",
    )
    # Each mol of CO2 stands beside 10^(pH-pK1) of bicarbonate, and each of that beside 10^(pH-pK2) of carbonate.
    return MG_CO2_PER_MOL * carried * 10 ** (k.carbonic_1 - ph) / (1 + 2 * 10 ** (ph - k.carbonic_2))
