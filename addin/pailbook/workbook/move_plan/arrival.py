"""Sheet "Arrival": readings at the door, the exchanges with what each does in the vessel, sealed bags."""

from __future__ import annotations

from pailbook.quantities import (
    LITRES_PER_US_GALLON,
    PH,
    Alkalinity,
    Fraction,
    Minutes,
    Oxygen,
    TemperatureDifference,
    TotalAmmonia,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import exchanges
from pailbook.workbook.move_plan.exchanges import STEPS
from pailbook.workbook.move_plan.limits import constant
from pailbook.workbook.move_plan.road_table import CACO3_PER_N
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.texts import first_that_holds

SHEET = "Arrival"
CLOSE = 1.0  # °C that may be left when the fish go over


def _of(key: str) -> Formula:
    return lambda plan: f'IF({plan[key]}="","",{plan[key]})'


def _share(plan: Plan) -> str:
    gap = f'ABS({plan["tank_temperature"]}-{plan["door_temperature"]})'
    return (f'IF(COUNT({plan["tank_temperature"]},{plan["door_temperature"]})<2,{plan["exchange_half"]},'
            f'IF(ROUND({gap},6)>ROUND({plan["temperature_watch"]},6),{plan["exchange_small"]},{plan["exchange_half"]}))')


def _vessel_alkalinity(plan: Plan) -> str:
    return plan.blank_unless("from_alkalinity door_tan start_tan", f'MAX({plan["from_alkalinity"]},'
                             f'{plan["from_alkalinity"]}+({plan["door_tan"]}-{plan["start_tan"]})*{CACO3_PER_N:.6g})')


def _needed(plan: Plan) -> str:
    close = f'{plan.book.show(quantity(TemperatureDifference), CLOSE):.6g}'
    call = plan.book.call("EXCHANGES_NEEDED", f'{plan["door_temperature"]}-{plan["tank_temperature"]}', close,
                          plan["exchange_share"])
    return plan.blank_unless("door_temperature tank_temperature exchange_share", f"MAX(1,{call})")


def _rise(plan: Plan) -> str:
    start, most = exchanges.cell("nh3", 0), f"MAX({exchanges.nh3_span()})"
    words = f'"NH3-N rises as the waters mix, from "&ROUND({start},3)&" to "&ROUND({most},3)'
    return first_that_holds((
        (exchanges.not_ready(plan), '""'),
        (f"COUNT({start},{exchanges.nh3_span()})<{STEPS + 1}", '"watch: the readings contradict; measure alkalinity"'),
        (f"AND({most}>1.05*{start},{most}>{plan['limit_nh3_act']})",
         f'"act: "&{words}&"; float the closed vessels, then net the fish over at once"'),
        (f"AND({most}>1.05*{start},{most}>{plan['nh3_rise_limit']})",
         f'"watch: "&{words}&"; do not linger: net the fish over once temperatures match"'),
        (f"{start}>{plan['limit_nh3_act']}",
         f'"act: NH3-N is "&ROUND({start},3)&" in the vessel already; exchange at once"'),
        (f"{start}>{plan['limit_nh3_watch']}",
         f'"watch: NH3-N is "&ROUND({start},3)&" in the vessel already; do not wait"'),
    ), '"fine"')


def _ph_gap(plan: Plan) -> str:
    """By readings a no-go or a watch; what is only foreseen is never more than a watch."""
    gap = f'ROUND(ABS({plan["tank_ph"]}-{plan["door_ph"]}),6)'
    far, apart = f'{gap}>ROUND({plan["ph_no_go"]},6)', f'{gap}>ROUND({plan["ph_within"]},6)'
    unread = f'COUNT({plan.given("door_ph")},{plan.given("tank_ph")})=0'
    return first_that_holds((
        (f'COUNT({plan["tank_ph"]},{plan["door_ph"]})<2', '""'),
        (unread, f'IF({far},"watch: foreseen "&ROUND({gap},1)&" apart, as air strips CO2 on the way; read both at the '
                 'door","fine")'),
        (far, '"act: pH too far apart to put them in; keep them apart, aired, and move pH over a day or more"'),
        (apart, '"watch: pH apart; small exchanges, slowly, look at the fish"'),
    ), '"fine"')


def _temperature(plan: Plan) -> str:
    gap = f'ROUND(ABS({plan["tank_temperature"]}-{plan["door_temperature"]}),6)'
    limit = plan["temperature_watch"]
    unit = quantity(TemperatureDifference).unit_in(plan.book.units)
    return first_that_holds((
        (f'COUNT({plan["tank_temperature"]},{plan["door_temperature"]})<2', '""'),
        (f'{gap}>ROUND({plan["temperature_no_go"]},6)',
         '"act: too far apart; temper over hours, not at the tank\'s edge"'),
        (f"{gap}>ROUND({limit},6)",
         f'"watch: over "&ROUND({limit},1)&" {unit}: half the water, ten minutes do not suffice; smaller exchanges"'),
    ), '"fine"')


def _tank(plan: Plan) -> str:
    tan = plan["tank_tan"]
    return first_that_holds((
        (exchanges.not_ready(plan), '""'), (f'{tan}=""', '"watch: test ammonia in the tank before the fish go in"'),
        (f'{tan}>{plan["tan_zero"]}', '"act: ammonia in the tank; do not put the fish in"'),
    ), '"fine"')


def _how(plan: Plan) -> str:
    steps, share = plan["exchanges"], plan["exchange_share"]
    return first_that_holds((
        (f'{plan["carried"]}="{SEALED}"',
         '"sealed for hours: float the closed bag, open it, let the fish go at once; no slow mixing, no air"'),
        (f'{steps}=""', '""'),
        (f"{steps}>{STEPS}",
         '"temperatures too far apart for exchanges at the door: temper the closed vessels for hours first"'),
    ), f'"exchange "&ROUND(100*{share},0)&" % of the water "&IF({steps}=1,"once",{steps}&" times")'
       '&", wait as shown; lid and air on between"')


def _salt(plan: Plan) -> str:
    litres = {"metric": 1.0, "us": LITRES_PER_US_GALLON}[plan.book.units]
    grams = f'{plan["salt"]}*{plan["water_each"]}*{plan["vessel_count"]}*{litres:.10g}'
    into = plan.book.call("NUTRIENT_ADDED", '"sodium chloride"', '"Na"', grams, plan["to_volume"], "100")
    known = f'COUNT({plan["salt"]},{plan["water_each"]},{plan["vessel_count"]},{plan["to_volume"]})=4'
    return f'IF({known},IF({plan["salt"]}>0,IFERROR({into},""),0),"")'


def _salt_verdict(plan: Plan) -> str:
    fine = f'IF({exchanges.not_ready(plan)},"","fine: and still, no haul water into the tank")'
    return f'IF({plan["salt"]}>0,"watch: salted haul water: never into the tank, never to plants",{fine})'


ITEMS: tuple[Item, ...] = (
    Heading("At the door: read again, vessel and tank, before the fish go in"),
    Field("door_ph", "pH in the vessel", quantity(PH), assumed=_of("end_ph"), why="the forecast"),
    Field("door_temperature", "Water temperature in the vessel", quantity(WaterTemperature),
          assumed=_of("end_temperature"),
          why="the forecast"),
    Field("door_tan", "Total ammonia in the vessel, as N", quantity(TotalAmmonia), assumed=_of("end_tan"),
          why="the forecast"),
    Field("door_oxygen", "Oxygen in the vessel", quantity(Oxygen), assumed=_of("end_oxygen"), why="the forecast"),
    Field("vessel_alkalinity", "Alkalinity in the vessel", quantity(Alkalinity), assumed=_vessel_alkalinity, format="0",
          why="as at loading, and what ammonia brings along"),
    Field("tank_ph", "pH in the tank", quantity(PH), assumed=_of("to_ph_now"), why="as foreseen"),
    Field("tank_temperature", "Water temperature in the tank", quantity(WaterTemperature),
          assumed=_of("to_temperature"),
          why="as on Start"),
    Field("tank_alkalinity", "Alkalinity in the tank", quantity(Alkalinity), assumed=_of("to_alkalinity"), format="0",
          why="as on Trip"),
    Field("tank_tan", "Total ammonia in the tank, as N", quantity(TotalAmmonia), assumed=_of("to_tan"),
          why="as on Destination"),
    Heading("Can they go in?"),
    Field("door_oxygen_verdict", "Oxygen in the vessel", verdict=True, wide=True, result=lambda plan: first_that_holds((
        (f'OR({plan["door_oxygen"]}="",{plan["carried"]}="{SEALED}")', '""'),
        (f'{plan["door_oxygen"]}<{plan["limit_oxygen_act"]}', '"act: more air at once, then the rest"'),
        (f'{plan["door_oxygen"]}<{plan["limit_oxygen_watch"]}', '"watch: keep the air on between exchanges"'),
    ), '"fine"')),
    Field("door_ph_verdict", "pH", result=_ph_gap, verdict=True, wide=True),
    Field("door_temperature_verdict", "Temperature", result=_temperature, verdict=True, wide=True),
    Field("door_tank_verdict", "Ammonia in the tank", result=_tank, verdict=True, wide=True),
    Field("door_rise_verdict", "Ammonia as the waters mix", result=_rise, verdict=True, wide=True),
    Heading("How they go in"),
    Field("nh3_rise_limit", "NH3-N from which a rise matters", quantity(UnionizedAmmonia),
          assumed=constant(quantity(UnionizedAmmonia), 0.01), why="a fifth of what harms gills"),
    Field("exchange_share", "Share of the water in one exchange", quantity(Fraction), assumed=_share, format="0.00",
          unit="0 to 1", why="half; less where temperatures differ more (sheet Limits)"),
    Field("exchange_minutes", "Wait after an exchange, at least", quantity(Minutes), assumed=_of("exchange_wait"),
          why="about ten minutes, common practice", format="0"),
    Field("exchanges", "Exchanges, until temperatures match", format="0", unit="times", result=_needed),
    Field("arrival_how", "What to do", result=_how, wide=True, lines=2),
    Field("salt_brought", "Sodium that the haul water would bring", unit="mg/L as Na", format="0.0", result=_salt,
          why="if all of it were poured into the destination"),
    Field("salt_verdict", "Haul water", result=_salt_verdict, verdict=True, wide=True),
    Note("Alkalinity, carbonate and phosphate mix, and pH follows from them; the mean of two pH values is wrong. Air "
         "that strips CO2 between exchanges raises pH, and with it NH3, further."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Readings at the door replace the forecast; the exchanges below follow them.",
                       landscape=False)
    write_form(plan, sheet, FORM)
    assert FORM.last_row < exchanges.HEADING_ROW
    exchanges.write(plan, sheet)
    sheet.freeze_panes = "A5"
    sheet.print_area = f"A1:E{exchanges.HEADING_ROW + 1 + STEPS}"
