"""Farm logs with a few invented rows, each number in the log's own units, for the tests of the visit report."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.package import set_cells

Rows = Sequence[Mapping[str, Any]]
DAY = date(2026, 5, 1)
CLIENT, OTHER = "Marsh Lane Nursery", "Dr. Ottoline Ferrow-Quist"
TANK, OTHERS_TANK = "Big tank", "Vault of carp"
SYSTEMS: list[dict[str, Any]] = [
    {"system": TANK, "client": CLIENT, "species": "tilapia", "volume": 2000.0, "found": "flow meter"},
    {"system": OTHERS_TANK, "client": OTHER, "species": "koi", "volume": 900.0, "note": "gate code 4711"},
]


@cache
def _blank(units: str) -> tuple[Log, Path]:
    log = farm_log(units, rows=12)
    return log, log.book.save(Path(tempfile.mkdtemp(prefix="season-")) / "blank.xlsx")


def log_file(
    path: Path, rows: Mapping[str, Rows] | None = None, *, units: str = "metric", as_of: date | None = None,
    systems: Rows = tuple(SYSTEMS),
) -> Path:
    """A farm log with these rows by sheet, never computed."""
    log, blank = _blank(units)
    cells: dict[str, dict[str, Any]] = {}
    for name, lines in {"Systems": systems, **(rows or {})}.items():
        table = log[name]
        for number, line in enumerate(lines, table.first_row):
            for key, value in line.items():
                cells.setdefault(name, {})[f"{table.letter(key)}{number}"] = value
    if as_of is not None:
        sheet, cell = log.book.named("as_of").split("!")
        cells.setdefault(sheet, {})[cell.replace("$", "")] = as_of
    set_cells(blank, path, cells)
    return path


def reading(day: int, at: str = TANK, **values: Any) -> dict[str, Any]:
    """A water test so many days after the first."""
    return {"date": DAY + timedelta(days=day), "system": at, **values}
