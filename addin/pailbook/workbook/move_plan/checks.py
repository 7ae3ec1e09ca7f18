"""Sheet "Go or no-go": every check with its verdict, the deadliest first, and what to change where it is not fine.

The answer is earned: a check without one of the known words keeps the plan from a go.
"""

from __future__ import annotations

from typing import Any

from pailbook.rules import Rule
from pailbook.rules.answer_in_sheet import Board
from pailbook.rules.expression import Say
from pailbook.terms import ACT, FINE, NOT_ASKED, NOT_KNOWN, WATCH
from pailbook.workbook import style
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.move_plan.judged import sheet_for
from pailbook.workbook.move_plan.rules import CHECKS
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Go or no-go"
FIRST = 5
SUBJECT, TEXT, REMEDY, WORD, URGENCY, ORDER = "ABCDEF"
ENTRIES = CHECKS[0].subject
LAST = FIRST + len(CHECKS) - 1
_KNOWN = (ACT, WATCH, FINE, NOT_ASKED)
_LONG = 2  # lines of the verdict on the entries
_WIDTHS = (30, 74, 70, 10)
_BOLD, _NUMBER = 1.15, "0.000"  # how much wider bold letters are; as long as a number in a sentence gets


def board(sheet: str = f"{quoted(SHEET)}!") -> Board:
    """Where the verdicts stand, as another sheet names them."""
    subjects, texts, words, urgencies, orders = (sheet + letter for letter in (SUBJECT, TEXT, WORD, URGENCY, ORDER))
    return Board(CHECKS, subjects, texts, words, urgencies, orders, FIRST)


def _span(letter: str) -> str:
    return f"{quoted(SHEET)}!${letter}${FIRST}:${letter}${LAST}"


def cell_of(label: str) -> str:
    """The cell with the verdict of the check of that label."""
    place = next(place for place, rule in enumerate(CHECKS) if rule.subject == label)
    return f"{quoted(SHEET)}!${TEXT}${FIRST + place}"


def count(word: str) -> str:
    """Formula text for how many checks have that word."""
    return f'COUNTIF({_span(WORD)},"{word}")'


def unknown_count() -> str:
    """Formula text for how many checks have no known word: an error, a blank and a foreign word count as unknown."""
    return f"{len(CHECKS)}-{'-'.join(count(word) for word in _KNOWN)}"


def first_subject() -> str:
    """Formula text for what the most serious check looks at."""
    here = board()
    return here.first(here.subjects)


def first_reason() -> str:
    """Formula text for the most serious check and what it says without its word, which stands in the answer."""
    here = board()
    word, text = here.first(here.words), here.first(here.texts)
    lost = f'"a check shows no verdict; see the sheet {SHEET}"'
    says = first_that_holds([
        (f'{word}="{one}"', f'{first_subject()}&": "&MID({text},{len(one) + len(": ") + 1},250)')
        for one in (ACT, NOT_KNOWN, WATCH)
    ], lost)
    return f"IFERROR({says},{lost})"


def first_remedy() -> str:
    """Formula text for what to change at the most serious check."""
    here = board()
    return f'IFERROR({here.first(f"{quoted(SHEET)}!{REMEDY}")},"")'


def first_unknown() -> str:
    """Formula text for what the first check looks at that is not known."""
    return f'IFERROR(INDEX({_span(SUBJECT)},MATCH("{NOT_KNOWN}",{_span(WORD)},0)),"see {SHEET}")'


def _sentence(words: Any) -> str:
    """What a rung says, with a number of usual length for each that it shows."""
    if isinstance(words, Say):
        return "".join(map(_sentence, words.parts))
    return words if isinstance(words, str) else _NUMBER


def _lines(rule: Rule) -> int:
    """How many lines the longest verdict of a rule takes, or what it asks for."""
    verdicts = [lines_of(f"{rung.outcome}: {_sentence(rung.says)}", _WIDTHS[1] / _BOLD) for rung in rule.rungs]
    return max(*verdicts, *(lines_of(_sentence(rung.remedy), _WIDTHS[2]) for rung in rule.rungs))


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "If any check says act, the answer is no-go. Otherwise, if one is not known, it is "
                                   "not yet; if one says watch, it is go with care.")
    widths(sheet, *_WIDTHS)
    headings(sheet, FIRST - 1, ("Check", "Verdict", "What to change, where it is not fine", "Word"))
    here = board("")
    for place, rule in enumerate(CHECKS):
        row, formulas = FIRST + place, sheet_for(plan, rule)
        put(sheet, f"{SUBJECT}{row}", rule.subject, "strong")
        set_height(sheet, row, max(_lines(rule), 1 if place else _LONG))
        put(sheet, f"{TEXT}{row}", f"={formulas.text(rule)}", "key", wrap=True, align="left")
        put(sheet, f"{REMEDY}{row}", f"={formulas.remedy(rule)}", "text", wrap=True, align="left")
        put(sheet, f"{WORD}{row}", f"={formulas.word(rule)}", "result", align="left")
        put(sheet, f"{URGENCY}{row}", f"={formulas.urgency(rule)}", "note")
        put(sheet, f"{ORDER}{row}", f"={here.order(place)}", "note")
    for letter in (URGENCY, ORDER):
        sheet.column_dimensions[letter].hidden = True
    style.verdict_colours(sheet, [f"{TEXT}{FIRST}:{TEXT}{LAST}"])
    sheet.freeze_panes = f"B{FIRST}"
    sheet.print_area = f"{SUBJECT}1:{REMEDY}{LAST}"
