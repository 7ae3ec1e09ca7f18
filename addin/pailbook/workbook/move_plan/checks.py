"""Sheet "Go or no-go": every check with its verdict, the deadliest first, and what to change where it is not fine."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.workbook import style
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.lines import set_height
from pailbook.workbook.move_plan import judge
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Go or no-go"
_FIRST = 5


@dataclass(frozen=True)
class Check:
    """What is looked at, its verdict (act, watch, fine, or blank where it cannot be told), and what to change."""

    label: str
    verdict: Formula
    change: str


CHECKS: tuple[Check, ...] = (
    Check("Oxygen on the road", judge.oxygen, "More air in each vessel, fewer fish in each, or the pump never off"),
    Check("Battery", judge.battery, "A larger battery, or power from the vehicle"),
    Check("Ammonia on the road", judge.above("highest_nh3", "NH3-N", "nh3", 3),
          "Fewer fish in each vessel; cleaner, cooler water at loading; fish that were not fed"),
    Check("Carbon dioxide on the road", judge.above("highest_co2", "CO2", "co2", 0),
          "More air, an open lid, fewer fish in each vessel"),
    Check("Vessels", judge.same("vessels_verdict"), "More vessels, larger ones, or fewer fish"),
    Check("pH of both waters", judge.ph_gap, "Move one system's pH first, a day's share a day"),
    Check("Time for moving pH", judge.same("calendar_verdict"), "Start now, or put the move off"),
    Check("Temperature of both waters", judge.of_match("temperature"),
          "Bring one system closer over days; at the door smaller and more exchanges"),
    Check("Species and temperature", judge.species, "Wait for other weather, or warm or cool the water slowly"),
    Check("Filter at the destination", judge.same("clean_verdict"), "Bring no fish until ammonia and nitrite are zero"),
    Check("Room at the destination", judge.same("room_verdict"), "Fewer fish, or harvest first"),
    Check("Feed and filter", judge.same("filter_verdict"), "Raise feed slowly; more media, or fewer fish"),
    Check("Refill water", judge.refill, "Dechlorinate, test for none, then refill: see Trip"),
    Check("At the door: oxygen", judge.if_read("door_oxygen", "door_oxygen_verdict"), "More air before anything else"),
    Check("At the door: pH", judge.same("door_ph_verdict"),
          "Keep the fish apart, aired, and move pH over a day or more"),
    Check("At the door: temperature", judge.if_read("door_temperature tank_temperature", "door_temperature_verdict"),
          "Temper slowly before anything else"),
    Check("At the door: the tank", judge.if_read("tank_tan", "door_tank_verdict"), "Do not put them in; find out why"),
    Check("Ammonia as the waters mix", judge.same("door_rise_verdict"),
          "No lingering half exchanges: match temperature, then net the fish over"),
    Check("If the pump stops", judge.spare, "A spare pump with its own battery on board; then say so on Trip"),
    Check("The pH kit", judge.ph_kit, "Read both waters with one finer or wider kit, or with a calibrated meter"),
    Check("The bounds of CO2", judge.bound, "Read pH on the way; fewer fish in each vessel"),
    Check("The worst case", judge.worst, "More air or fewer fish until the worst case holds; a pump test says more"),
    Check("Hard water", judge.same("calendar_hard"), "Move the other system, or blend in soft water"),
    Check("Alkalinity of both waters", judge.of_match("alkalinity"), "Small exchanges; see Arrival"),
    Check("Hardness of both waters", judge.of_match("hardness"), "Small exchanges over a longer time"),
    Check("Conductivity of both waters", judge.of_match("conductivity"), "Small exchanges over a longer time"),
    Check("Light", judge.of_match("light"), "Shade the brighter tank for a day"),
    Check("Salt in the haul water", lambda plan: f'IF({plan["salt"]}>0,{plan["salt_verdict"]},"fine")',
          "Pour haul water where it does no harm, never into the tank or onto plants"),
    Check("Feed before the trip", judge.fasting, "Stop the feed in time before long hauls"),
    Check("Disease", judge.quarantine, "Keep the fish apart for three weeks before, or at the destination"),
)
_LAST = _FIRST + len(CHECKS) - 1


def words() -> str:
    """The cells with each check's word: act, watch, fine or blank."""
    return f"{quoted(SHEET)}!$D${_FIRST}:$D${_LAST}"


def reason(word: str) -> str:
    """Formula text for the verdict of the first check with that word."""
    return f"INDEX({quoted(SHEET)}!$B${_FIRST}:$B${_LAST},MATCH({word},{words()},0))"


def change(word: str) -> str:
    """Formula text for what to change at the first check with that word."""
    return f"INDEX({quoted(SHEET)}!$C${_FIRST}:$C${_LAST},MATCH({word},{words()},0))"


def subject(word: str) -> str:
    """Formula text for what the first check with that word looks at."""
    return f"INDEX({quoted(SHEET)}!$A${_FIRST}:$A${_LAST},MATCH({word},{words()},0))"


def cell_of(label: str) -> str:
    """The cell with the verdict of the check of that label."""
    return f"{quoted(SHEET)}!$B${_FIRST + next(i for i, check in enumerate(CHECKS) if check.label == label)}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "One act makes a no-go, one watch a go with care. Blank: cannot be told yet.")
    widths(sheet, 30, 74, 70, 9)
    headings(sheet, _FIRST - 1, ("What is looked at", "Verdict", "What to change, where it is not fine", "Word"))
    for row, check in enumerate(CHECKS, _FIRST):
        put(sheet, f"A{row}", check.label, "strong")
        set_height(sheet, row, 1)
        put(sheet, f"B{row}", f"={check.verdict(plan)}", "key", wrap=True, align="left")
        put(sheet, f"C{row}", check.change, "text", align="left")
        verdict = f"$B{row}"
        put(sheet, f"D{row}", "=" + first_that_holds((
            (f'LEFT({verdict},3)="act"', '"act"'), (f'LEFT({verdict},5)="watch"', '"watch"'),
            (f'LEFT({verdict},4)="fine"', '"fine"')), '""'), "result", align="left")
    style.verdict_colours(sheet, [f"B{_FIRST}:B{_LAST}"])
    sheet.freeze_panes = f"B{_FIRST}"
    sheet.print_area = f"A1:C{_LAST}"
