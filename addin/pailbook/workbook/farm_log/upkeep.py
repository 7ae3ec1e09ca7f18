"""Sheet "Upkeep": meters calibrated, pumps and filters cleaned, backup air tried; and what is due next."""

from __future__ import annotations

from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.measures import DAYS_BETWEEN
from pailbook.workbook.sheets import write_table

SHEET = "Upkeep"
ROWS = 80
COLUMNS = (
    Column("date", "Done on", kind="date", width=11),
    Column("system", "System", kind="choice", width=14, help="Blank for what serves the whole farm."),
    Column("item", "What", kind="choice", width=22, choices=(
        "pH meter calibrated", "DO meter calibrated", "EC meter calibrated", "pump cleaned", "filter cleaned",
        "air stones cleaned", "backup air tried", "battery tried", "pipes cleaned", "nets disinfected", "other")),
    Column("which", "Which one", kind="text", width=16, help="Where there are several: write it the same each time"),
    Column("every", "Do it every", DAYS_BETWEEN, width=10),
    Column("who", "By", kind="text", width=12),
    Column("note", "Note", kind="text", width=30),
    Column("state", "Verdict", kind="result", width=28),
    Column("due", "Next due", kind="result", width=11, format="yyyy-mm-dd"),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    t = log[SHEET]
    sheet = log.book.sheet(SHEET, "One row each time something was done. A later row for the same thing and system "
                                  "replaces an older one. Unplug before hands go into water.")

    def due(row: int) -> str:
        date, every = t.cell("date", row), t.cell("every", row)
        return f'IF(COUNT({date},{every})<2,"",{date}+{every})'

    def state(row: int) -> str:
        next_due = t.cell("due", row)
        later = (f"SUMPRODUCT(({t.range('item')}={t.cell('item', row)})*({t.range('system')}={t.cell('system', row)})"
                 f"*({t.range('which')}={t.cell('which', row)})*({t.range('date')}>{t.cell('date', row)}))")
        soon = limits.general("upkeep_days")
        return first_that_holds((
            (f'{next_due}=""', '""'),
            (f"{later}>0", '"done again since"'),
            (f'{AS_OF}=""', '""'),
            (f"{next_due}<{AS_OF}", f'"act: overdue by "&({AS_OF}-{next_due})&" days"'),
            (f"{next_due}-{AS_OF}<={soon}", f'"watch: due in "&({next_due}-{AS_OF})&" days"'),
        ), '"fine"')

    write_table(log.book, sheet, t, {"state": state, "due": due}, freeze="item", verdicts=("state",))
