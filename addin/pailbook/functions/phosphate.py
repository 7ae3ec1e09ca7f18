"""Phosphate doses and pH: how much to dose in a day, the blend that keeps the pH, and the scale that may form."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acids import constants
from pailbook.functions.acids import phosphate as phosphate_forms
from pailbook.functions.chemicals import PRODUCTS, Chemical, atoms, molar_mass
from pailbook.functions.convert import CATEGORY
from pailbook.functions.dosing import DoseTiming, PerMol, dose_mol
from pailbook.functions.equilibrium import MG_CACO3_PER_EQ, MG_PO4_PER_MOL
from pailbook.functions.ion_pairs import SOURCE as PAIRS_SOURCE
from pailbook.functions.ion_pairs import pairs
from pailbook.functions.nutrients import PhosphateProduct
from pailbook.functions.solution import IONIC_STRENGTH_PER_CONDUCTIVITY, activity_term
from pailbook.quantities import (
    PH,
    Alkalinity,
    Calcium,
    Concentration,
    Conductivity,
    Fraction,
    Magnesium,
    Phosphate,
    Quantity,
    WaterTemperature,
)
from pailbook.sources import DAVIES_1962, DOROZHKIN_2010, NIST46, PLUMMER_BUSENBERG_1982

USUAL_CONDUCTIVITY = 615.0  # µS/cm; an ionic strength of 0.008, usual where plants are fed
OCTACALCIUM_PKSP = 96.6

PHChange = Annotated[float, Quantity(
    "largest change of pH", "Largest change of pH that one day's dose may cause", low=0, high=1, above=True)]
ScaleIndex = Annotated[float, Quantity("saturation index", "log10 of the saturation; above 0, scale may form")]


@worksheet_function(
    category=CATEGORY, source=(PLUMMER_BUSENBERG_1982.at("table 1"), NIST46.at("phosphate"), PAIRS_SOURCE),
    example=("phosphoric acid", 7.4, 80.0, 22.0, 8.0),
)
def phosphate_rise_allowed(
    product: PhosphateProduct, ph: PH, alkalinity: Alkalinity, temperature: WaterTemperature, phosphate: Phosphate,
    max_ph_change: PHChange = 0.2, timing: DoseTiming = "safe", conductivity: Conductivity = 0.0,
    calcium: Calcium = 0.0, magnesium: Magnesium = 0.0,
) -> Annotated[Phosphate, "Rise of phosphate, as PO4 (not P)"]:
    """Rise of phosphate (mg/L as PO4) that one day's dose may cause without changing the pH by more than is allowed.

    In hard water enter calcium and magnesium: without them the change of pH is misjudged by up to 0.1.
    """
    k = constants(temperature, conductivity)
    held = pairs(calcium, magnesium, temperature, conductivity)

    def with_each_phosphate(value: Callable[[Chemical], float]) -> Any:
        return ops.pick(product, {
            name: value(c) / atoms(c.formula)["P"] for c in PRODUCTS if c.share("P") for name in c.names
        }, "phosphate product")

    alkalinity_brought = with_each_phosphate(lambda c: c.alkalinity)
    calcium_brought = ops.where(calcium + magnesium > 0, with_each_phosphate(lambda c: atoms(c.formula)["Ca"]), 0.0)
    charge = phosphate_forms(ph, held.acting(k, 1.0)).charge
    target = ph + max_ph_change * ops.where(alkalinity_brought > charge, 1, -1)
    at_once, settled = dose_mol(
        PerMol(alkalinity_brought, 0.0, 1.0, calcium_brought), ph, target, alkalinity / MG_CACO3_PER_EQ,
        phosphate / MG_PO4_PER_MOL, k, held,
    )
    smaller = ops.minimum(at_once, settled)
    mol = ops.where(timing == "settled", settled, ops.where(timing == "at once", at_once, smaller))
    return MG_PO4_PER_MOL * ops.positive(mol, "no dose of this product, however large, changes the pH by that much")


@worksheet_function(
    category=CATEGORY, source=(NIST46.at("phosphate"), DAVIES_1962.at("p. 39"), PAIRS_SOURCE), example=(7.4, 22.0)
)
def phosphate_blend(
    ph: PH, temperature: WaterTemperature, calcium: Calcium = 0.0, magnesium: Magnesium = 0.0
) -> Annotated[Fraction, "Share of the phosphate to give as dipotassium phosphate, from 0 to 1"]:
    """Share of a phosphate dose to give as dipotassium phosphate, and the rest as monopotassium phosphate, so that the
    pH does not change.

    It is a share of the phosphate, not of the weight: calculate each part with PHOSPHATE_DOSE. The usual amount of
    dissolved salts (615 µS/cm) is assumed. In hard water enter calcium and magnesium: they bind phosphate, and more of
    it must be dipotassium phosphate.
    """
    k = pairs(calcium, magnesium, temperature, USUAL_CONDUCTIVITY).acting(constants(temperature, USUAL_CONDUCTIVITY), 1)
    return ops.maximum(ops.minimum(phosphate_forms(ph, k).charge, 1.0), 0.0)


@worksheet_function(
    category=CATEGORY,
    source=(DOROZHKIN_2010.at("table 3"), NIST46.at("phosphate"), DAVIES_1962.at("p. 39")),
    example=(40.0, 4.0, 7.2, 60.0, 22.0),
)
def phosphate_scale_index(
    calcium: Annotated[Concentration, "Calcium as Ca"], phosphate: Phosphate, ph: PH, alkalinity: Alkalinity,
    temperature: WaterTemperature,
) -> ScaleIndex:
    """Saturation index of octacalcium phosphate; above 0, calcium and phosphate may precipitate as scale or cloudiness.

    The solubility product is that at 25 °C (77 °F); dissolved salts are estimated from calcium, alkalinity and
    phosphate. Never dose lime or a hydroxide close to a dose of phosphate.
    """
    calcium_mol = calcium / (1000 * molar_mass("Ca"))
    phosphate_mol = phosphate / MG_PO4_PER_MOL
    anions = alkalinity / MG_CACO3_PER_EQ + phosphate_mol
    strength = (4 * calcium_mol + anions + ops.absolute(2 * calcium_mol - anions)) / 2
    conductivity = strength / IONIC_STRENGTH_PER_CONDUCTIVITY
    forms = phosphate_forms(ph, constants(temperature, conductivity))
    one = activity_term(1, temperature, conductivity)
    log_calcium = ops.log10(calcium_mol) - 4 * one
    log_po4 = ops.log10(phosphate_mol * forms.po4 / forms.total) - 9 * one
    return 8 * log_calcium - 2 * ph + 6 * log_po4 + OCTACALCIUM_PKSP
