"""The verdicts of all rules, in hidden columns of the sheet Balance, and what follows from them."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.rules.answer_in_sheet import Board
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import put
from pailbook.workbook.stocking_plan import facts, row_rules
from pailbook.workbook.stocking_plan.all_rules import LINES
from pailbook.workbook.stocking_plan.places import BOARD, COHORTS, FIRST, SHEETS, cohort

PLAN = {"planned": row_rules.planned, **LINES}
_ROWS = (*PLAN, *(f"cohort_{number}" for number in range(COHORTS)))
_BOARD = Board(
    (*PLAN.values(), *[row_rules.cohort] * COHORTS), BOARD["subjects"], BOARD["texts"], BOARD["words"],
    BOARD["urgencies"], BOARD["orders"], FIRST)
_LAST = FIRST + len(_ROWS) - 1


def cell(column: str, key: str) -> str:
    """A cell of a rule's row, as formulas on Balance name it."""
    return f"${BOARD[column]}${FIRST + _ROWS.index(key)}"


def word(key: str) -> str:
    """The cell with the word of a line's verdict, as any sheet may name it."""
    return f"{SHEETS['balance']}!{cell('words', key)}"


def answer() -> str:
    """The cell with the answer's word: go, go with care, no-go, not yet."""
    return f"{SHEETS['balance']}!${BOARD['words']}${_LAST + 1}"


def change_first() -> str:
    """The cell with what to do about the most serious reason; blank without one."""
    return f"{SHEETS['balance']}!${BOARD['remedies']}${_LAST + 1}"


def write(plan: Plan, sheet: Worksheet) -> None:
    """Writes the verdicts, a row for each rule, and below them the answer."""
    for place, key in enumerate(_ROWS):
        texts = _of_rule(plan, key) if key in PLAN else _of_cohort(plan, place - len(PLAN))
        texts["orders"] = _BOARD.order(place)
        for column, text in texts.items():
            put(sheet, cell(column, key), f"={text}", "result")
    put(sheet, answer().split("!")[1], f"={_BOARD.answer()}", "result")
    put(sheet, change_first().split("!")[1], f"={_BOARD.first(BOARD['remedies'])}", "result")
    for letter in BOARD.values():
        sheet.column_dimensions[letter].hidden = True


def _of_rule(plan: Plan, key: str) -> dict[str, str]:
    rule = PLAN[key]
    asking = facts.asking(plan, rule)
    return {"subjects": f'"{rule.subject}"', "texts": asking.text(rule, unasked=""), "words": asking.word(rule),
            "urgencies": asking.urgency(rule), "remedies": asking.remedy(rule)}


def _of_cohort(plan: Plan, number: int) -> dict[str, str]:
    row = f"Cohorts, row {number + 1}"
    return {"subjects": f'"{row}"', "texts": cohort(plan, number, "state"), "words": cohort(plan, number, "word"),
            "urgencies": cohort(plan, number, "urgency"),
            "remedies": f'"{row}: "&{cohort(plan, number, "remedy")}'}
