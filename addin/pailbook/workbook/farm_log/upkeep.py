"""Sheet "Upkeep": meters calibrated, pumps and filters cleaned, backup air tested; and what is due next."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.quantity import Quantity
from pailbook.rules import Rungs, act, fine, is_blank, needs, not_asked, rule, say, shown, watch
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.entries import ENTRIES, entered, state_of_entries, verdict
from pailbook.workbook.farm_log.log import AS_OF, Log
from pailbook.workbook.farm_log.questions import DATE, Today
from pailbook.workbook.measures import DAYS_BETWEEN
from pailbook.workbook.sheets import write_table

SHEET = "Upkeep"
ROWS = 80
DO_IT = f"Do it today, and enter it on {SHEET}."  # where the rule says act
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
    ENTRIES,
    Column("task", "Task, if it can be used", kind="result", width=9, hidden=True),
    Column("done", "Day, if it can be used", kind="result", width=9, hidden=True),
)


def _days(number: Any) -> Any:
    return say(shown(number, 1), ops.where(number == 1, " day", " days"))


@rule("Upkeep", asks={
    **entered(COLUMNS, ("date", "system", "item", "which", "every"), needed=("date", "item")),
    "due": Annotated[float, DATE, "Next due"],
    "again": Annotated[float, Quantity("times", low=0), "Times it was done again"],
    "today": Today, "soon": limits.asked("upkeep_days")})
def kept_up(
    date: Any, system: Any, item: Any, which: Any, every: Any, due: Any, again: Any, today: Any, soon: Any
) -> Rungs:
    """Whether a task is due; not asked where a later row has the same task, system and name, or it is done once."""
    return (
        needs(date, system, item, which, every),
        not_asked(is_blank(every)),
        not_asked(again > 0, "done again since"),
        act(today - due > 0, say("overdue by ", _days(today - due)), DO_IT),
        watch(due - today <= soon, say("due in ", _days(due - today))),
        fine(),
    )


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    t = log[SHEET]
    sheet = log.book.sheet(SHEET, "One row each time something was done. A later row for the same task and system "
                                  "replaces an older one. Unplug before you put your hands in the water.")

    def usable(row: int, text: str) -> str:
        return f'IF(ISNUMBER({t.cell(ENTRIES.key, row)}),{text},"")'

    def due(row: int) -> str:
        date, every = t.cell("date", row), t.cell("every", row)
        return usable(row, f'IF({every}="","",{date}+{every})')

    def state(row: int) -> str:
        later = f"({t.range('task')}={t.cell('task', row)})*({t.range('done')}>{t.cell('done', row)})"
        return verdict(log.book, t, kept_up, row, {
            "due": t.cell("due", row), "again": f"SUMPRODUCT({later})", "today": AS_OF,
            "soon": limits.general("upkeep_days")}, trusted=frozenset({"again"}))

    def task(row: int) -> str:
        return usable(row, "&\"|\"&".join(t.cell(key, row) for key in ("item", "system", "which")))

    write_table(
        log.book, sheet, t,
        {"state": state, "due": due, "task": task, "done": lambda row: usable(row, t.cell("date", row)),
         ENTRIES.key: lambda row: state_of_entries(log.book, t, kept_up, row, "date", "every")},
        freeze="item", verdicts=("state",),
    )
