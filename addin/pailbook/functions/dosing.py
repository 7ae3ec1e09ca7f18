"""What a chemical does to pH, at once and after the carbon dioxide has settled, and the dose for a change of pH.

Right after a dose the total of carbonate is what the chemical made it; hours later breathing and air have brought free
CO2 back to what it was before. The two pH values differ a lot, and so do the doses for the same change.
"""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY, PHNow, PHWanted
from pailbook.functions.acids import Constants, carbonate, constants, phosphate
from pailbook.functions.bottle import in_bottle, pure_in
from pailbook.functions.chemicals import ACIDS, PRODUCTS, atoms, names
from pailbook.functions.equilibrium import (
    MG_CACO3_PER_EQ,
    MG_PO4_PER_MOL,
    PAIRING_ROUNDS,
    alkalinity_beside_carbonate,
    balanced_ph,
    carbonate_mol,
    paired,
    settled_ph,
)
from pailbook.functions.ion_pairs import SOURCE as PAIRS_SOURCE
from pailbook.functions.ion_pairs import Pairs, pairs
from pailbook.quantities import (
    PH,
    Alkalinity,
    Amount,
    Calcium,
    Conductivity,
    Density,
    Dose,
    Magnesium,
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
    HANDBOOK_DENSITY.at("acids"), PAIRS_SOURCE,
)
CALCITE_PH = 7.5  # above it calcium carbonate dissolves too slowly to count on
_TOO_SLOW = 'calcium carbonate dissolves too slowly: use "settled", and a pH of 7.5 at most'

PHChemical = Annotated[str, Quantity(
    "chemical", "Base or acid, by name or formula", choices=names(PH_CHEMICALS))]
DoseTiming = Annotated[str, Quantity(
    "timing", "at once; settled, hours later, when free CO2 is back to what it was; or safe, the smaller of the two",
    choices=("safe", "at once", "settled"))]
PHTiming = Annotated[str, Quantity(
    "timing", "at once; or settled, hours later, when free CO2 is back to what it was", choices=("at once", "settled"))]


def _table(value: Any) -> dict[str, float]:
    return {name: value(chemical) for chemical in PH_CHEMICALS for name in chemical.names}


class PerMol(NamedTuple):
    """What a mol of a chemical brings: equivalents of alkalinity, mol of carbonate, phosphate and calcium."""

    alkalinity: Any
    carbonate: Any
    phosphate: Any
    calcium: Any


def per_mol_of(chemical: Any) -> tuple[PerMol, Any]:
    """What a mol of the chemical brings, and the grams in it."""

    def of(value: Any) -> Any:
        return ops.pick(chemical, _table(value), "chemical")

    def holds(element: str) -> Any:
        return of(lambda c: float(atoms(c.formula)[element]))

    brings = PerMol(of(lambda c: float(c.alkalinity)), of(lambda c: float(c.carbonate)), holds("P"), holds("Ca"))
    return brings, of(lambda c: c.molar_mass)


def _is_calcite(chemical: Any) -> Any:
    return (chemical == "calcium carbonate") | (chemical == "CaCO3")


def _with_pairs(chemical: Any, calcium: Any, magnesium: Any) -> tuple[PerMol, Any]:
    """As `per_mol_of`; the calcium that it brings pairs too, where pairs are counted at all."""
    brings, grams = per_mol_of(chemical)
    return brings._replace(calcium=ops.where(calcium + magnesium > 0, brings.calcium, 0.0)), grams


def dose_mol(
    brings: PerMol, ph_from: Any, ph_to: Any, alkalinity: Any, phosphate_mol: Any, k: Constants, held: Pairs
) -> tuple[Any, Any]:
    """Mol/L that move pH to a target, at once and settled; alkalinity in eq/L. Negative: it moves the other way."""
    here, free_before = paired(ph_from, alkalinity, phosphate_mol, k, held)
    total = carbonate_mol(ph_from, alkalinity, phosphate_mol, here)
    co2 = total / carbonate(ph_from, here).total

    def at_once(after: Constants) -> Any:
        c, m = carbonate(ph_to, after), phosphate(ph_to, after).charge
        n = c.charge / c.total
        beside = alkalinity_beside_carbonate(ph_to, phosphate_mol, after) - alkalinity
        return (total * n + beside) / (brings.alkalinity - brings.carbonate * n - brings.phosphate * m)

    def settled(after: Constants) -> Any:
        beside = alkalinity_beside_carbonate(ph_to, phosphate_mol, after) - alkalinity
        m = phosphate(ph_to, after).charge
        return (co2 * carbonate(ph_to, after).charge + beside) / (brings.alkalinity - brings.phosphate * m)

    def found(dose: Any, closed: bool) -> Any:
        """The dose with the pairs as they are after it."""
        mol = ops.maximum(dose(here), 0.0)  # near enough to know how many pairs there are
        after, po4 = held.with_calcium(mol * brings.calcium), phosphate_mol + mol * brings.phosphate
        free = free_before
        for _ in range(PAIRING_ROUNDS):
            if closed:
                free = after.free_in_closed(ph_to, total + mol * brings.carbonate, po4, k, free)
            else:
                free = after.free_beside_co2(ph_to, co2, po4, k, free)
        return dose(after.acting(k, free))

    return found(at_once, closed=True), found(settled, closed=False)


