"""What a dose adds to the water: alkalinity and nutrients."""

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
    "chemical", "Chemical, by name or formula; iron chelate, with its % Fe as strength; or a fertiliser's label grade",
    choices=(*dict.fromkeys((*names(PRODUCTS), *names(ACIDS))), IRON_CHELATE), grade=True)]
AlkalinityChange = Annotated[float, Quantity("alkalinity", "Change in alkalinity, as CaCO3", "mg/L as CaCO3")]


@worksheet_function(category=PH_CATEGORY, source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("acids")),
                    example=("KHCO3", 200.0, 3100.0))
def alkalinity_added(
    chemical: PHChemical, amount: Amount, volume: Volume, strength: Strength = 0.0
) -> AlkalinityChange:
    """Change in alkalinity, in mg/L as CaCO3, from a dose of a base or an acid; negative for an acid."""
    brings, grams = per_mol_of(chemical)
    return pure_in(ACIDS, chemical, amount, strength, 0.0) / grams * brings.alkalinity * MG_CACO3_PER_EQ / volume


@worksheet_function(
    category=CATEGORY,
    source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("acids"), COMMON_PRACTICE.at("label grades")),
    example=("K2HPO4", "K", 20.0, 1900.0),
)
def nutrient_added(
    chemical: AnyChemical, nutrient: Nutrient, amount: Amount, volume: Volume, strength: Strength = 0.0
) -> Annotated[Concentration, "Rise, in the basis of the nutrient named"]:
    """Rise of a nutrient, in mg/L of the basis named, from a dose in g of a chemical or mL of an acid; 0 if it has
    none.

    The nitrogen of an ammonium salt counts only as TAN, until the filter has turned it into nitrate.
    """
    share = share_of(chemical, nutrient, none=0.0)
    return pure_in(ACIDS, chemical, amount, strength, 0.0) * share * 1000 / volume
