"""A small farm log of North raft in which all is in order; tests change a cell and look at what is found."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl

from pailbook.demo.scenario import NORTH_RAFT
from pailbook.workbook.check.finding import CALM, Finding
from pailbook.workbook.check.run import check
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.package import Workbook, set_cells
from pailbook.workbook.recalc import own_cells

FIRST_DAY, TESTS, DAYS = date(2026, 3, 2), 10, 3
LAST = TESTS - 1  # the number of the latest test, counted from 0
LAST_DAY = FIRST_DAY + timedelta(days=DAYS * LAST)
RAFT = NORTH_RAFT.name
Changes = Mapping[str, Mapping[tuple[str, int], Any]]  # by sheet, key of the column and number of the row, from 0

SEASON: dict[str, list[dict[str, Any]]] = {
    "Systems": [{"system": RAFT, "species": NORTH_RAFT.species, "volume": NORTH_RAFT.volume, "found": "flow meter",
                 "source": NORTH_RAFT.source}],
    "Kits": [
        {"kit": "pH meter", "reads": "pH", "resolution": 0.01, "low": 0.0, "high": 14.0, "in_use": "yes"},
        {"kit": "phosphate powder sachets", "reads": "phosphate", "basis": "PO4", "resolution": 0.5, "low": 0.5,
         "high": 25.0, "expiry": date(2026, 5, 31), "in_use": "yes"},
        {"kit": "alkalinity drops", "reads": "alkalinity", "basis": "CaCO3", "resolution": 5.0, "low": 5.0,
         "high": 300.0, "expiry": date(2027, 8, 1), "in_use": "yes"},
    ],
    "Water tests": [
        {"date": FIRST_DAY + timedelta(days=DAYS * i), "system": RAFT, "temperature": 22.0 + 0.2 * (i % 3), "ph": 7.4,
         "oxygen": 7.5, "tan": 0.3, "nitrite": 0.2, "nitrate": 60.0 + i, "phosphate": 12.0 - 0.5 * (i // 2),
         "alkalinity": 80.0 + i % 2, "conductivity": 590.0}
        for i in range(TESTS)
    ],
    "Fish": [
        {"date": FIRST_DAY, "system": RAFT, "event": "stocked", "count": 100, "mean": 50.0},
        {"date": FIRST_DAY + timedelta(days=8), "system": RAFT, "event": "died", "count": 2},
        {"date": FIRST_DAY + timedelta(days=20), "system": RAFT, "event": "weighed", "count": 20, "mean": 61.0},
    ],
}


@cache
def blank(units: str = "metric", plain: bool = False) -> tuple[Log, bytes]:
    """A blank log and its file."""
    log = farm_log(units, plain, rows=12)
    with tempfile.TemporaryDirectory() as folder:
        return log, log.book.save(Path(folder) / "log.xlsx").read_bytes()


def small_log(
    folder: Path, changes: Changes | None = None, *, units: str = "metric", plain: bool = False,
    as_of: date | None = LAST_DAY + timedelta(days=1), name: str = "log.xlsx",
) -> Path:
    """The log with these cells changed; the season's numbers are converted to its units, changes are typed as given."""
    log, content = blank(units, plain)
    path = folder / name
    path.write_bytes(content)
    cells: dict[str, dict[str, Any]] = {}
    for sheet, rows in SEASON.items():
        for number, row in enumerate(rows):
            for key, value in row.items():
                quantity = log[sheet].column(key).quantity
                shown = log.book.show(quantity, value) if quantity is not None else value
                cells.setdefault(sheet, {})[address(sheet, key, number)] = shown
    for sheet, own in (changes or {}).items():
        cells.setdefault(sheet, {}).update({address(sheet, *place): value for place, value in own.items()})
    sheet, cell = own_cells(Workbook(path))["as_of"]
    cells[sheet] = {cell: as_of}
    set_cells(path, path, cells, overwrite=True)
    return path


def address(sheet: str, key: str, number: int) -> str:
    """The cell of a column in the table's row of that number."""
    table = blank()[0][sheet]
    return f"{table.letter(key)}{table.first_row + number}"


def place(sheet: str, key: str, number: int) -> str:
    """The same with its sheet."""
    return f"{sheet}!{address(sheet, key, number)}"


def serious(findings: list[Finding]) -> list[Finding]:
    """Those that say act, not known or watch."""
    return [finding for finding in findings if finding.verdict not in CALM]


def found_in(path: Path) -> set[tuple[str, str, str]]:
    """Verdict, kind and place of all that is found."""
    return {(finding.verdict, finding.kind, finding.place) for finding in check(path, most=None)}


def edited(path: Path, changes: dict[str, dict[str, Any]]) -> Path:
    """The file with these cells typed over, formulas too."""
    book = openpyxl.load_workbook(path)
    for sheet, cells in changes.items():
        for cell, value in cells.items():
            book[sheet][cell].value = value
    book.save(path)
    return path
