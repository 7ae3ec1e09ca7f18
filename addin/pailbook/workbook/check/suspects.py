"""Units and bases in which a number may have been typed by mistake, by how many times too large or small it is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pailbook.quantities import METRIC
from pailbook.terms import UNIONISED_AMMONIA
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.readings.fields import MEASURED, within_sentence
from pailbook.workbook.readings.units import in_basis, to_basis

NEAR = math.log(1.15)  # how far from a unit's factor a number may be; common practice, no source
FAR = math.log(1.6)  # factors closer to 1 may as well be a true change; common practice, no source
_THOUSAND = {"tan": "µg/L", "nitrite": "µg/L", "nitrate": "µg/L", "phosphate": "µg/L", "oxygen": "µg/L"}
_ALIKE = 2.0  # °C within which a temperature in the other unit is like the others; common practice, no source


@dataclass(frozen=True)
class Suspect:
    """What the number was probably typed in, what it would be in the column's own unit, and how many times less."""

    typed_in: str
    instead: float
    times: float = 1.0


def suspect(log: FarmLog, key: str, value: float, usual: float, share: float | None = None) -> Suspect | None:
    """The other unit or basis in which the number is like the system's usual one; None if no unit explains it.

    Parameters
    ----------
    key : of the column.
    value, usual : as typed.
    share : of the ammonia that is un-ionised at the test's pH and temperature, if it is known.
    """
    if key == "temperature":
        return _temperature(log, value, usual)
    if key == "ph" or value <= 0 or usual <= 0:
        return None
    factors = [one for one in _factors(log, key, share) if abs(math.log(one[1])) > FAR]
    if not factors:
        return None
    name, factor = min(factors, key=lambda one: abs(math.log(value / usual / one[1])))
    return Suspect(name, value / factor, factor) if abs(math.log(value / usual / factor)) < NEAR else None


def _temperature(log: FarmLog, value: float, usual: float) -> Suspect | None:
    other, instead = ("°F", (value - 32) / 1.8) if log.units == METRIC else ("°C", value * 1.8 + 32)
    alike = _ALIKE if log.units == METRIC else _ALIKE * 1.8
    return Suspect(other, instead) if abs(instead - usual) <= alike < abs(value - usual) else None


def _factors(log: FarmLog, key: str, share: float | None) -> Iterator[tuple[str, float]]:
    """Other units and bases, and how many times larger a number is in them."""
    field, own = MEASURED[key], log.basis(key)
    for basis in field.bases:
        if own is not None and basis != own:
            yield in_basis(basis), to_basis(field, 1.0, own, basis)
    if key in _THOUSAND:
        yield _THOUSAND[key], 1000.0
    if key == "conductivity":
        yield "mS/cm", 0.001
    if key == "tan" and share:
        yield within_sentence(UNIONISED_AMMONIA), share
