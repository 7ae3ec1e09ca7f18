"""The fields of a farm log's water tests that readings fill, and the unit and basis in which they are kept here.

Readings are kept in metric units and in the basis that the field's quantity names, and are converted into the
log's own units and bases when they go in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from pailbook import quantities
from pailbook.quantities import Quantity


@dataclass(frozen=True)
class Field:
    """A measured field. `kind` says which units it can come in, `bases` which bases."""

    key: str
    label: str
    quantity: Quantity
    kind: str
    basis: str = ""
    bases: tuple[str, ...] = ()
    bound_counts: bool = False  # "<0.25" and ">8" go in as the bound itself, since a blank would hide a danger


def _quantity(hint: object) -> Quantity:
    return next(part for part in get_args(hint) if isinstance(part, Quantity))


HARDNESS_BASES = ("CaCO3", "dH", "fH", "gpg", "meq")

MEASURED: dict[str, Field] = {field.key: field for field in (
    Field("temperature", "temperature", _quantity(quantities.WaterTemperature), "temperature"),
    Field("ph", "pH", _quantity(quantities.PH), "ph"),
    Field("oxygen", "dissolved oxygen", _quantity(quantities.Oxygen), "oxygen", bound_counts=True),
    Field("tan", "TAN", _quantity(quantities.TotalAmmonia), "concentration", "N", ("N", "NH3", "NH4"), True),
    Field("nitrite", "nitrite", _quantity(quantities.Concentration), "concentration", "NO2", ("NO2", "N"), True),
    Field("nitrate", "nitrate", _quantity(quantities.Concentration), "concentration", "NO3", ("NO3", "N")),
    Field("phosphate", "phosphate", _quantity(quantities.Phosphate), "concentration", "PO4", ("PO4", "P", "P2O5")),
    Field("alkalinity", "alkalinity", _quantity(quantities.Alkalinity), "hardness", "CaCO3", HARDNESS_BASES),
    Field("hardness", "hardness", _quantity(quantities.Alkalinity), "hardness", "CaCO3", HARDNESS_BASES),
    Field("conductivity", "conductivity", _quantity(quantities.Conductivity), "conductivity"),
)}
