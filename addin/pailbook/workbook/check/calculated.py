"""What is calculated from a row of water tests, with the add-in's functions and without the workbook's own formulas.

So a formula that somebody typed over hides nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome

IN_BASIS = {"tan_n": "tan", "no2": "nitrite", "no3": "nitrate", "po4": "phosphate"}


def calculated(
    record: Mapping[str, Any], factors: Mapping[str, float], elevation: float, units: str
) -> tuple[dict[str, Any], bool]:
    """What is calculated from a row, by the keys of the log's own results, and whether nothing was refused.

    Parameters
    ----------
    record : the readings as typed.
    factors : how many units in which the log calculates one typed unit is.
    elevation, units : the elevation of the system; the unit system of the log.

    A result is None if a reading is missing or the function refused the readings.
    """
    found: dict[str, Any] = {}
    for result, key in IN_BASIS.items():
        value = number(record.get(key))
        found[result] = None if value is None else value * factors[key]
    ph, temperature, oxygen, ec, alkalinity = (
        number(record.get(key)) for key in ("ph", "temperature", "oxygen", "conductivity", "alkalinity"))
    caco3 = None if alkalinity is None else alkalinity * factors["alkalinity"]
    answered = True
    for key, name, needed, others in (
        ("nh3", "AMMONIA_UNIONIZED", (found["tan_n"], ph, temperature), (ec,)),
        ("saturation", "OXYGEN_PERCENT", (oxygen, temperature), (0.0, elevation)),
        ("co2", "CARBON_DIOXIDE", (ph, caco3, temperature), (found["po4"], ec)),
    ):
        found[key] = None
        if None not in needed:
            function = CATALOGUE[name]
            given = [*needed, *others]
            blanks = [None] * (len(function.arguments) - len(given))
            try:
                found[key] = call(function, [*given, *blanks, units] if function.has_units else given)
            except Outcome:
                answered = False
    return found, answered


def number(value: Any) -> float | None:
    """A cell's number, None for anything else."""
    return value if isinstance(value, float) else None
