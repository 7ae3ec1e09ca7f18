"""The kits in use in a log's file: what each can show, in the log's own basis, and until when it is good."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pailbook.rules.faults import complaint, read
from pailbook.workbook.farm_log import kit_columns, kit_rules
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Row, Season


@dataclass(frozen=True)
class KitInUse:
    """The kit with which a reading is taken.

    low, high, resolution : in the basis in which the log calculates; None where that is not known.
    expiry : its last day; None where none is typed.
    complaint : what is wrong with its entries, with its name; empty where nothing is.
    """

    row: Row
    reads: kit_columns.Reads
    name: str
    low: float | None
    high: float | None
    resolution: float | None
    expiry: float | None
    complaint: str


def kits_in_use(season: Season) -> dict[str, KitInUse]:
    """The kit in use for each reading, by its key; where there are several, the last one on the list."""
    found = {}
    rows = [row for row in season.rows(kit_columns.SHEET) if folded(row["in_use"]) == kit_columns.IN_USE]
    for reads in kit_columns.READS:
        mine = [row for row in rows if folded(row["reads"]) == folded(reads.label)]
        if mine:
            found[reads.key] = _of(season, mine[-1], reads)
    return found


def _of(season: Season, row: Row, reads: kit_columns.Reads) -> KitInUse:
    wrong: dict[str, str] = {}
    for one in kit_rules.kit.questions:
        if one.name in kit_rules.ENTERED and (
                said := complaint(one, read(one, row[one.name], season.units), season.units)):
            wrong[one.name] = said
    name = str(row["kit"]).strip() if row["kit"] is not None and "kit" not in wrong else f"the kit for {reads.label}"
    factor = season.factors.get(reads.key, 1.0)
    same = not reads.basis or row["basis"] in (None, season.bases[reads.basis])

    def number(key: str, needs_basis: bool = True) -> Any:
        value = row.number_of(key)
        if value is None or key in wrong or factor is None or not same:
            return None
        return value * factor

    expiry = row.number_of("expiry")
    return KitInUse(row, reads, name, number("low"), number("high"), number("resolution"),
                    None if "expiry" in wrong else expiry,
                    f"{next(iter(wrong.values()))} ({name})" if wrong else "")
