"""What a dose brings: alkalinity and nutrients."""

from __future__ import annotations

from typing import Annotated

from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY as PH_CATEGORY
from pailbook.functions.bottle import pure_in
from pailbook.functions.chemicals import ACIDS, IRON_CHELATE, PRODUCTS, names
from pailbook.functions.convert import CATEGORY
from pailbook.functions.dosing import PHChemical, per_mol_of
from pailbook.functions.equilibrium import MG_CACO3_PER_EQ
from pailbook.functions.nutrients import share_of
from pailbook.quantities import Amount, Concentration, Nutrient, Strength, Volume
from pailbook.quantity import Quantity
from pailbook.sources import COMMON_PRACTICE, HANDBOOK_DENSITY, IUPAC_2021

AnyChemical = Annotated[str, Quantity(
    "chemical", "A chemical by its name or formula, iron chelate (strength is its % Fe), or a label grade N-P2O5-K2O",
    choices=(*dict.fromkeys((*names(PRODUCTS), *names(ACIDS))), IRON_CHELATE), grade=True)]
AlkalinityChange = Annotated[float, Quantity("alkalinity", "Change of alkalinity as CaCO3", "mg/L as CaCO3")]


@worksheet_function(category=PH_CATEGORY, source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("acids")),
                    example=("KHCO3", 100.0, 1000.0))
def alkalinity_added(
    chemical: PHChemical, amount: Amount, volume: Volume, strength: Strength = 0.0
) -> AlkalinityChange:
    """Change of alkalinity (mg/L as CaCO3) from a dose of a base or acid; negative for acids."""
    brings, grams = per_mol_of(chemical)
    return pure_in(ACIDS, chemical, amount, strength, 0.0) / grams * brings.alkalinity * MG_CACO3_PER_EQ / volume


@worksheet_function(
    category=CATEGORY,
    source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("acids"), COMMON_PRACTICE.at("label grades")),
    example=("K2HPO4", "K", 50.0, 1000.0),
)
def nutrient_added(
    chemical: AnyChemical, nutrient: Nutrient, amount: Amount, volume: Volume, strength: Strength = 0.0
) -> Annotated[Concentration, "Rise, in the basis named"]:
    """Rise of a nutrient (mg/L in the basis named) from so many g of a chemical, or mL of an acid; 0 if it has none.

    An ammonium salt's nitrogen counts as TAN alone, which it is until the filter has turned it into nitrate.
    """
    share = share_of(chemical, nutrient, none=0.0)
    return pure_in(ACIDS, chemical, amount, strength, 0.0) * share * 1000 / volume
