"""pH of waters that meet air or each other: by alkalinity and carbonate, never by averaging pH."""

from __future__ import annotations

from typing import Annotated

from pailbook.function import worksheet_function
from pailbook.functions.acclimation import CATEGORY
from pailbook.functions.acids import co2_in_balance, constants
from pailbook.functions.equilibrium import MG_CACO3_PER_EQ, MG_PO4_PER_MOL, balanced_ph, carbonate_mol, settled_ph
from pailbook.functions.ion_pairs import SOURCE as PAIRS_SOURCE
from pailbook.functions.ion_pairs import pairs
from pailbook.quantities import (
    PH,
    Alkalinity,
    Calcium,
    Conductivity,
    Magnesium,
    Phosphate,
    Quantity,
    Volume,
    WaterTemperature,
)
from pailbook.sources import DAVIES_1962, NIST46, PLUMMER_BUSENBERG_1982

SOURCE = (PLUMMER_BUSENBERG_1982.at("table 1"), NIST46.at("phosphate"), DAVIES_1962.at("p. 39"))
AirCarbonDioxide = Annotated[float, Quantity(
    "CO2 in the air", "Carbon dioxide in the air above the water; 425 outdoors, more in a closed room", "ppm",
    low=100, high=20000)]


@worksheet_function(category=CATEGORY, source=(*SOURCE, PAIRS_SOURCE), example=(80.0, 24.0), in_steps=True)
def ph_aerated(
    alkalinity: Alkalinity, temperature: WaterTemperature, phosphate: Phosphate = 0.0,
    co2_ppm: AirCarbonDioxide = 425.0, conductivity: Conductivity = 0.0, calcium: Calcium = 0.0,
    magnesium: Magnesium = 0.0,
) -> PH:
    """pH that the water reaches when it is aerated until its carbon dioxide is in balance with the air.

    In hard water enter calcium and magnesium: without them the answer is up to 0.12 too high.
    """
    k = constants(temperature, conductivity)
    co2 = co2_in_balance(co2_ppm, temperature, conductivity)
    held = pairs(calcium, magnesium, temperature, conductivity)
    return settled_ph(alkalinity / MG_CACO3_PER_EQ, co2, phosphate / MG_PO4_PER_MOL, k, held)


@worksheet_function(
    category=CATEGORY, source=SOURCE, example=(36.0, 7.2, 60.0, 20.0, 36.0, 7.8, 130.0, 22.0, 8.0, 3.0), in_steps=True
)
def ph_mix(
    volume_1: Volume, ph_1: PH, alkalinity_1: Alkalinity, temperature_1: WaterTemperature,
    volume_2: Volume, ph_2: PH, alkalinity_2: Alkalinity, temperature_2: WaterTemperature,
    phosphate_1: Phosphate = 0.0, phosphate_2: Phosphate = 0.0, conductivity: Conductivity = 0.0,
) -> PH:
    """pH of two waters mixed in a closed vessel, from the alkalinity, carbonate and phosphate of each.

    Calcium and magnesium are not counted; in hard water the answer may be off by 0.04.
    """
    share = volume_1 / (volume_1 + volume_2)
    temperature = share * temperature_1 + (1 - share) * temperature_2
    waters = ((ph_1, alkalinity_1, temperature_1, phosphate_1), (ph_2, alkalinity_2, temperature_2, phosphate_2))
    carbonates = [
        carbonate_mol(ph, alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL, constants(t, conductivity))
        for ph, alkalinity, t, phosphate in waters
    ]
    return balanced_ph(
        (share * alkalinity_1 + (1 - share) * alkalinity_2) / MG_CACO3_PER_EQ,
        share * carbonates[0] + (1 - share) * carbonates[1],
        (share * phosphate_1 + (1 - share) * phosphate_2) / MG_PO4_PER_MOL,
        constants(temperature, conductivity),
        share * ph_1 + (1 - share) * ph_2,  # a start for the search only
    )
