"""Sheet "pH calendar": the pH of which system to adjust, when to start, and with what."""

from __future__ import annotations

from pailbook.functions.chemicals import ACIDS
from pailbook.functions.dosing import PH_CHEMICALS
from pailbook.quantities import PH, Alkalinity, Strength, Volume, WaterTemperature
from pailbook.terms import ALKALINITY_ONCE
from pailbook.workbook import style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import judged, ph_days
from pailbook.workbook.move_plan.trip import FROM, TO
from pailbook.workbook.texts import first_that_holds

SHEET = "pH calendar"
_ACIDS = tuple(acid.name for acid in ACIDS)


def _moved(key: str) -> Formula:
    """That property of the system whose pH is adjusted."""
    return lambda plan: f'IF({plan["calendar_which"]}="{FROM}",{plan[f"from_{key}"]},{plan[f"to_{key}"]})'


def _which(plan: Plan) -> str:
    """No fish there: that one. Else the one with less alkalinity, which takes less chemical and does not bounce."""
    return first_that_holds((
        (f'COUNT({plan["from_ph"]},{plan["to_ph"]})<2', '""'),
        (f'IF(ISNUMBER({plan["resident_weight"]}),{plan["resident_weight"]}=0,FALSE)', f'"{TO}"'),
        (f'{plan["from_alkalinity"]}<{plan["to_alkalinity"]}', f'"{FROM}"'),
    ), f'"{TO}"')


def _measured_alkalinity(plan: Plan) -> str:
    return (f'IF({plan["calendar_which"]}="{FROM}",{plan.given("from_alkalinity")},{plan.given("to_alkalinity")})')


def _goal(plan: Plan) -> str:
    other = f'IF({plan["calendar_which"]}="{FROM}",{plan["to_ph"]},{plan["from_ph"]})'
    return plan.blank_unless("from_ph to_ph", other)


def _days(plan: Plan) -> str:
    return plan.blank_unless("calendar_from calendar_to", plan.book.call(
        "PH_STEP_DAYS", plan["calendar_from"], plan["calendar_to"], plan["ph_daily"], plan["ph_within"]))


def _chemical(plan: Plan) -> str:
    return (f'IF(COUNT({plan["calendar_from"]},{plan["calendar_to"]})<2,"",'
            f'IF({plan["calendar_to"]}<{plan["calendar_from"]},"phosphoric acid","potassium bicarbonate"))')


def _left(plan: Plan) -> str:
    now = f'IF({plan["calendar_which"]}="{FROM}",{plan["from_ph_now"]},{plan["to_ph_now"]})'
    return plan.blank_unless("from_ph_now to_ph_now calendar_to", plan.book.call(
        "PH_STEP_DAYS", now, plan["calendar_to"], plan["ph_daily"], plan["ph_within"]))


def _begin(plan: Plan) -> str:
    start, today = plan["calendar_start"], plan["as_of"]
    return f'IF({start}="","",MAX({start},{today}))'


def _missing(plan: Plan) -> str:
    return first_that_holds((
        (f'{plan["calendar_days"]}=""', '"enter both pH readings on Start"'),
        (f'{plan["calendar_days"]}=0', '"nothing to adjust"'),
        (f'{plan["calendar_volume"]}=""', '"enter the volume of the water to be adjusted"'),
        (f'{plan["calendar_measured"]}=""',
         '"measure its alkalinity and enter it on Trip; without it there is no dose"'),
        (f'AND({_is_acid(plan)},{plan["calendar_strength"]}="")', '"enter the strength of the acid, from its label"'),
    ), '"nothing; the doses are on the sheet pH day by day"')


def _is_acid(plan: Plan) -> str:
    return "OR(" + ",".join(f'{plan["calendar_chemical"]}="{acid}"' for acid in _ACIDS) + ")"


def _overshoot(plan: Plan) -> str:
    first = f"'{ph_days.SHEET}'!"
    table = ph_days.table()
    settled, before, alkalinity = (f"{first}{table.cell(key, table.first_row)}" for key in ("settled", "before",
        "alkalinity"))
    call = plan.book.call(
        "PH_AFTER_DOSE", plan["calendar_chemical"], settled, plan["calendar_volume"], before, alkalinity,
        plan["calendar_temperature"], plan["calendar_phosphate"], plan["calendar_strength"], '"at once"',
        plan["calendar_conductivity"], '""', '""', '""')
    return f'IF(ISNUMBER({settled}),IFERROR({call},""),"")'


