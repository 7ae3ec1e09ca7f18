"""The fields of a farm log's water tests that readings fill, and the unit and basis in which they are kept here.

Names, limits and bases are those of the log's columns. Readings are kept in metric units and in the basis in which
the log calculates; when they are entered they are converted into the units and bases that the log's owner has chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.quantity import Quantity
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.farm_log.water_tests import INPUTS


@dataclass(frozen=True)
class Field:
    """A measured field. `kind` says in which units it can come, `bases` in which bases; `basis` is the one kept here.

    `bounds` are the signs with which a bound is entered as the number itself: "<0.25" of a poison errs on the safe
    side, ">8" at least raises the alarm that a blank would hide. For the others (pH, alkalinity, phosphate above its
    kit's range) a dose would be calculated from a number that nobody read, so the cell stays blank and the note says
    what was read.
    """

    key: str
    label: str
    quantity: Quantity
    kind: str
    basis: str = ""
    bases: tuple[str, ...] = ()
    bounds: str = ""

    @property
    def name(self) -> str:
        """What the field is called within a sentence."""
        return within_sentence(self.label)

    @property
    def is_poison(self) -> bool:
        """Whether only too much of it harms, so that a number above the true one is on the safe side."""
        return self.key in _POISONS


def within_sentence(label: str) -> str:
    """A label as it stands within a sentence: total ammonia (TAN), pH."""
    return label if label[:2].isupper() or label == "pH" else label[:1].lower() + label[1:]


_POISONS = ("tan", "nitrite", "nitrate")
_BOUNDS = {"oxygen": "<>", "tan": "<>", "nitrite": "<>", "nitrate": "<>", "phosphate": "<"}


def _field(column: Column, quantity: Quantity) -> Field:
    basis = next((basis for basis in BASES if basis.name == column.basis), None)
    if basis is None:
        return Field(column.key, column.heading, quantity, column.key, bounds=_BOUNDS.get(column.key, ""))
    kind = "hardness" if basis.hardness else "concentration"
    return Field(column.key, column.heading, quantity, kind, basis.target, basis.choices, _BOUNDS.get(column.key, ""))


MEASURED: dict[str, Field] = {
    column.key: _field(column, column.quantity) for column in INPUTS if column.quantity is not None
}