@worksheet_function(category=CATEGORY, source=SOURCE, example=("KHCO3", 1900.0, 7.2, 7.4, 60.0, 24.0, 8.0))
def ph_dose(
    chemical: PHChemical, volume: Volume, ph_from: PHNow, ph_to: PHWanted, alkalinity: Alkalinity,
    temperature: WaterTemperature, phosphate: Phosphate = 0.0, strength: Strength = 0.0, timing: DoseTiming = "safe",
    conductivity: Conductivity = 0.0, density: Density = 0.0, calcium: Calcium = 0.0, magnesium: Magnesium = 0.0,
) -> Dose:
    """Dose of a base or an acid that moves the pH to a target: g of a solid, mL of an acid. If timing is left out, it
    is the smaller of the doses for "at once" and "settled".

    An acid needs the strength printed on its label. For calcium carbonate there is only the dose for "settled", up to
    pH 7.5. Check the dose with PH_AFTER_DOSE, add it slowly where the water moves, and change the pH by 0.2 a day at
    most. Bases and acids burn: wear gloves and goggles, and pour acid into water, never water into acid.

    If calcium and magnesium are given, the dose hits the target within 0.02 pH, and a dose of 50 g or more per m³ (1000
    L) of water within 0.05. Without them it misses by up to 0.03 at once and 0.06 settled in hard water, and by more
    above pH 7.5. Above pH 7.5 a dose of more than 500 g per m³, which a bicarbonate may need near its own pH of 8.3, is
    a rough guess.
    """
    k = constants(temperature, conductivity)
    brings, grams = _with_pairs(chemical, calcium, magnesium)
    held = pairs(calcium, magnesium, temperature, conductivity)
    eq, phosphate_mol = alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL
    slow = _is_calcite(chemical)

    def needed() -> Any:
        at_once, settled = dose_mol(brings, ph_from, ph_to, eq, phosphate_mol, k, held)
        safe = ops.where(timing == "at once", at_once, ops.minimum(at_once, settled))
        return ops.where((timing == "settled") | slow, settled, safe)

    mol = ops.where(ph_to == ph_from, 0.0, needed)  # rounding would make a dose of 0 a little less than 0
    possible = ops.where(slow, (timing != "at once") & (ph_to <= CALCITE_PH), True)
    return ops.require(
        possible,
        lambda: in_bottle(
            ACIDS, chemical, ops.positive(mol, "this chemical cannot move the pH to that target") * volume * grams,
            strength, density,
        ),
        _TOO_SLOW,
    )


@worksheet_function(
    category=CATEGORY, source=SOURCE, example=("KOH", 6.0, 1900.0, 7.2, 60.0, 24.0, 8.0), in_steps=True
)
def ph_after_dose(
    chemical: PHChemical, amount: Amount, volume: Volume, ph: PHNow, alkalinity: Alkalinity,
    temperature: WaterTemperature, phosphate: Phosphate = 0.0, strength: Strength = 0.0, timing: PHTiming = "at once",
    conductivity: Conductivity = 0.0, density: Density = 0.0, calcium: Calcium = 0.0, magnesium: Magnesium = 0.0,
) -> PH:
    """pH after a dose of a base or an acid: at once; or settled, hours later, when free CO2 is back to what it was.

    In hard water enter calcium and magnesium: without them the pH at once after a large dose of a base is too high, for
    example 9.0 instead of 8.5. From pH 9 on lime precipitates, and the answer is a warning rather than a number.
    """
    k = constants(temperature, conductivity)
    brings, grams = _with_pairs(chemical, calcium, magnesium)
    mol = pure_in(ACIDS, chemical, amount, strength, density) / grams / volume
    held = pairs(calcium, magnesium, temperature, conductivity)
    eq, phosphate_mol = alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL
    here, free = paired(ph, eq, phosphate_mol, k, held)
    total = carbonate_mol(ph, eq, phosphate_mol, here)
    eq_after, phosphate_after = eq + mol * brings.alkalinity, phosphate_mol + mol * brings.phosphate
    held_after = held.with_calcium(mol * brings.calcium)
    slow = _is_calcite(chemical)

    def settled() -> Any:
        after = settled_ph(eq_after, total / carbonate(ph, here).total, phosphate_after, k, held_after, free)
        return ops.require(ops.where(slow, after <= CALCITE_PH, True), after, _TOO_SLOW)

    return ops.where(
        timing == "at once",
        lambda: ops.require(
            ops.where(slow, False, True),
            lambda: balanced_ph(eq_after, total + mol * brings.carbonate, phosphate_after, k, ph, held_after, free),
            _TOO_SLOW,
        ),
        settled,
    )
