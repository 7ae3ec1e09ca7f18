"""The nutrients of the plan, the products that bring them, and what else a phosphate product does."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.functions.chemicals import (
    ACIDS,
    IRON_CHELATE,
    PHOSPHORIC_ACID,
    PRODUCTS,
    Chemical,
    atoms,
    molar_mass,
)
from pailbook.quantities import PHOSPHATE_BASES

ACID = PHOSPHORIC_ACID.name
MONO, DI = "monopotassium phosphate", "dipotassium phosphate"
BLEND = "blend of both potassium phosphates"
POTASSIUM_PER_PO4 = molar_mass("K") / molar_mass("PO4")
CALCIUM_PER_PO4 = molar_mass("Ca") / molar_mass("PO4")
# A phosphate salt is phosphoric acid and hydroxide: g of KOH with each g of the acid, for one equivalent.
HYDROXIDE_PER_ACID = molar_mass("KOH") / molar_mass(PHOSPHORIC_ACID.formula)


@dataclass(frozen=True)
class PhosphateProduct:
    """What a mol of phosphate from a product comes with, in mol (equivalents of alkalinity)."""

    name: str
    alkalinity: float
    potassium: bool = False
    calcium: float = 0.0


def _phosphate_product(chemical: Chemical) -> PhosphateProduct:
    found = atoms(chemical.formula)
    return PhosphateProduct(
        chemical.name, chemical.alkalinity / found["P"], bool(found["K"]), found["Ca"] / found["P"])


PHOSPHATES = tuple(_phosphate_product(c) for c in PRODUCTS if c.share("P") and not c.brings_ammonia)


@dataclass(frozen=True)
class Nutrient:
    """A nutrient: what kits call it, and the basis in which the plan holds it."""

    key: str
    label: str
    basis: str
    bases: tuple[str, ...]

    @property
    def unit(self) -> str:
        """The unit of its levels in the plan."""
        return f"mg/L as {self.basis}"

    @property
    def format(self) -> str:
        """The number format of its levels: kits for iron show hundredths."""
        return "0.00" if self.basis == "Fe" else "0.0"

    @property
    def products(self) -> tuple[str, ...]:
        """What may be dosed; what moves pH is left to the sheet "pH dose", ammonium salts are left out."""
        if self.key == "phosphate":
            return (*(product.name for product in PHOSPHATES), BLEND)
        plain = tuple(
            c.name for c in PRODUCTS
            if c.share(self.basis) and not (c.brings_ammonia or c.alkalinity or c.share("P") or c in ACIDS)
        )
        return (*plain, IRON_CHELATE) if self.basis == "Fe" else plain


PHOSPHATE = Nutrient("phosphate", "Phosphate", "PO4", PHOSPHATE_BASES)
POTASSIUM = Nutrient("potassium", "Potassium", "K", ("K", "K2O"))
CALCIUM = Nutrient("calcium", "Calcium", "Ca", ("Ca", "CaO", "CaCO3"))
MAGNESIUM = Nutrient("magnesium", "Magnesium", "Mg", ("Mg", "MgO", "CaCO3"))
OTHERS = (
    POTASSIUM,
    CALCIUM,
    MAGNESIUM,
    Nutrient("iron", "Iron", "Fe", ("Fe",)),
)
NUTRIENTS = (PHOSPHATE, *OTHERS)
