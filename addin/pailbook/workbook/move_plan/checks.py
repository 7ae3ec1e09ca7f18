"""Sheet "Go or no-go": every check with its verdict, the deadliest first, and what to change where it is not fine.

The answer is earned: each check has a word, and a check without one of the known words keeps the plan from a go.
"""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.terms import ACT, FINE, NOT_ASKED, NOT_KNOWN, WATCH
from pailbook.workbook import style
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.lines import set_height
from pailbook.workbook.move_plan import entries, judge
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Go or no-go"
_FIRST = 5
_WORDS = (ACT, WATCH, FINE, NOT_ASKED)  # the words of a check that is known


@dataclass(frozen=True)
class Check:
    """What is looked at, its verdict, what to change, and whether a go rests on it."""

    label: str
    verdict: Formula
    change: str
    essential: bool = False


ENTRIES = "What you entered"
CHECKS: tuple[Check, ...] = (
    Check(ENTRIES, entries.verdict, "Correct the entry; see the sheet Entries"),
    Check("Oxygen on the road", judge.oxygen,
          "More air in each vessel, fewer fish in each, or no time with the pump off", True),
    Check("Battery", judge.battery, "A larger battery, or power from the vehicle", True),
    Check("Ammonia on the road", judge.ammonia(),
          "Fewer fish in each vessel; cleaner, cooler water at loading; fish that have been fasted", True),
    Check("Carbon dioxide on the road", judge.above("highest_co2", "carbon dioxide (CO2)", "co2", 0),
          "More air, an open lid, fewer fish in each vessel", True),
    Check("Vessels", judge.same("vessels_verdict"), "More vessels, larger ones, or fewer fish", True),
    Check("pH of both waters", judge.ph_gap, "Adjust the pH of one system first, by no more than the limit per day",
          True),
    Check("Time to adjust pH", judge.same("calendar_verdict"), "Start now, or postpone the move", True),
    Check("Temperature of both waters", judge.of_match("temperature"),
          "Bring the two systems closer over several days; at the door, smaller and more exchanges", True),
    Check("Species and temperature", judge.species,
          "Choose the species; wait for other weather, or warm or cool the water slowly", True),
    Check("Filter at the destination", judge.same("clean_verdict"), "Bring no fish until ammonia and nitrite are zero",
          True),
    Check("Room at the destination", judge.same("room_verdict"), "Fewer fish, or harvest first", True),
    Check("Feed and filter", judge.same("filter_verdict"), "Raise the feed slowly; more media, or fewer fish", True),
    Check("Refill water", judge.refill, "Remove the chlorine, test that none is left, then refill; see Trip", True),
    Check("At the door: oxygen", judge.if_read("door_oxygen", "door_oxygen_verdict"), "More air before anything else"),
    Check("At the door: pH", judge.same("door_ph_verdict"),
          "Keep the fish in aerated vessels and adjust pH over a day or more"),
    Check("At the door: temperature", judge.if_read("door_temperature tank_temperature", "door_temperature_verdict"),
          "Bring the temperatures together slowly before anything else"),
    Check("At the door: the tank", judge.if_read("tank_tan", "door_tank_verdict"),
          "Keep the fish out of the tank until you know the cause"),
    Check("Ammonia as the waters mix", judge.same("door_rise_verdict"),
          "Match the temperature, then move the fish across quickly; do not mix the waters slowly"),
    Check("If the pump stops", judge.spare, "Take a spare pump with its own battery, and enter it on Trip"),
    Check("The pH kit", judge.ph_kit, "Read both waters with a finer kit, or with a calibrated meter"),
    Check("CO2 kept in or aired out", judge.bound, "Read pH on the way; fewer fish in each vessel"),
    Check("The worst case", judge.worst, "More air or fewer fish; a test of pump and stone makes the forecast surer"),
    Check("Hard water", judge.same("calendar_hard"), "Adjust the other system, or blend in soft water"),
    Check("Alkalinity of both waters", judge.of_match("alkalinity"), "Small exchanges; see Arrival"),
    Check("Hardness of both waters", judge.of_match("hardness"), "Small exchanges over a longer time"),
    Check("Conductivity of both waters", judge.of_match("conductivity"), "Small exchanges over a longer time"),
    Check("Light", judge.of_match("light"), "Shade the brighter tank for a day"),
    Check("Salt in the haul water", judge.salt,
          "Pour haul water where it does no harm, never into the tank or onto plants"),
    Check("Feed before the trip", judge.fasting, "Stop the feed in time before a long haul"),
    Check("Disease", judge.quarantine, "Keep the fish apart for three weeks, before the move or at the destination"),
)
_LAST = _FIRST + len(CHECKS) - 1


