"""The columns of the sheet "Kits", and what its kits and meters read."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook import terms
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log.entries import ENTRIES
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.measures import KIT_READING, KIT_RESOLUTION

SHEET = "Kits"
IN_USE, NOT_IN_USE = "yes", "no"


@dataclass(frozen=True)
class Reads:
    """Something that a kit or meter reads."""

    key: str  # of the column of water tests
    label: str
    basis: str = ""  # the setting with the basis of its readings
    ends: tuple[str, ...] = ()  # "low", "high": the ends of its kit's range at which the true value matters

    def at_end(self, end: str) -> str:
        """What is said of a reading at that end of its kit's range; empty where it does not matter."""
        if end not in self.ends:
            return ""
        where, may = ("lower", "lower") if end == "low" else ("upper", "higher")
        return f"{self.label} at the {where} end of its kit, may be {may}"


# In the order of the columns of water tests.
READS = (
    Reads("ph", "pH", ends=("low", "high")), Reads("oxygen", "dissolved oxygen"),
    Reads("tan", "ammonia", "basis_ammonia", ("high",)), Reads("nitrite", "nitrite", "basis_nitrite", ("high",)),
    Reads("nitrate", "nitrate", "basis_nitrate", ("high",)),
    Reads("phosphate", "phosphate", "basis_phosphate", ("high",)),
    Reads("alkalinity", "alkalinity", "basis_alkalinity", ("low",)),
    Reads("hardness", "hardness", "basis_hardness"), Reads("conductivity", "conductivity"),
)
LABELS = tuple(reads.label for reads in READS)
ALL_BASES = tuple(dict.fromkeys(choice for basis in BASES for choice in basis.choices))
COLUMNS = (
    Column("kit", "Kit or meter", kind="text", width=26),
    Column("reads", "Reads", kind="choice", width=16, choices=LABELS),
    Column("basis", "Basis on its label", kind="choice", width=11, choices=ALL_BASES,
           help="As its leaflet says: PO4 or P, NO3 or N, NH3 or N. Leave blank for pH, oxygen and conductivity."),
    Column("resolution", terms.RESOLUTION, KIT_RESOLUTION, width=11,
           help="The smallest difference that it can show, in its own unit"),
    Column("low", "Lowest reading", KIT_READING, width=11, help="Below this it shows no difference"),
    Column("high", "Highest reading", KIT_READING, width=11, help="Above this it shows no difference"),
    Column("expiry", "Use by", kind="date", width=11),
    Column("in_use", "In use", kind="choice", width=11, choices=(IN_USE, NOT_IN_USE),
           help="One kit in use for each reading: its range and its date are what readings are judged by."),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=54),
    ENTRIES,
    Column("log_basis", "Basis of its readings on Settings", kind="result", width=9, hidden=True),
    Column("use", "Place among the kits in use", kind="result", width=9, hidden=True),
)
