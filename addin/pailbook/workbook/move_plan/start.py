"""Sheet "Start": the eight answers, go or no-go with its reason, what is assumed; the plan on one page."""

from __future__ import annotations

from collections.abc import Callable

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
from pailbook.workbook import front, style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import checks, match, measures
from pailbook.workbook.move_plan.trip import FORM as TRIP
from pailbook.workbook.sheets import put
from pailbook.workbook.texts import first_that_holds

SHEET = "Start"
REQUIRED = {
    "from_ph": "pH where they are", "to_ph": "pH where they go", "from_temperature": "temperature where they are",
    "to_temperature": "temperature where they go", "fish_count": "number of fish", "fish_weight": "weight of all fish",
    "vessel_count": "number of vessels", "vessel_volume": "size of a vessel", "road_minutes": "minutes on the road",
}
ASSUMED = ("species", "hours_fasted", "start_oxygen", "start_tan", "from_alkalinity", "to_alkalinity", "carried",
           "air_flow",
           "stone", "battery_hours", "spare_air", "loading_minutes", "unloading_minutes", "delay_minutes",
           "air_temperature", "fill")


def _missing(plan: Plan) -> str:
    parts = "&".join(f'IF(ISNUMBER({plan[key]}),"",", {words}")' for key, words in REQUIRED.items())
    return f"MID({parts},3,250)"


def _complete(plan: Plan) -> str:
    return f'COUNT({",".join(plan[key] for key in REQUIRED)})={len(REQUIRED)}'


def _answer(plan: Plan) -> str:
    words = checks.words()
    return first_that_holds((
        (f"NOT({_complete(plan)})", '"not yet"'), (f'COUNTIF({words},"act")>0', '"no-go"'),
        (f'COUNTIF({words},"watch")>0', '"go with care"'),
    ), '"go"')


def _from_first(text: Formula | None, found: Callable[[str], str], fine: str) -> Formula:
    """A text of the first check that says act, else of the first that says watch."""
    def formula(plan: Plan) -> str:
        answer = plan["answer"]
        return first_that_holds((
            (f'{answer}="not yet"', text(plan) if text else '""'),
            (f'{answer}="no-go"', found('"act"')), (f'{answer}="go with care"', found('"watch"')),

        ), f'"{fine}"')
    return formula


def _reason(word: str) -> str:
    behind = len(word.strip('"')) + len(": ") + 1  # the word itself is the answer
    return f'{checks.subject(word)}&": "&MID({checks.reason(word)},{behind},250)'


def _shown(key: str) -> Formula:
    return lambda plan: f'IF({plan[key]}="","",{plan[key]})'


def _count(word: str) -> Formula:
    return lambda plan: f'IF({plan["answer"]}="not yet","",COUNTIF({checks.words()},"{word}"))'


ITEMS: tuple[Item, ...] = (
    Heading("What it is for"),
    Note("Moves fish from one system to another without losses: eight answers give go, go with care or no-go."),
    Note("All else is assumed, in sight below, until you type it on Trip. The fullest vessel counts."),
    None,
    Heading("Fill in first: eight answers"),
    Field("from_ph", "1a  pH where the fish are", quantity(PH)),
    Field("to_ph", "1b  pH where they go", quantity(PH)),
    Field("from_temperature", "2a  Water temperature where they are", quantity(WaterTemperature)),
    Field("to_temperature", "2b  Water temperature where they go", quantity(WaterTemperature)),
    Field("fish_count", "3  How many fish", quantity(FishCount), unit="fish"),
    Field("fish_weight", "4  Weight of all of them", quantity(Biomass)),
    Field("vessel_count", "5  How many vessels", measures.VESSELS, unit="vessels"),
    Field("vessel_volume", "6  Size of each, brim-full", quantity(Volume), help="Buckets, drums or bags of one size"),
    Field("road_minutes", "7  Minutes on the road", quantity(Minutes)),
    Field("as_of", "8  Today's date", kind="date", why="year-month-day; the calendar counts from it",
          help="Type today's date, such as 2026-03-31. It does not move by itself."),
    None,
    Heading("The answer"),
    Field("answer", "Go?", result=_answer, wide=True),
    Field("reason", "Because", wide=True, lines=2,
          result=_from_first(lambda plan: f'"fill in: "&{_missing(plan)}', _reason, "nothing stands in the way")),
    Field("change_first", "Change this first", wide=True,
          result=_from_first(None, checks.change, "nothing; print the road card and the checklist")),
    Field("checks_act", "Checks that say act", unit="see Go or no-go", format="0", result=_count("act")),
    Field("checks_watch", "Checks that say watch", unit="see Go or no-go", format="0", result=_count("watch")),
    None,
    Heading("Key results"),
    Field("key_vessels", "Vessels needed, at the planned density", format="0", unit="vessels",
          result=_shown("vessels_needed")),
    Field("key_oxygen", "Lowest oxygen on the road, expected", quantity(Oxygen), result=_shown("lowest_oxygen")),
    Field("key_nh3", "Highest NH3-N on the road, expected", quantity(UnionizedAmmonia), result=_shown("highest_nh3")),
    Field("key_co2", "Highest CO2 on the road, expected", quantity(CarbonDioxide), result=_shown("highest_co2")),
    Field("key_without_air", "If the pump stops: minutes left", unit="min", format="0",
          result=_shown("minutes_without_air"),
          why="until oxygen is down to its act limit"),
    Field("key_more_fish", "More fish that would fit", quantity(FishCount), unit="fish", result=_shown("more_fish"),
          why="at the planned density"),
    Field("key_days", "Days of moving pH before", unit="days", format="0", result=_shown("calendar_days"),
          why="see pH calendar"),
    Field("key_kit", "Can the pH kit tell a match?", wide=True, result=lambda plan:
          f'IF({match.can_tell("ph")}="","",{match.can_tell("ph")})'),
    None,
    Heading("Assumed until you measure it: fill in on Trip"),
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
    style.verdict_colours(sheet, [plan["answer"].split("!")[1].replace("$", "")], ("no-go", "go with care", "go"))
    answer = sheet[plan["answer"].split("!")[1].replace("$", "")]
    answer.font = Font(style.FONT, 16, bold=True, color=style.INK)
    sheet.row_dimensions[answer.row].height = 24
    row = FORM.last_row
    _link(sheet, f"A{row}", TRIP.sheet)
    for key in ("checks_act", "checks_watch"):
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
        "The plan informs; it does not replace licensed practice. No doses of anaesthetics are given: ask a vet.",
    ))
    sheet.print_area = f"A1:E{row}"
    sheet.page_setup.fitToHeight = 1
    sheet.freeze_panes = "A3"
