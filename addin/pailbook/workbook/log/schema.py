"""What a farm log consists of: its tables, and the named cells that its readings depend on."""

from __future__ import annotations

from pailbook.quantity import UNIT_SYSTEMS
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import fish, kits, registers, systems, upkeep, water_moves, water_tests
from pailbook.workbook.farm_log.settings import BASES

TABLES: tuple[Table, ...] = (
    systems.table(), kits.table(), water_tests.table(), fish.table(),
    *(registers.table(name, rows) for name, rows in registers.ROWS.items()),
    *(water_moves.table(name) for name in water_moves.COLUMNS),
    upkeep.table(),
)
UNITS, FARM, ELEVATION, AS_OF = "units", "farm", "elevation", "as_of"
# The settings on which readings depend, with what they may be.
SETTINGS = {UNITS: UNIT_SYSTEMS} | {basis.name: basis.choices for basis in BASES}
NEEDED = ("date", "system")  # columns without which it is not clear what a row belongs to


def table_of(sheet: str) -> Table:
    """The table of that sheet in a blank log."""
    return next(table for table in TABLES if table.sheet == sheet)
