"""Free carbon dioxide from pH and alkalinity, with phosphate's own share of the alkalinity taken off."""

from __future__ import annotations

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY
from pailbook.functions.acids import constants
from pailbook.functions.equilibrium import (
    MG_CACO3_PER_EQ,
    MG_CO2_PER_MOL,
    MG_PO4_PER_MOL,
    TOO_LITTLE_ALKALINITY,
    alkalinity_beside_carbonate,
    paired,
)
from pailbook.functions.ion_pairs import SOURCE as PAIRS_SOURCE
from pailbook.functions.ion_pairs import pairs
from pailbook.quantities import (
    PH,
    Alkalinity,
    Calcium,
    CarbonDioxide,
    Conductivity,
    Magnesium,
    Phosphate,
    WaterTemperature,
)
from pailbook.sources import DAVIES_1962, NIST46, PLUMMER_BUSENBERG_1982


@worksheet_function(
    category=CATEGORY,
    source=(PLUMMER_BUSENBERG_1982.at("table 1"), NIST46.at("phosphate"), DAVIES_1962.at("p. 39"), PAIRS_SOURCE),
    example=(7.3, 80.0, 22.0, 10.0),
)
def carbon_dioxide(
    ph: PH, alkalinity: Alkalinity, temperature: WaterTemperature, phosphate: Phosphate = 0.0,
    conductivity: Conductivity = 0.0, calcium: Calcium = 0.0, magnesium: Magnesium = 0.0,
) -> CarbonDioxide:
    """Free carbon dioxide (CO2), in mg/L. Give the phosphate (as PO4): without it the answer is too high, by about a
    sixth in water with much phosphate.

    Leaving out calcium and magnesium also makes it too high: by 2 to 4 % without phosphate, and with phosphate by 10 %
    and more where the alkalinity is low.
    """
    eq, phosphate_mol = alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL
    held = pairs(calcium, magnesium, temperature, conductivity)
    k, _ = paired(ph, eq, phosphate_mol, constants(temperature, conductivity), held)
    carried = ops.positive(
        eq - alkalinity_beside_carbonate(ph, phosphate_mol, k), TOO_LITTLE_ALKALINITY
    )
    # Each mol of CO2 stands beside 10^(pH-pK1) of free bicarbonate, and each of that beside 10^(pH-pK2) of carbonate.
    bicarbonate_and_carbonate = k.paired.bicarbonate + 2 * 10 ** (ph - k.carbonic_2) * k.paired.carbonate
    return MG_CO2_PER_MOL * carried * 10 ** (k.carbonic_1 - ph) / bicarbonate_and_carbonate
