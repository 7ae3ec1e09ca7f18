"""Sheet "Upkeep": meters calibrated, pumps and filters cleaned, backup air tested; and what is due next."""

from __future__ import annotations

from pailbook import terms
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.farm_log.usable import NO_DATE_TODAY, UNKNOWN, first_wrong, said_of
from pailbook.workbook.measures import DAYS_BETWEEN
from pailbook.workbook.sheets import write_table
from pailbook.workbook.texts import days

SHEET = "Upkeep"
ROWS = 80
DONE_AGAIN = "not asked: done again since"
COLUMNS = (
    Column("date", "Done on", kind="date", width=11),
    Column("system", "System", kind="choice", width=14, help="Leave blank for what serves the whole farm."),
    Column("item", "Task", kind="choice", width=22, choices=(
        "pH meter calibrated", "DO meter calibrated", "EC meter calibrated", "pump cleaned", "filter cleaned",
        "air stones cleaned", "backup air tried", "battery tried", "pipes cleaned", "nets disinfected", "other")),
    Column("which", "Which one", kind="text", width=16,
           help="If there are several, write the name the same way each time"),
    Column("every", "Do it every", DAYS_BETWEEN, width=10),
    Column("who", "By", kind="text", width=12),
    Column("note", "Note", kind="text", width=30),
    Column("state", "Verdict", kind="result", width=36),
    Column("due", "Next due", kind="result", width=11, format="yyyy-mm-dd"),
    UNKNOWN,
    Column("task", "Task, if it can be used", kind="result", width=9, hidden=True),
    Column("done", "Day, if it can be used", kind="result", width=9, hidden=True),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    t = log[SHEET]
    sheet = log.book.sheet(SHEET, "One row each time something was done. A later row for the same task and system "
                                  "replaces an older one. Unplug before you put your hands in the water.")

    def due(row: int) -> str:
        date, every = t.cell("date", row), t.cell("every", row)
        return f'IF({t.cell("unknown", row)}<>"","",IF(COUNT({date},{every})<2,"",{date}+{every}))'

    def state(row: int) -> str:
        next_due = t.cell("due", row)
        later = f"({t.range('task')}={t.cell('task', row)})*({t.range('done')}>{t.cell('done', row)})"
        soon = limits.general("upkeep_days")
        return first_that_holds((
            (f'{t.cell("unknown", row)}<>""', said_of(t.cell("unknown", row))),
            (f'{next_due}=""', '""'),
            (f"SUMPRODUCT({later})>0", f'"{DONE_AGAIN}"'),
            (f'{AS_OF}=""', NO_DATE_TODAY),
            (f"{next_due}<{AS_OF}", f'"act: overdue by "&{days(f"({AS_OF}-{next_due})")}'),
            (f'{soon}="{terms.NOT_KNOWN}"', limits.said_unknown("upkeep_days")),
            (f"IF(ISNUMBER({soon}),{next_due}-{AS_OF}<={soon},FALSE)",
             f'"watch: due in "&{days(f"({next_due}-{AS_OF})")}'),
        ), '"fine"')

    def unknown(row: int) -> str:
        found = first_wrong(t, row, log.book.units, needed=("date",))
        return f'IF(COUNTA({t.span("date", "every", row)})=0,"",{found})'

    def known(row: int, text: str) -> str:
        return f'IF({t.cell("unknown", row)}<>"","",IF({t.cell("date", row)}="","",{text}))'

    def task(row: int) -> str:
        return "&\"|\"&".join(t.cell(key, row) for key in ("item", "system", "which"))

    write_table(
        log.book, sheet, t,
        {"state": state, "due": due, "unknown": unknown, "task": lambda row: known(row, task(row)),
         "done": lambda row: known(row, t.cell("date", row))},
        freeze="item", verdicts=("state",),
    )
