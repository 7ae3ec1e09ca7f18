"""Sheet "pH calendar": which system's pH to move, when to start, and a row a day that re-plans from each reading."""

from __future__ import annotations

from pailbook.functions.chemicals import ACIDS
from pailbook.functions.dosing import PH_CHEMICALS
from pailbook.quantities import PH, Alkalinity, Strength, Volume, WaterTemperature
from pailbook.workbook import style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import ph_days
from pailbook.workbook.texts import first_that_holds

SHEET = "pH calendar"
FROM, TO = "where the fish are", "where they go"
_ACIDS = tuple(acid.name for acid in ACIDS)


def _moved(key: str) -> Formula:
    """That property of the system whose pH is moved."""
    return lambda plan: f'IF({plan["calendar_which"]}="{FROM}",{plan[f"from_{key}"]},{plan[f"to_{key}"]})'


def _which(plan: Plan) -> str:
    """No fish there: that one. Else the one with less alkalinity, which takes less chemical and does not bounce."""
    return first_that_holds((
        (f'COUNT({plan["from_ph"]},{plan["to_ph"]})<2', '""'),
        (f'{plan["resident_weight"]}=0', f'"{TO}"'),
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


def _start_verdict(plan: Plan) -> str:
    days, begin, today = plan["calendar_left"], plan["calendar_start"], plan["as_of"]
    late = f"{today}-{begin}"
    return first_that_holds((
        (f'{days}=""', '""'), (f"{days}=0", '"fine: no pH left to move"'),
        (f'{begin}=""', f'"watch: "&{days}&" days of adjusting; enter the day of the move on Trip"'),
        (f'{today}=""', f'"watch: start by "&TEXT({begin},"yyyy-mm-dd")&"; enter today on Start"'),
        (f"{late}>0", f'"act: "&{late}&" days too late; put the move off, never hurry pH"'),
    ), f'"watch: start by "&TEXT({begin},"yyyy-mm-dd")')


def _missing(plan: Plan) -> str:
    return first_that_holds((
        (f'{plan["calendar_days"]}=""', '"fill in both pH on Start"'),
        (f'{plan["calendar_days"]}=0', '"nothing to move"'),
        (f'{plan["calendar_volume"]}=""', '"enter the volume of the water to be moved"'),
        (f'{plan["calendar_measured"]}=""', '"measure its alkalinity and enter it on Trip: no dose without it"'),
        (f'AND({_is_acid(plan)},{plan["calendar_strength"]}="")', '"enter the acid\'s strength from its label"'),
    ), '"nothing: the doses stand on pH day by day"')


def _is_acid(plan: Plan) -> str:
    return "OR(" + ",".join(f'{plan["calendar_chemical"]}="{acid}"' for acid in _ACIDS) + ")"


def _hard(plan: Plan) -> str:
    down = f'{plan["calendar_to"]}<{plan["calendar_from"]}'
    return first_that_holds((
        (f'COUNT({plan["calendar_from"]},{plan["calendar_to"]},{plan["calendar_alkalinity"]})<3', '""'),
        (f'{plan["calendar_days"]}=0', '"fine"'),
        (f'AND({down},{plan["calendar_alkalinity"]}>{plan["hard_water"]})',
         '"watch: hard water; acid lowers pH and it bounces back. Move the other system, or blend in soft water"'),
    ), '"fine"')


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
    def text(plan: Plan) -> str:
        t = ph_days.table()
        readings, start = t.range("reading"), plan[f"{side}_ph"]
        latest = f'INDEX({readings},SUMPRODUCT(MAX(({readings}<>"")*{t.range("day")})))'
        return f'IF(AND({plan["calendar_which"]}="{place}",COUNT({readings})>0),{latest},IF({start}="","",{start}))'
    return text


ITEMS: tuple[Item, ...] = (
    Heading("Which system, and by when"),
    Field("calendar_which", "Move the pH of the water", kind="choice", choices=(FROM, TO), assumed=_which,
          why="where no fish are; else the one with less alkalinity", known="advice"),
    Field("calendar_from", "Its pH now", quantity(PH), result=lambda plan: plan.blank_unless(
        "from_ph to_ph", _moved("ph")(plan))),
    Field("calendar_to", "pH to reach", quantity(PH), result=_goal, why="the other system's"),
    Field("calendar_days", "Days of adjusting", unit="days", format="0", result=_days,
          why="until within the limit, by one day's share a day (sheet Limits)"),
    Field("calendar_left", "Days left by the latest reading", unit="days", format="0", result=_left,
          why="each morning's reading on pH day by day re-plans the rest"),
    Field("calendar_start", "Start, or go on, by", format=style.DATE_FORMAT, result=lambda plan:
          f'IF(COUNT({plan["calendar_left"]},{plan["move_date"]})<2,"",{plan["move_date"]}-{plan["calendar_left"]})',
          why="the day of the move less the days left"),
    Field("calendar_begun", "Day of the first dose", kind="date", format=style.DATE_FORMAT, assumed=_begin,
          why="as late as can be; type the day once you have begun"),
    Field("calendar_verdict", "Is there time?", result=_start_verdict, verdict=True, wide=True),
    Heading("What doses it"),
    Field("calendar_volume", "Volume of that water, all of it", quantity(Volume),
          why="tanks, sumps, beds and pipes; every dose rests on it"),
    Field("calendar_chemical", "Chemical", kind="choice", choices=tuple(c.name for c in PH_CHEMICALS),
          assumed=_chemical, why="potassium bicarbonate to raise, phosphoric acid to lower", known="advice"),
    Field("calendar_strength", "Its strength, from the label", quantity(Strength), why="a solid: blank is pure"),
    Field("calendar_alkalinity", "Alkalinity of that water", quantity(Alkalinity), result=_moved("alkalinity"),
          format="0"),
    Field("calendar_measured", "Its alkalinity, as measured", unit="mg/L as CaCO3", format="0", result=lambda plan:
          f'IF({_measured_alkalinity(plan)}="","",{_measured_alkalinity(plan)})',
          why="doses are given only for a measured one"),
    Field("calendar_temperature", "Temperature of that water", quantity(WaterTemperature),
          result=lambda plan: plan.blank_unless(
        "from_temperature to_temperature", _moved("temperature")(plan))),
    Field("calendar_phosphate", "Phosphate of that water, as PO4", unit="mg/L", format="0.0",
          result=_moved("phosphate")),
    Field("calendar_conductivity", "Conductivity of that water", unit="µS/cm at 25 °C", format="0", result=lambda plan:
          f'IF({_moved("conductivity")(plan)}="",0,{_moved("conductivity")(plan)})',
          why="0: not measured, not counted"),
    Field("calendar_missing", "What is missing", result=_missing, wide=True),
    Field("calendar_hard", "Will it hold?", result=_hard, verdict=True, wide=True),
    Field("calendar_overshoot", "pH if the settled dose went in at once", quantity(PH), result=_overshoot,
          why="why a day's dose is the smaller of the two"),
    Heading("pH now: the latest morning's reading, else Start's"),
    Field("from_ph_now", "Where the fish are", quantity(PH), result=_now("from", FROM)),
    Field("to_ph_now", "Where they go", quantity(PH), result=_now("to", TO)),
    Heading("Why two doses"),
    Note("Right after a dose pH jumps; hours later breathing and air bring free CO2 back and pH settles elsewhere. The "
         "calendar gives both and caps the day at the smaller. The next morning's reading re-plans the rest."),
    Note("Acids and bases burn: gloves and goggles. Add acid to water, never water to acid. Never store or dose an "
         "acid beside a base or chlorine. Dose slowly, where water moves, far from the fish.", warning=True),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet with the questions."""
    sheet = plan.book.sheet(SHEET,
                            "pH is moved before the fish are, by a day's share a day. Never hurry it, never at the "
                                   "door.", landscape=False)
    write_form(plan, sheet, FORM)
    sheet.freeze_panes = "A5"
