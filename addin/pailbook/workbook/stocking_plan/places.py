"""Where things stand: sheet names and how much room there is, so that all sheets can refer to each other."""

from __future__ import annotations

from pailbook.workbook.form import Plan
from pailbook.workbook.names import PREFIXES

AS_OF = f"{PREFIXES['Stocking and feed plan']}as_of"
SHEETS = {
    "setup": "Setup", "areas": "Areas", "cohorts": "Cohorts", "balance": "Balance", "weeks": "Weeks",
    "harvest": "Harvest", "chart": "Chart", "growth": "By cohort", "data": "Chart data",
}
COHORTS = 6
AREAS = 10
WEEKS = 52


def cohort(plan: Plan, number: int, key: str) -> str:
    """A cohort's cell, cohorts counted from 0, as any sheet may name it."""
    t = plan.tables[SHEETS["cohorts"]]
    return f"{t.sheet}!${t.letter(key)}${t.first_row + number}"


def weeks(plan: Plan, key: str) -> str:
    """A column of the sheet of weeks, as any sheet may name it."""
    return plan.tables[SHEETS["weeks"]].range(key)
