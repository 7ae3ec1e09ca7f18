"""Sheet "Start": questions 1 to 8, go or no-go with its reason, what is assumed; the plan on one page."""

from __future__ import annotations

from openpyxl.styles import Font
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import CarbonDioxide, FishCount, Oxygen, UnionizedAmmonia
from pailbook.terms import ACT, CARBON_DIOXIDE, GO, NO_GO, NOT_YET, UNIONISED_AMMONIA, WATCH, WITH_CARE
from pailbook.workbook import front, style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import checks, entries, waters
from pailbook.workbook.move_plan.answers import ANSWERS, REQUIRED
from pailbook.workbook.move_plan.destination import SHEET as DESTINATION
from pailbook.workbook.move_plan.judged import shown
from pailbook.workbook.move_plan.labels import in_a_sentence, label
from pailbook.workbook.move_plan.trip import FORM as TRIP
from pailbook.workbook.sheets import put
from pailbook.workbook.texts import first_that_holds

SHEET = "Start"
ASSUMED = ("species", "hours_fasted", "start_oxygen", "start_tan", "from_alkalinity", "to_alkalinity", "carried",
           "air_flow", "stone", "battery_hours", "spare_air", "loading_minutes", "unloading_minutes", "delay_minutes",
           "air_temperature", "fill")


def _missing(plan: Plan) -> str:
    names = {item.key: in_a_sentence(label(item)) for item in ANSWERS if item.key in REQUIRED}
    return "MID(" + "&".join(f'IF(ISNUMBER({plan[key]}),"",", {name}")' for key, name in names.items()) + ",3,400)"


def _complete(plan: Plan) -> str:
    return f'COUNT({",".join(plan[key] for key in REQUIRED)})={len(REQUIRED)}'


def _answer(plan: Plan) -> str:
    return checks.board().answer()


def _reason(plan: Plan) -> str:
    """What is not known: a wrong entry first, then the answers on Start, then the first of the checks."""
    answer = plan["answer"]
    incomplete = f"NOT({_complete(plan)})"
    open_too = first_that_holds((
        (incomplete, '"; and not yet answered: a question above"'), (f"{checks.unknown_count()}=0", '""'),
    ), f'"; and not yet known: "&{checks.first_unknown()}')
    return first_that_holds((
        (f'{answer}="{GO}"', '"all checks are fine"'),
        (f'{answer}="{NO_GO}"', f"{checks.first_reason()}&{open_too}"),
        (f'AND({answer}="{NOT_YET}",{entries.sound(plan)},{incomplete})', f'"fill in: "&{_missing(plan)}'),
    ), checks.first_reason())


def _change_first(plan: Plan) -> str:
    answer = plan["answer"]
    return first_that_holds((
        (f'{answer}="{GO}"', '"Nothing; print the road card and the checklist"'),
        (f'AND({answer}="{NOT_YET}",NOT({entries.sound(plan)}))',
         f'"Correct the entry; see the sheet {entries.SHEET}"'),
        (f'AND({answer}="{NOT_YET}",NOT({_complete(plan)}))', '""'),
    ), checks.first_remedy())


def _shown(key: str) -> Formula:
    return lambda plan: shown(plan[key])


def _count(word: str) -> Formula:
    return lambda plan: f'IF({_complete(plan)},{checks.count(word)},"")'


ITEMS: tuple[Item, ...] = (
    Heading("What it is for"),
    Note("Checks the risks of moving fish from one system to another, and answers go, go with care, no-go, or not "
         "yet."),
    Note(f"Answer questions 1 to 8 and fill in the sheet {DESTINATION}. The rest is assumed, as listed below, until "
         "you enter your own values on Trip."),
    None,
    Heading("Fill in first: questions 1 to 8"),
    *ANSWERS,
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
    Field("key_nh3", f"Highest {in_a_sentence(UNIONISED_AMMONIA)} expected", quantity(UnionizedAmmonia),
          result=_shown("highest_nh3")),
    Field("key_co2", f"Highest {in_a_sentence(CARBON_DIOXIDE)} expected", quantity(CarbonDioxide),
          result=_shown("highest_co2")),
    Field("key_without_air", "Minutes left if the pump stops", unit="min", format="0",
          result=_shown("minutes_without_air"), why="until oxygen falls to its act limit"),
    Field("key_more_fish", "More fish that would fit", quantity(FishCount), unit="fish", result=_shown("more_fish"),
          why="at the planned density"),
    Field("key_days", "Days of adjusting pH before the move", unit="days", format="0", result=_shown("calendar_days"),
          why="see pH calendar"),
    Field("key_kit", "Can the pH kit show a match?", wide=True, result=lambda plan: shown(waters.can_show("ph"))),
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
    write_form(plan, sheet, plan.forms[SHEET])
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
