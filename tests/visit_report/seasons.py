"""Farm logs of the scenario's two clients with a few rows, in the log's units, for the tests of the visit report."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from pailbook.demo.scenario import COURT_WALL, SCHOOL_TANK
from pailbook.quantities import LITRES_PER_US_GALLON, METRIC
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.package import set_cells

Rows = Sequence[Mapping[str, Any]]
DAY = date(2026, 5, 1)
CLIENT, OTHER = SCHOOL_TANK.client, COURT_WALL.client
TANK, OTHERS_TANK = SCHOOL_TANK.name, COURT_WALL.name


def systems_in(units: str = METRIC) -> list[dict[str, Any]]:
    """The systems of the two clients, as rows of a log in these units."""
    litres = 1.0 if units == METRIC else LITRES_PER_US_GALLON
    rows = [{"system": one.name, "client": one.client, "species": one.species, "volume": round(one.volume / litres)}
            for one in (SCHOOL_TANK, COURT_WALL)]
    rows[1]["note"] = "gate code 4711"
    return rows


SYSTEMS = systems_in()


@cache
def _blank(units: str) -> tuple[Log, Path]:
    log = farm_log(units, rows=12)
    return log, log.book.save(Path(tempfile.mkdtemp(prefix="season-")) / "blank.xlsx")


def log_file(
    path: Path, rows: Mapping[str, Rows] | None = None, *, units: str = "metric", as_of: date | None = None,
    systems: Rows | None = None,
) -> Path:
    """A farm log with these rows by sheet, never calculated."""
    log, blank = _blank(units)
    cells: dict[str, dict[str, Any]] = {}
    for name, lines in {"Systems": systems or systems_in(units), **(rows or {})}.items():
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
    """A water test on a day after the first, by their distance in days."""
    return {"date": DAY + timedelta(days=day), "system": at, **values}
