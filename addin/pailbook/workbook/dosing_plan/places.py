"""Where things stand: sheet names and the rows of the sheet "Nutrients", so that all sheets can refer to them."""

from __future__ import annotations

from openpyxl.utils import get_column_letter

from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, Nutrient
from pailbook.workbook.names import PREFIXES

AS_OF, SCALE_INDEX = (f"{PREFIXES['Dosing plan']}{key}" for key in ("as_of", "scale_index"))
SHEETS = {
    "targets": "Nutrients", "products": "Phosphate", "readings": "Readings", "calendar": "Calendar",
    "others": "Other nutrients", "ph": "pH dose", "chart": "Chart", "fit": "Uptake data", "data": "Chart data",
}
INPUT_KEYS = ("basis", "resolution", "kit_low", "kit_high", "low", "high", "incoming", "product", "strength", "density")
FOUND_KEYS = (
    "state", "words", "factor", "limit_factor", "dose_unit", "dose_per", "latest_at", "latest_date", "latest", "topped",
    "count", "uptake", "uptake_error", "action", "days_to_low", "next_row", "next_date", "next_dose",
)
_FIRST = 6


def row_of(key: str) -> int:
    """The row of the sheet "Nutrients" on which something stands."""
    keys = (*INPUT_KEYS, "", *FOUND_KEYS)
    return _FIRST + keys.index(key)


def cell(nutrient: Nutrient, key: str) -> str:
    """The cell of the sheet "Nutrients" that holds this for the nutrient."""
    return f"{SHEETS['targets']}!${get_column_letter(2 + NUTRIENTS.index(nutrient))}${row_of(key)}"


def dose_unit(nutrient: Nutrient) -> str:
    """Formula text for the unit of a nutrient's doses."""
    unit = cell(nutrient, "dose_unit")
    return f'IF({unit}="","g or mL",{unit})'