def _span(letter: str, first: int = _FIRST, last: int = _LAST) -> str:
    return f"{quoted(SHEET)}!${letter}${first}:${letter}${last}"


def words() -> str:
    """The cells with each check's word: act, not known, watch, fine or not asked."""
    return _span("D")


def count(word: str) -> str:
    """Formula text for how many checks have that word."""
    return f'COUNTIF({words()},"{word}")'


def unknown_count() -> str:
    """Formula text for how many checks have no known word: an error, a blank and a foreign word count as unknown."""
    return f"{len(CHECKS)}-{'-'.join(count(word) for word in _WORDS)}"


def all_known() -> str:
    """Condition that holds where every check has a known word."""
    return f"{unknown_count()}=0"


def essentials_seen() -> str:
    """Condition that holds where at least one of the checks that a go rests on was judged at all."""
    rows = [row for row, check in enumerate(CHECKS, _FIRST) if check.essential]
    assert rows == list(range(rows[0], rows[-1] + 1)), "the essential checks stand together"
    cells = _span("D", rows[0], rows[-1])
    return f'COUNTIF({cells},"{FINE}")+COUNTIF({cells},"{WATCH}")>0'


def _first_with(letter: str, word: str) -> str:
    return f'INDEX({_span(letter)},MATCH("{word}",{words()},0))'


def reason(word: str) -> str:
    """Formula text for what the first check with that word looks at, and for what it says without the word."""
    behind = len(word) + len(": ") + 1  # the word itself is in the answer
    return f'{_first_with("A", word)}&": "&MID({_first_with("B", word)},{behind},250)'


def unknown() -> str:
    """Formula text for the first check that is not known, with its reason."""
    return f'IFERROR({reason(NOT_KNOWN)},"a check has lost its word; see the sheet {SHEET}")'


def subject(word: str) -> str:
    """Formula text for what the first check with that word looks at."""
    return _first_with("A", word)


def change(word: str) -> str:
    """Formula text for what to change at the first check with that word."""
    return _first_with("C", word)


def cell_of(label: str) -> str:
    """The cell with the verdict of the check of that label."""
    return f"{quoted(SHEET)}!$B${_FIRST + next(i for i, check in enumerate(CHECKS) if check.label == label)}"


def word_of(verdict: str) -> str:
    """Formula text for the word that a verdict begins with; whatever does not begin with one is not known."""
    begins = [(f'LEFT({verdict},{len(word)})="{word}"', f'"{word}"') for word in _WORDS]
    return first_that_holds(((f"ISERROR({verdict})", f'"{NOT_KNOWN}"'), *begins), f'"{NOT_KNOWN}"')


def _safe(verdict: str) -> str:
    """Formula text for a verdict that is "not known" where something behind it is an error."""
    return f'IFERROR({verdict},"{NOT_KNOWN}: something that it is calculated from is an error")'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "One act makes a no-go; one watch makes a go with care; one check that is not known "
                                   "makes a not yet.")
    widths(sheet, 30, 74, 70, 10)
    headings(sheet, _FIRST - 1, ("Check", "Verdict", "What to change, where it is not fine", "Word"))
    for row, check in enumerate(CHECKS, _FIRST):
        put(sheet, f"A{row}", check.label, "strong")
        set_height(sheet, row, 2 if check.label == ENTRIES else 1)
        put(sheet, f"B{row}", f"={_safe(check.verdict(plan))}", "key", wrap=True, align="left")
        put(sheet, f"C{row}", check.change, "text", align="left")
        put(sheet, f"D{row}", f"={word_of(f'$B{row}')}", "result", align="left")
    style.verdict_colours(sheet, [f"B{_FIRST}:B{_LAST}"])
    sheet.freeze_panes = f"B{_FIRST}"
    sheet.print_area = f"A1:C{_LAST}"
