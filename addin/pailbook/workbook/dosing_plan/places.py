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
CLEAN_KEYS = (  # of boxes and results that rules ask; those of boxes first
    *(key for key in INPUT_KEYS if key not in ("strength", "density")), "dose_per", "latest", "count", "uptake",
    "uptake_error", "action", "next_date", "next_dose",
)
FOUND_KEYS = (
    "state", "words", "factor", "limit_factor", "dose_unit", "dose_per", "latest_at", "latest_date", "latest", "topped",
    "count", "uptake", "uptake_error", "action", "days_to_low", "next_row", "next_date", "next_dose", "word", "used",
    "readings", "topped_flag", "known_factor", "known_per", *(f"clean_{key}" for key in CLEAN_KEYS),
)
FACT_KEYS = (
    "tests", "refill", "at_limit", "today", "date_today", "latest_date", "dose_unit", "next_second", "days_of_dosing",
    "mono", "di", "mono_unit", "di_unit", "scale_index", "calcium_there", "ph_asked", "acid_strength",
)
FACTS = ("I", "J", "K")  # hidden columns of Nutrients for numbers of the whole plan: what it is, number, clean cell
_FIRST = 6


def row_of(key: str) -> int:
    """The row of the sheet "Nutrients" on which something stands."""
    keys = (*INPUT_KEYS, "", *FOUND_KEYS)
    return _FIRST + keys.index(key)


def cell(nutrient: Nutrient, key: str) -> str:
    """The cell of the sheet "Nutrients" that holds this for the nutrient."""
    return f"{SHEETS['targets']}!${get_column_letter(2 + NUTRIENTS.index(nutrient))}${row_of(key)}"


def clean_cell(nutrient: Nutrient, key: str) -> str:
    """The clean cell of a box or result of the nutrient."""
    plain = {"used": "used", "readings": "readings", "topped": "topped_flag"}
    return cell(nutrient, plain.get(key, key if key.startswith("known_") else f"clean_{key}"))


def fact_row(key: str) -> int:
    """The row of Nutrients on which a number of the whole plan stands."""
    return _FIRST + FACT_KEYS.index(key)


def clean_fact(key: str) -> str:
    """The clean cell of a number of the whole plan, as any sheet may name it."""
    return f"{SHEETS['targets']}!${FACTS[2]}${fact_row(key)}"


def dose_unit(nutrient: Nutrient) -> str:
    """Formula text for the unit of a nutrient's doses."""
    unit = cell(nutrient, "dose_unit")
    return f'IF({unit}="","g or mL",{unit})'
