"""Doses of phosphate and the other nutrients."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.bottle import in_bottle
from pailbook.functions.chemicals import (
    ACIDS,
    IRON_CHELATE,
    NITRIC_ACID,
    PHOSPHORIC_ACID,
    PRODUCTS,
    Chemical,
    names,
    shares,
)
from pailbook.functions.convert import CATEGORY, MG_PER_UNIT
from pailbook.quantities import (
    NUTRIENTS,
    Concentration,
    Density,
    Dose,
    Nutrient,
    Phosphate,
    Quantity,
    Strength,
    Volume,
)
from pailbook.sources import COMMON_PRACTICE, HANDBOOK_DENSITY, IUPAC_2021

# Each nutrient's element (TAN counts as one) and the mg of the nutrient that carry one mg of the element.
_ELEMENT = {n: n for n in NUTRIENTS} | {"NO3": "N", "PO4": "P", "P2O5": "P", "K2O": "K", "SO4": "S"}
_PER_ELEMENT = {n: MG_PER_UNIT[n] / MG_PER_UNIT[e] if n != e else 1.0 for n, e in _ELEMENT.items()}
_ELEMENTS = tuple(dict.fromkeys(_ELEMENT.values()))
_GRADE_PLACES = {"N": 0, "P": 1, "K": 2}  # a label's grade is N-P2O5-K2O
_GRADE_OXIDE = {"N": 1.0, "P": _PER_ELEMENT["P2O5"], "K": _PER_ELEMENT["K2O"]}
_WHAT = "content of {} (ammonium salts add ammonia and are refused where there are fish; TAN doses ammonia itself)"

PhosphateProduct = Annotated[str, Quantity(
    "product", "Phosphoric acid or a phosphate salt, by name or formula",
    choices=names(c for c in PRODUCTS if c.share("P") and not c.brings_ammonia))]
Product = Annotated[str, Quantity(
    "product", "Chemical, by name or formula; iron chelate, with its % Fe as strength; or a fertiliser's label grade",
    choices=(*names(PRODUCTS), IRON_CHELATE), grade=True)]


def _share_of_element(product: Any, element: str, none: float | None) -> Any:
    table = shares(element)
    if none is not None:
        table = dict.fromkeys((*names((*PRODUCTS, *ACIDS)), IRON_CHELATE), none) | shares(element, ammonium_salts=True)

    def pure() -> Any:
        return ops.pick(product, table, _WHAT.format(element))

    if element not in _GRADE_PLACES:
        return pure() if none is None else ops.where(ops.is_grade(product), none, pure)
    return ops.where(
        ops.is_grade(product),
        lambda: ops.grade_part(product, _GRADE_PLACES[element]) / 100 / _GRADE_OXIDE[element],
        pure,
    )


def share_of(product: Any, nutrient: Any, none: float | None = None) -> Any:
    """Grams of the nutrient in a gram of the pure product; `none` where it has none, else an error there."""
    if isinstance(nutrient, str):
        return _share_of_element(product, _ELEMENT[nutrient], none) * _PER_ELEMENT[nutrient]
    share: Any = partial(_share_of_element, product, _ELEMENTS[-1], none)
    for element in reversed(_ELEMENTS[:-1]):
        is_it: Any = False
        for name, its_element in _ELEMENT.items():
            if its_element == element:
                is_it = is_it | (nutrient == name)
        share = ops.where(is_it, partial(_share_of_element, product, element, none), share)
    return share * ops.pick(nutrient, _PER_ELEMENT, "nutrient")


def _dose(
    acids: Sequence[Chemical], product: Any, share: Any, rise: Any, volume: Any, strength: Any, density: Any
) -> Any:
    """g of a solid, mL of a liquid, that raises the concentration in a volume (L) by `rise` (mg/L)."""
    return ops.require(
        rise >= 0, lambda: in_bottle(acids, product, rise * volume / 1000 / share, strength, density),
        "the target is below the present value, and a dose cannot lower it",
    )


@worksheet_function(
    category=CATEGORY, source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("phosphoric acid")),
    example=("monopotassium phosphate", 3100.0, 6.0, 10.0),
)
def phosphate_dose(
    product: PhosphateProduct, volume: Volume, phosphate_from: Annotated[Phosphate, "Phosphate now, as PO4 (not P)"],
    phosphate_to: Annotated[Phosphate, "Target phosphate, as PO4 (not P)"],
    strength: Strength = 0.0, density: Density = 0.0,
) -> Dose:
    """Dose that raises phosphate (mg/L as PO4): g of a solid, or mL of phosphoric acid, whose strength must be given.

    Phosphoric acid of 100 % is the pure substance, in g. Salts count as pure unless a strength is given; if a density
    is given, the product is a solution and the dose is in mL. Check what the dose does to the pH first, and split large
    doses.
    """
    share = ops.pick(product, shares("P"), "share of phosphorus") * _PER_ELEMENT["PO4"]
    return _dose((PHOSPHORIC_ACID,), product, share, phosphate_to - phosphate_from, volume, strength, density)


@worksheet_function(
    category=CATEGORY,
    source=(IUPAC_2021.at("table 1"), HANDBOOK_DENSITY.at("phosphoric acid"), COMMON_PRACTICE.at("label grades")),
    example=("potassium sulfate", "K", 1900.0, 20.0, 40.0),
)
def nutrient_dose(
    product: Product, nutrient: Nutrient, volume: Volume,
    value_from: Annotated[Concentration, "Level now, in the basis of the nutrient named"],
    value_to: Annotated[Concentration, "Target level, in the same basis"],
    strength: Strength = 0.0, density: Density = 0.0,
) -> Dose:
    """Dose that raises a nutrient (mg/L in the basis named): g of a solid, or mL if a density is given.

    Name a chemical by name or formula, an iron chelate with its % Fe as strength, and a fertiliser by its label grade
    (N-P2O5-K2O, such as 15-5-30). Ammonium salts are refused, unless the nutrient is TAN itself, as for a tank without
    fish.
    """
    share = share_of(product, nutrient)
    return _dose((PHOSPHORIC_ACID, NITRIC_ACID), product, share, value_to - value_from, volume, strength, density)
