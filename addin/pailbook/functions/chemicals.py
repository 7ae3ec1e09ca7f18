"""Chemicals of the trade: names, formulas, and what a gram of each holds."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

# IUPAC 2021 standard atomic weights, abridged, g/mol.
ATOMIC_WEIGHTS = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305, "P": 30.974, "S": 32.06,
    "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Fe": 55.845,
}
_PART = re.compile(r"([A-Z][a-z]?|\([^()]*\))(\d*)")


def atoms(formula: str) -> Counter[str]:
    """How many atoms of each element a formula such as Ca(H2PO4)2.H2O has."""
    total: Counter[str] = Counter()
    for unit in formula.split("."):
        water = re.match(r"\d*", unit)
        times = int(water.group() or 1) if water else 1
        for symbol, count in _PART.findall(unit):
            inner = atoms(symbol[1:-1]) if symbol.startswith("(") else {symbol: 1}
            for element, number in inner.items():
                total[element] += times * number * int(count or 1)
    return total


def molar_mass(formula: str) -> float:
    """g/mol."""
    return sum(ATOMIC_WEIGHTS[element] * number for element, number in atoms(formula).items())


@dataclass(frozen=True)
class Chemical:
    """A substance of the trade, by its name, formula and other names."""

    name: str
    formula: str
    also: tuple[str, ...] = ()
    alkalinity: int = 0  # equivalents that a mol brings, counted from CO2 and H2PO4-
    carbonate: int = 0  # mol of carbonate that a mol brings
    density: tuple[tuple[float, float], ...] = ()  # kg/L by % by mass, of an acid sold as a solution

    @property
    def names(self) -> tuple[str, ...]:
        """Every name it goes by."""
        return (self.name, self.formula, *self.also)

    @property
    def molar_mass(self) -> float:
        """g/mol."""
        return molar_mass(self.formula)

    @property
    def ammonium(self) -> int:
        """Mol of ammonium in a mol of it."""
        return sum(int(count or 1) for count in re.findall(r"NH4\)?(\d*)", self.formula))

    @property
    def brings_ammonia(self) -> bool:
        """Whether it brings ammonium into the water."""
        return self.ammonium > 0

    def share(self, element: str) -> float:
        """Grams of the element in a gram of it."""
        return ATOMIC_WEIGHTS[element] * atoms(self.formula)[element] / self.molar_mass


# Handbook tables of density at 20 °C. Phosphoric and hydrochloric acid were checked against a printed table;
# sulfuric and nitric acid are from memory.
_WATER = (0, 0.9982)
PHOSPHORIC_ACID = Chemical("phosphoric acid", "H3PO4", alkalinity=-1, density=(
    _WATER, (10, 1.0532), (20, 1.1135), (30, 1.1804), (40, 1.2536), (50, 1.3350), (60, 1.4260), (70, 1.5260),
    (75, 1.5790), (80, 1.6330), (85, 1.6890),
))
HYDROCHLORIC_ACID = Chemical("hydrochloric acid", "HCl", ("muriatic acid",), alkalinity=-1, density=(
    _WATER, (10, 1.0474), (20, 1.0980), (30, 1.1492), (31.45, 1.158), (34, 1.1691), (36, 1.1789),
))
SULFURIC_ACID = Chemical("sulfuric acid", "H2SO4", alkalinity=-2, density=(
    _WATER, (10, 1.0661), (20, 1.1394), (30, 1.2185), (40, 1.3028), (50, 1.3951), (60, 1.4983), (70, 1.6105),
    (80, 1.7272), (90, 1.8144), (96, 1.8355),
))
NITRIC_ACID = Chemical("nitric acid", "HNO3", alkalinity=-1, density=(
    _WATER, (10, 1.0543), (20, 1.1150), (30, 1.1800), (40, 1.2463), (50, 1.3100), (60, 1.3667), (70, 1.4134),
))
ACIDS = (PHOSPHORIC_ACID, HYDROCHLORIC_ACID, SULFURIC_ACID, NITRIC_ACID)
PRODUCTS = (
    PHOSPHORIC_ACID,
    NITRIC_ACID,
    Chemical("monopotassium phosphate", "KH2PO4"),
    Chemical("dipotassium phosphate", "K2HPO4", alkalinity=1),
    Chemical("monocalcium phosphate", "Ca(H2PO4)2.H2O"),
    Chemical("monoammonium phosphate", "NH4H2PO4"),
    Chemical("diammonium phosphate", "(NH4)2HPO4", alkalinity=1),
    Chemical("potassium hydroxide", "KOH", alkalinity=1),
    Chemical("potassium carbonate", "K2CO3", alkalinity=2, carbonate=1),
    Chemical("potassium bicarbonate", "KHCO3", alkalinity=1, carbonate=1),
    Chemical("potassium sulfate", "K2SO4"),
    Chemical("potassium chloride", "KCl"),
    Chemical("potassium nitrate", "KNO3"),
    Chemical("calcium hydroxide", "Ca(OH)2", ("hydrated lime",), alkalinity=2),
    Chemical("calcium carbonate", "CaCO3", alkalinity=2, carbonate=1),
    Chemical("calcium sulfate dihydrate", "CaSO4.2H2O", ("gypsum",)),
    Chemical("calcium chloride", "CaCl2"),
    Chemical("calcium chloride dihydrate", "CaCl2.2H2O"),
    Chemical("calcium nitrate tetrahydrate", "Ca(NO3)2.4H2O"),
    Chemical("magnesium sulfate heptahydrate", "MgSO4.7H2O", ("epsom salt",)),
    Chemical("magnesium chloride hexahydrate", "MgCl2.6H2O"),
    Chemical("magnesium nitrate hexahydrate", "Mg(NO3)2.6H2O"),
    Chemical("iron sulfate heptahydrate", "FeSO4.7H2O"),
    Chemical("sodium bicarbonate", "NaHCO3", ("baking soda",), alkalinity=1, carbonate=1),
    Chemical("sodium nitrate", "NaNO3"),
    Chemical("sodium chloride", "NaCl", ("salt",)),
    Chemical("ammonium sulfate", "(NH4)2SO4"),
    Chemical("ammonium nitrate", "NH4NO3"),
    Chemical("ammonium chloride", "NH4Cl"),
)
IRON_CHELATE = "iron chelate"  # EDTA, DTPA or EDDHA: known by the % Fe on its label


def names(chemicals: Iterable[Chemical]) -> tuple[str, ...]:
    """Every name of every one of them."""
    return tuple(name for chemical in chemicals for name in chemical.names)


@cache
def shares(element: str, ammonium_salts: bool = False) -> dict[str, float]:
    """Grams of the element in a gram of each product, by every name.

    Ammonium salts are left out unless asked for: they add ammonia, and are refused where there are fish. The element
    "TAN" stands for the nitrogen of ammonium itself, which "N" does not count.
    """
    found = {}
    for chemical in dict.fromkeys((*PRODUCTS, *ACIDS)):
        as_ammonium = ATOMIC_WEIGHTS["N"] * chemical.ammonium / chemical.molar_mass
        if element == "TAN":
            share = as_ammonium
        elif chemical.brings_ammonia and not ammonium_salts:
            share = 0.0
        else:
            share = chemical.share(element) - (as_ammonium if element == "N" else 0.0)
        if share:
            found.update(dict.fromkeys(chemical.names, share))
    if element == "Fe":
        found[IRON_CHELATE] = 1.0  # its strength is its % Fe
    return found
