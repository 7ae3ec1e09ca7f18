"""Where things stand: sheet names and how much room there is, so that all sheets can refer to each other."""

from __future__ import annotations

from pailbook.workbook.form import Plan
from pailbook.workbook.names import PREFIXES

AS_OF = f"{PREFIXES['Stocking and feed plan']}as_of"
SHEETS = {
    "setup": "Setup", "areas": "Areas", "cohorts": "Cohorts", "balance": "Balance", "weeks": "Weeks",
    "harvest": "Harvest", "chart": "Chart", "growth": "By cohort", "data": "Chart data",
}
# The hidden columns of Balance: the verdicts of all rules, and the numbers that rules ask.
FIRST = 6
BOARD = {"subjects": "I", "texts": "J", "words": "K", "urgencies": "L", "remedies": "M", "orders": "N"}
FACTS = ("P", "Q", "R")  # what it is, the number, its clean cell
COHORTS = 6
AREAS = 10
WEEKS = 52


def cohort(plan: Plan, number: int, key: str) -> str:
    """A cohort's cell, cohorts counted from 0, as any sheet may name it."""
    t = plan.tables[SHEETS["cohorts"]]
    return f"{t.sheet}!${t.letter(key)}${t.first_row + number}"


def this_week(plan: Plan) -> str:
    """Formula text for the number of the week in which today's date lies; blank outside the plan."""
    number = f"(INT({AS_OF})-INT({plan['plan_start']}))/7"
    count = plan.tables[SHEETS["weeks"]].rows
    return (f'IF(COUNT({AS_OF},{plan["plan_start"]})<2,"",IF(OR({number}<0,{number}>={count}),"",INT({number})+1))')


def weeks(plan: Plan, key: str) -> str:
    """A column of the sheet of weeks, as any sheet may name it."""
    return plan.tables[SHEETS["weeks"]].range(key)
