"""Sheet "Start": the eight answers, go or no-go with its reason, what is assumed; the plan on one page."""

from __future__ import annotations

from openpyxl.styles import Font
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import (
    PH,
    Biomass,
    CarbonDioxide,
    FishCount,
    Minutes,
    Oxygen,
    UnionizedAmmonia,
    Volume,
    WaterTemperature,
)
from pailbook.terms import ACT, CARBON_DIOXIDE, GO, NO_GO, NOT_KNOWN, NOT_YET, UNIONISED_AMMONIA, WATCH, WITH_CARE
from pailbook.workbook import front, style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import checks, entries, known, match, measures
from pailbook.workbook.move_plan.destination import SHEET as DESTINATION
from pailbook.workbook.move_plan.trip import FORM as TRIP
from pailbook.workbook.move_plan.trip import FROM, TO
from pailbook.workbook.sheets import put
from pailbook.workbook.texts import first_that_holds

SHEET = "Start"
REQUIRED = ("from_ph", "to_ph", "from_temperature", "to_temperature", "fish_count", "fish_weight", "vessel_count",
            "vessel_volume", "road_minutes")
ASSUMED = ("species", "hours_fasted", "start_oxygen", "start_tan", "from_alkalinity", "to_alkalinity", "carried",
           "air_flow", "stone", "battery_hours", "spare_air", "loading_minutes", "unloading_minutes", "delay_minutes",
           "air_temperature", "fill")


def _missing(plan: Plan) -> str:
    names = {key: known.in_a_sentence(known.label(plan, key)) for key in REQUIRED}
    return "MID(" + "&".join(f'IF(ISNUMBER({plan[key]}),"",", {name}")' for key, name in names.items()) + ",3,400)"


def _complete(plan: Plan) -> str:
    return f'COUNT({",".join(plan[key] for key in REQUIRED)})={len(REQUIRED)}'


def _answer(plan: Plan) -> str:
    """A known act decides; a go is earned by a known word of every check."""
    return first_that_holds((
        (f"{checks.count(ACT)}>0", f'"{NO_GO}"'),
        (f"NOT(AND({_complete(plan)},{checks.all_known()},{checks.essentials_seen()}))", f'"{NOT_YET}"'),
        (f"{checks.count(WATCH)}>0", f'"{WITH_CARE}"'),
    ), f'"{GO}"')


def _unknown(plan: Plan) -> str:
    """What is not known: a wrong entry first, then the answers on Start, then the first of the checks."""
    return first_that_holds((
        (f"NOT({entries.sound(plan)})", checks.unknown()),
        (f"NOT({_complete(plan)})", f'"fill in: "&{_missing(plan)}'),
    ), checks.unknown())


def _reason(plan: Plan) -> str:
    answer = plan["answer"]
    open_too = first_that_holds((
        (f"NOT({_complete(plan)})", '"; and not yet known: the answers above"'), (checks.all_known(), '""'),
    ), f'"; and not yet known: "&IFERROR({checks.subject(NOT_KNOWN)},"see {checks.SHEET}")')
    return first_that_holds((
        (f'{answer}="{NOT_YET}"', _unknown(plan)), (f'{answer}="{NO_GO}"', f"{checks.reason(ACT)}&{open_too}"),
        (f'{answer}="{WITH_CARE}"', checks.reason(WATCH)),
    ), '"all checks are fine"')


def _change_first(plan: Plan) -> str:
    answer, correct = plan["answer"], f"IFERROR({checks.change(NOT_KNOWN)},\"\")"
    unknown = first_that_holds(((f"NOT({entries.sound(plan)})", correct), (f"NOT({_complete(plan)})", '""')),
                               '"Fill in what is missing, or correct it"')
    return first_that_holds((
        (f'{answer}="{NOT_YET}"', unknown), (f'{answer}="{NO_GO}"', checks.change(ACT)),
        (f'{answer}="{WITH_CARE}"', checks.change(WATCH)),
    ), '"Nothing; print the road card and the checklist"')


def _shown(key: str) -> Formula:
    return lambda plan: known.shown(plan[key])


def _count(word: str) -> Formula:
    return lambda plan: f'IF({_complete(plan)},{checks.count(word)},"")'


