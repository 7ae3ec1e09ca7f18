"""Sensor nonsense: numbers that no water can have, with the reason why they are not entered.

The limits are the quantities' own. What is listed here only explains a number, or catches what lies within the limits
but is not a reading: a probe in the air, a meter that stays at 0.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from pailbook.quantity import METRIC
from pailbook.workbook.readings.fields import Field
from pailbook.workbook.readings.units import Unit

# Common practice, no source: what digital temperature probes show when they are not measuring, and the placeholders
# that loggers write when there is no reading.
_PROBE_MARKS = {-127.0: "a digital probe shows this when it is not connected",
                85.0: "a digital probe shows this after power-on, before its first measurement"}
_PLACEHOLDERS = frozenset((-999.0, -9999.0, -99999.0, -99.0, -99.9, -999.9, 9999.0, 99999.0))
STANDSTILL_READINGS, STANDSTILL = 3, datetime.timedelta(hours=1)


def why_not(field: Field, kept: float, found: float, unit: Unit) -> str:
    """Why a value cannot be a reading of the field, or "".

    Parameters
    ----------
    kept : the value in the unit and basis kept here.
    found : the value as it was written, in the unit.
    """
    if field.key == "conductivity" and kept == 0:
        return "cannot be right, because water with fish in it conducts; the probe was probably in the air"
    if not any(field.quantity.outside(kept)):
        return ""
    converted = f" (that is {kept:.6g})" if unit.system == METRIC and kept != found else ""
    reason = f"is outside the limits{converted}; expected {field.quantity.expected(unit.system)}"
    if field.kind == "temperature" and round(kept, 2) in _PROBE_MARKS:
        return f"{reason}; {_PROBE_MARKS[round(kept, 2)]}"
    if found in _PLACEHOLDERS:
        return f"{reason}; loggers write this number when there is no reading"
    if field.key == "oxygen" and kept > 0:
        return f"{reason}; it may be percent of saturation"
    return reason


def standstill(times: Sequence[datetime.datetime], values: Sequence[float]) -> list[int]:
    """Places of readings of 0 that are repeated for so long that the meter was probably not measuring.

    The readings are of one system, in the order of time. A single 0 stays: it may be true, and then it is urgent.
    """
    places: list[int] = []
    run: list[int] = []
    for place, value in enumerate([*values, float("nan")]):
        if value == 0:
            run.append(place)
            continue
        if len(run) >= STANDSTILL_READINGS and times[run[-1]] - times[run[0]] >= STANDSTILL:
            places += run
        run = []
    return places