def _now(side: str, place: str) -> Formula:
    """The latest reading where that system is the one that is adjusted, otherwise the pH on Start."""
    other = FROM if place == TO else TO

    def text(plan: Plan) -> str:
        latest, start, which = ph_days.latest(), plan[f"{side}_ph"], plan["calendar_which"]
        return first_that_holds((
            (f"NOT(ISNUMBER({latest}))", f'IF({start}="","",{start})'), (f'{which}="{place}"', latest),
            (f'{which}="{other}"', start),
        ), '""')
    return text


ITEMS: tuple[Item, ...] = (
    Heading("Which system, and by when"),
    Field("calendar_which", "Adjust the pH of the water", kind="choice", choices=(FROM, TO), assumed=_which,
          why="where there are no fish; otherwise where alkalinity is lower", known="advice"),
    Field("calendar_from", "Its pH at the start", quantity(PH), result=lambda plan: plan.blank_unless(
        "from_ph to_ph", _moved("ph")(plan)), why="pH, from Start"),
    Field("calendar_to", "pH to reach", quantity(PH), result=_goal, why="pH of the other system"),
    Field("calendar_days", "Days of adjusting", unit="days", format="0", result=_days,
          why="to match the other water, at the largest change per day (sheet Limits)"),
    Field("calendar_left", "Days left after the latest reading", unit="days", format="0", result=_left,
          why="each morning's reading on pH day by day re-plans the rest"),
    Field("calendar_start", "Start, or continue, by", format=style.DATE_FORMAT, result=lambda plan:
          f'IF(COUNT({plan["calendar_left"]},{plan["move_date"]})<2,"",{plan["move_date"]}-{plan["calendar_left"]})',
          why="the day of the move minus the days left"),
    Field("calendar_begun", "Day of the first dose", kind="date", format=style.DATE_FORMAT, assumed=_begin,
          why="the latest possible; enter the day once you have started"),
    Field("calendar_verdict", "Is there time?", result=judged.text("time_to_adjust_ph"), verdict=True, wide=True),
    Heading("What to dose"),
    Field("calendar_volume", "Volume of that system, all its water", quantity(Volume),
          why="tanks, sumps, beds and pipes; every dose depends on it"),
    Field("calendar_chemical", "Chemical", kind="choice", choices=tuple(c.name for c in PH_CHEMICALS),
          assumed=_chemical, why="potassium bicarbonate to raise pH, phosphoric acid to lower it", known="advice"),
    Field("calendar_strength", "Strength, from the label", quantity(Strength),
          why="for a solid, leave blank if it is pure"),
    Field("calendar_alkalinity", f"{ALKALINITY_ONCE} of that water", quantity(Alkalinity), result=_moved("alkalinity"),
          format="0"),
    Field("calendar_measured", "Alkalinity as you measured it", unit="mg/L as CaCO3", format="0", result=lambda plan:
          f'IF({_measured_alkalinity(plan)}="","",{_measured_alkalinity(plan)})',
          why="doses are given only for a measured alkalinity"),
    Field("calendar_temperature", "Temperature of that water", quantity(WaterTemperature),
          result=lambda plan: plan.blank_unless(
        "from_temperature to_temperature", _moved("temperature")(plan))),
    Field("calendar_phosphate", "Phosphate of that water", unit="mg/L as PO4", format="0.0",
          result=_moved("phosphate")),
    Field("calendar_conductivity", "Conductivity (EC) of that water", unit="µS/cm at 25 °C", format="0",
          result=lambda plan: f'IF({_moved("conductivity")(plan)}="",0,{_moved("conductivity")(plan)})',
          why="0 means not measured, and is not counted"),
    Field("calendar_missing", "What is missing", result=_missing, wide=True),
    Field("calendar_hard", "Will the new pH hold?", result=judged.text("hard_water"), verdict=True, wide=True),
    Field("calendar_overshoot", "pH if the settled dose went in at once", quantity(PH), result=_overshoot,
          why="this is why the day's dose is the smaller of the two"),
    Heading("pH now: the latest morning's reading, otherwise the pH on Start"),
    Field("from_ph_now", "pH where the fish are, by the latest reading", quantity(PH), result=_now("from", FROM)),
    Field("to_ph_now", "pH at the destination, by the latest reading", quantity(PH), result=_now("to", TO)),
    Heading("Why there are two doses"),
    Note("Right after a dose the pH jumps. Hours later, breathing and air have brought the CO2 back, and the pH "
         "settles elsewhere. The day's dose is the smaller of the two, and the next morning's reading re-plans the "
         "rest."),
    Note("Acids and bases burn: wear gloves and goggles. Add acid to water, never water to acid. Keep an acid away "
         "from bases and chlorine. Dose slowly, where the water moves, far from the fish.", warning=True),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET,
                            "Adjust pH in the days before the move, a little each day; never hurry it, and never at "
                                   "the door.", landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    sheet.freeze_panes = "A5"