ITEMS: tuple[Item, ...] = (
    Heading("What it is for"),
    Note("Checks the risks of a move of fish from one system to another: go, go with care, no-go, or not yet."),
    Note(f"Give the eight answers below and fill in the sheet {DESTINATION}. The rest is assumed, and listed below, "
         "until you enter it on Trip."),
    None,
    Heading("Fill in first: eight answers"),
    Field("from_ph", f"1a  pH {FROM}", quantity(PH)),
    Field("to_ph", f"1b  pH {TO}", quantity(PH)),
    Field("from_temperature", f"2a  Water temperature {FROM}", quantity(WaterTemperature)),
    Field("to_temperature", f"2b  Water temperature {TO}", quantity(WaterTemperature)),
    Field("fish_count", "3  Number of fish", quantity(FishCount), unit="fish"),
    Field("fish_weight", "4  Total weight of the fish", quantity(Biomass)),
    Field("vessel_count", "5  Number of vessels", measures.VESSELS, unit="vessels"),
    Field("vessel_volume", "6  Volume of one vessel when brim-full", quantity(Volume),
          help="The vessels are all of one size; the fullest one decides"),
    Field("road_minutes", "7  Minutes on the road", quantity(Minutes)),
    Field("as_of", "8  Today's date", kind="date", why="year-month-day; the calendar counts from it",
          help="Type today's date, such as 2026-03-31. It does not change on its own."),
    None,
    Heading("The answer"),
    Field("answer", "Go?", result=_answer, wide=True),
    Field("reason", "Reason", wide=True, lines=3, result=_reason),
    Field("change_first", "Change this first", wide=True, result=_change_first),
    Field("checks_act", "Checks that need action now", unit="see Go or no-go", format="0", result=_count(ACT)),
    Field("checks_watch", "Checks to watch", unit="see Go or no-go", format="0", result=_count(WATCH)),
    Field("checks_unknown", "Checks not known", unit="see Go or no-go", format="0", result=lambda plan:
          f'IF({_complete(plan)},{checks.unknown_count()},"")'),
    None,
    Heading("Key results"),
    Field("key_vessels", "Vessels needed, at the planned density", format="0", unit="vessels",
          result=_shown("vessels_needed")),
    Field("key_oxygen", "Lowest oxygen expected on the road", quantity(Oxygen), result=_shown("lowest_oxygen")),
    Field("key_nh3", f"Highest {known.in_a_sentence(UNIONISED_AMMONIA)} expected", quantity(UnionizedAmmonia),
          result=_shown("highest_nh3")),
    Field("key_co2", f"Highest {known.in_a_sentence(CARBON_DIOXIDE)} expected", quantity(CarbonDioxide),
          result=_shown("highest_co2")),
    Field("key_without_air", "Minutes left if the pump stops", unit="min", format="0",
          result=_shown("minutes_without_air"), why="until oxygen falls to its act limit"),
    Field("key_more_fish", "More fish that would fit", quantity(FishCount), unit="fish", result=_shown("more_fish"),
          why="at the planned density"),
    Field("key_days", "Days of adjusting pH before the move", unit="days", format="0", result=_shown("calendar_days"),
          why="see pH calendar"),
    Field("key_kit", "Can the pH kit show a match?", wide=True, result=lambda plan: known.shown(match.can_show("ph"))),
    None,
    Heading("Assumed until you enter your own value on Trip"),
)
FORM = Form(SHEET, ITEMS, first_row=3, headed=False)


def _link(sheet: Worksheet, address: str, target: str) -> None:
    sheet[address].hyperlink = Hyperlink(ref=address, location=f"'{target}'!A1")


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Move plan"
    write_form(plan, sheet, FORM)
    client, first, second = plan["client"], plan["from_system"], plan["to_system"]
    put(sheet, "A2", f'={client}&IF({first}&{second}="",""," from "&{first}&" to "&{second})', "note")
    style.verdict_colours(sheet, [plan["answer"].split("!")[1].replace("$", "")], (NO_GO, WITH_CARE, GO))
    answer = sheet[plan["answer"].split("!")[1].replace("$", "")]
    answer.font = Font(style.FONT, 16, bold=True, color=style.INK)
    sheet.row_dimensions[answer.row].height = 24
    row = FORM.last_row
    _link(sheet, f"A{row}", TRIP.sheet)
    for key in ("checks_act", "checks_watch", "checks_unknown"):
        _link(sheet, plan[key].split("!")[1].replace("$", "").replace("C", "D"), checks.SHEET)
    trip = {item.key: (at, item) for at, item in TRIP.fields()}
    for key in ASSUMED:
        row += 1
        at, item = trip[key]
        number = item.quantity is not None and item.kind == "number"
        put(sheet, f"A{row}", item.label, "text")
        put(sheet, f"C{row}", f'=IF({plan[key]}="","",{plan[key]})', "result",
            item.format or style.format_of(item.quantity, book.units) if number else "General",
            align="right" if number else "left")
        put(sheet, f"D{row}", item.unit_text(book.units), align="left")
        put(sheet, f"E{row}", f"={TRIP.sheet}!$E${at}", "note")
    row = front.functions_answer(book, sheet, row + 2, label="A")
    row = front.cautions(sheet, row + 2, (
        front.ACIDS_AND_BASES, front.MAINS_POWER, front.CHLORINE, front.MEDICINES, front.REGULATED,
        "This plan is not professional advice. It gives no doses of anaesthetics: ask a vet.",
    ))
    sheet.print_area = f"A1:E{row}"
    sheet.page_setup.fitToHeight = 1
    sheet.freeze_panes = "A3"
