"""What a chemical does to pH, at once and after the carbon dioxide has settled, and the dose for a wanted change.

Right after a dose the total of carbonate is what the chemical left it at; hours later breathing and air have brought
free CO2 back to where it was. The two pH values differ much, and so do the doses for the same change.
"""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY
from pailbook.functions.bottle import in_bottle, pure_in
from pailbook.functions.chemicals import ACIDS, PRODUCTS, Chemical, atoms, names
from pailbook.functions.equilibrium import (
    MG_CACO3_PER_EQ,
    MG_PO4_PER_MOL,
    Constants,
    alkalinity_beside_carbonate,
    balanced_ph,
    carbonate,
    carbonate_mol,
    constants,
    phosphate,
    settled_ph,
)
from pailbook.quantities import (
    PH,
    Alkalinity,
    Amount,
    Conductivity,
    Density,
    Dose,
    Phosphate,
    Quantity,
    Strength,
    Volume,
    WaterTemperature,
)
from pailbook.sources import DAVIES_1962, HANDBOOK_DENSITY, IUPAC_2021, NIST46, PLUMMER_BUSENBERG_1982

_BASES = ("KOH", "Ca(OH)2", "K2CO3", "KHCO3", "CaCO3", "NaHCO3")
PH_CHEMICALS = (*(c for c in PRODUCTS if c.formula in _BASES), *ACIDS)
SOURCE = (
    PLUMMER_BUSENBERG_1982.at("table 1"), NIST46.at("phosphate"), DAVIES_1962.at("p. 39"), IUPAC_2021.at("table 1"),
    HANDBOOK_DENSITY.at("acids"),
)
CALCITE_PH = 7.5  # above it calcium carbonate dissolves too slowly to count on
_TOO_SLOW = "calcium carbonate dissolves too slowly: it has a settled answer only, and none above pH 7.5"

PHChemical = Annotated[str, Quantity(
    "chemical", "A base or an acid, by its name or formula", choices=names(PH_CHEMICALS))]
DoseTiming = Annotated[str, Quantity(
    "timing", "at once, settled (when free CO2 is back to where it was), or safe: the smaller dose of the two",
    choices=("safe", "at once", "settled"))]
PHTiming = Annotated[str, Quantity(
    "timing", "at once, or settled: when free CO2 is back to where it was", choices=("at once", "settled"))]


def _table(value: Any) -> dict[str, float]:
    return {name: value(chemical) for chemical in PH_CHEMICALS for name in chemical.names}


def per_mol_of(chemical: Any) -> tuple[Any, Any, Any, Any]:
    """Equivalents of alkalinity, mol of carbonate and of phosphate, and grams, in a mol of the chemical."""

    def of(value: Any) -> Any:
        return ops.pick(chemical, _table(value), "chemical")

    def phosphorus(one: Chemical) -> float:
        return float(atoms(one.formula)["P"])

    return (
        of(lambda c: float(c.alkalinity)), of(lambda c: float(c.carbonate)), of(phosphorus), of(lambda c: c.molar_mass)
    )


def _is_calcite(chemical: Any) -> Any:
    return (chemical == "calcium carbonate") | (chemical == "CaCO3")


def dose_mol(
    per_mol: tuple[Any, Any, Any], ph_from: Any, ph_to: Any, alkalinity: Any, phosphate_mol: Any, k: Constants
) -> tuple[Any, Any]:
    """Mol/L that move pH to a target, at once and settled; alkalinity in eq/L. Negative: it moves the other way."""
    brings_alkalinity, brings_carbonate, brings_phosphate = per_mol
    before, after = carbonate(ph_from, k), carbonate(ph_to, k)
    total = carbonate_mol(ph_from, alkalinity, phosphate_mol, k)
    beside = alkalinity_beside_carbonate(ph_to, phosphate_mol, k) - alkalinity
    n = after.charge / after.total
    m = phosphate(ph_to, k).charge
    at_once = (total * n + beside) / (brings_alkalinity - brings_carbonate * n - brings_phosphate * m)
    settled = (total / before.total * after.charge + beside) / (brings_alkalinity - brings_phosphate * m)
    return at_once, settled


@worksheet_function(category=CATEGORY, source=SOURCE, example=("KHCO3", 1000.0, 6.4, 6.6, 20.0, 25.0, 35.0))
def ph_dose(
    chemical: PHChemical, volume: Volume, ph_from: PH, ph_to: PH, alkalinity: Alkalinity, temperature: WaterTemperature,
    phosphate: Phosphate = 0.0, strength: Strength = 0.0, timing: DoseTiming = "safe",
    conductivity: Conductivity = 0.0, density: Density = 0.0,
) -> Dose:
    """Dose of a base or acid that moves pH to a target: g of a solid, mL of an acid; the smaller of two when in doubt.

    An acid needs the strength on its label. Calcium carbonate has a settled answer only, up to pH 7.5. Check the dose
    with PH_AFTER_DOSE, add it slowly where water moves, and keep within 0.2 pH a day: bases and acids burn.
    """
    k = constants(temperature, conductivity)
    *per_mol, grams = per_mol_of(chemical)
    eq, phosphate_mol = alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL
    at_once, settled = dose_mol((per_mol[0], per_mol[1], per_mol[2]), ph_from, ph_to, eq, phosphate_mol, k)
    slow = _is_calcite(chemical)
    mol = ops.where(
        (timing == "settled") | slow, settled, ops.where(timing == "at once", at_once, ops.minimum(at_once, settled))
    )
    mol = ops.where(ph_to == ph_from, 0.0, mol)  # which rounding would make a little less than 0
    possible = ops.where(slow, (timing != "at once") & (ph_to <= CALCITE_PH), True)
    return ops.require(
        possible,
        lambda: in_bottle(
            ACIDS, chemical, ops.positive(mol, "this chemical cannot move the pH to there") * volume * grams, strength,
            density,
        ),
        _TOO_SLOW,
    )


@worksheet_function(
    category=CATEGORY, source=SOURCE, example=("KOH", 5.3, 1000.0, 6.4, 20.0, 25.0, 35.0), in_steps=True
)
def ph_after_dose(
    chemical: PHChemical, amount: Amount, volume: Volume, ph: PH, alkalinity: Alkalinity, temperature: WaterTemperature,
    phosphate: Phosphate = 0.0, strength: Strength = 0.0, timing: PHTiming = "at once",
    conductivity: Conductivity = 0.0, density: Density = 0.0,
) -> PH:
    """pH after a dose of a base or acid: at once, or settled, when free CO2 is back to where it was hours later."""
    k = constants(temperature, conductivity)
    brings_alkalinity, brings_carbonate, brings_phosphate, grams = per_mol_of(chemical)
    mol = pure_in(ACIDS, chemical, amount, strength, density) / grams / volume
    eq, phosphate_mol = alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL
    total = carbonate_mol(ph, eq, phosphate_mol, k)
    eq_after, phosphate_after = eq + mol * brings_alkalinity, phosphate_mol + mol * brings_phosphate
    slow = _is_calcite(chemical)

    def settled() -> Any:
        after = settled_ph(eq_after, total / carbonate(ph, k).total, phosphate_after, k)
        return ops.require(ops.where(slow, after <= CALCITE_PH, True), after, _TOO_SLOW)

    return ops.where(
        timing == "at once",
        lambda: ops.require(
            ops.where(slow, False, True),
            lambda: balanced_ph(eq_after, total + mol * brings_carbonate, phosphate_after, k, ph), _TOO_SLOW,
        ),
        settled,
    )
