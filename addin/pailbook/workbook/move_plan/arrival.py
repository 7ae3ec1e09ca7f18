"""Sheet "Arrival": readings at the door, the exchanges and what each does in the vessel, sealed bags."""

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
from pailbook.terms import ALKALINITY_ONCE, DISSOLVED_OXYGEN, TOTAL_AMMONIA, UNIONISED_AMMONIA
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import exchanges, judged
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


def _how(plan: Plan) -> str:
    """One instruction; the wait is that after the first exchange, the longest."""
    steps, share = plan["exchanges"], plan["exchange_share"]
    minutes = f"{exchanges.cell('minute', 1)}-{exchanges.cell('minute', 0)}"
    times = f'IF({steps}=1,". Wait "," "&{steps}&" times. After each exchange, wait ")'
    return first_that_holds((
        (f'IF(ISERROR({plan["carried"]}),FALSE,{plan["carried"]}="{SEALED}")',
         '"Let the closed bag drift in the tank until the temperatures match. Then open it and let the fish out '
         'straight away: fresh air turns the ammonia in the bag harmful."'),
        (exchanges.not_ready(plan), '""'), (f'NOT(ISNUMBER({steps}))', '""'),
        (f"{steps}>{STEPS}",
         '"The temperatures are too far apart for exchanges at the door: bring the closed vessels to the tank\'s '
         'temperature over hours first."'),
    ), f'"Replace "&ROUND(100*{share},0)&" % of the vessel\'s water with tank water"&{times}&{minutes}&" minutes '
       'with the air running. Then move the fish across with a net."')


def _salt(plan: Plan) -> str:
    litres = {"metric": 1.0, "us": LITRES_PER_US_GALLON}[plan.book.units]
    grams = f'{plan["salt"]}*{plan["water_each"]}*{plan["vessel_count"]}*{litres:.10g}'
    into = plan.book.call("NUTRIENT_ADDED", '"sodium chloride"', '"Na"', grams, plan["to_volume"], "100")
    known = f'COUNT({plan["salt"]},{plan["water_each"]},{plan["vessel_count"]},{plan["to_volume"]})=4'
    return f'IF({known},IF({plan["salt"]}>0,IFERROR({into},""),0),"")'


def _nh3(most: bool) -> Formula:
    """NH3-N on arrival, or the most of it after any exchange; blank where an exchange has none."""
    first, others = exchanges.cell("nh3", 0), exchanges.nh3_span()
    found = f"MAX({others})" if most else first
    return lambda plan: f'IF(COUNT({first},{others})<{STEPS + 1},"",{found})'


def _tested(
    key: str, label: str, hint: object, assumed: Formula, before: str, unit: str = "", format: str = ""
) -> Field:
    """A reading at the door; `before` says what is used until there is one."""
    return Field(key, label, quantity(hint), assumed=assumed, why=f"{before}, until you enter your reading", known="",
                 unit=unit, format=format)


ITEMS: tuple[Item, ...] = (
    Heading("At the door: test the water in the vessel and in the tank again, before the fish go in"),
    _tested("door_ph", "pH in the vessel", PH, _of("end_ph"), "the forecast"),
    _tested("door_temperature", "Water temperature in the vessel", WaterTemperature, _of("end_temperature"),
            "the forecast"),
    _tested("door_tan", f"{TOTAL_AMMONIA} in the vessel", TotalAmmonia, _of("end_tan"), "the forecast",
            unit="mg/L as N"),
    _tested("door_oxygen", f"{DISSOLVED_OXYGEN} in the vessel", Oxygen, _of("end_oxygen"), "the forecast"),
    _tested("vessel_alkalinity", f"{ALKALINITY_ONCE} in the vessel", Alkalinity, _vessel_alkalinity,
            "as at loading, plus what the ammonia adds", format="0"),
    _tested("tank_ph", "pH in the tank", PH, _of("to_ph_now"), "as planned"),
    _tested("tank_temperature", "Water temperature in the tank", WaterTemperature, _of("to_temperature"),
            "as on Start"),
    _tested("tank_alkalinity", "Alkalinity in the tank", Alkalinity, _of("to_alkalinity"), "as on Trip", format="0"),
    _tested("tank_tan", f"{TOTAL_AMMONIA} in the tank", TotalAmmonia, _of("to_tan"), "as on Destination",
            unit="mg/L as N"),
    Heading("Can they go in?"),
    Field("door_oxygen_verdict", "Oxygen in the vessel", verdict=True, wide=True,
          result=judged.text("oxygen_in_the_vessel")),
    Field("door_ph_verdict", "pH", result=judged.text("ph_at_the_door"), verdict=True, wide=True),
    Field("door_temperature_verdict", "Temperature",
          result=judged.text("temperature_of_vessel_and_tank"), verdict=True, wide=True),
    Field("door_tank_verdict", "Ammonia in the tank",
          result=judged.text("ammonia_in_the_tank"), verdict=True, wide=True),
    Field("door_rise_verdict", "Ammonia as the waters mix",
          result=judged.text("ammonia_as_the_waters_mix"), verdict=True, wide=True),
    Field("nh3_now", f"{UNIONISED_AMMONIA} on arrival", quantity(UnionizedAmmonia), result=_nh3(most=False)),
    Field("nh3_most", f"{UNIONISED_AMMONIA}: highest as the waters mix", quantity(UnionizedAmmonia),
          result=_nh3(most=True), why="after one of the exchanges below"),
    Heading("How they go in"),
    Field("nh3_rise_limit", f"{UNIONISED_AMMONIA} above which a rise counts as harmful", quantity(UnionizedAmmonia),
          assumed=constant(quantity(UnionizedAmmonia), 0.01), why="a fifth of what harms gills"),
    Field("exchange_share", "Fraction of the water to exchange each time", quantity(Fraction), assumed=_share,
          format="0.00", unit="0 to 1", why="half; less where temperatures differ more (sheet Limits)"),
    Field("exchange_minutes", "Wait after each exchange, at least", quantity(Minutes), assumed=_of("exchange_wait"),
          why="about ten minutes, common practice", format="0"),
    Field("exchanges", "Exchanges until the temperatures match", format="0", unit="times", result=_needed),
    Field("arrival_how", "What to do", result=_how, wide=True, lines=2),
    Field("salt_brought", "Sodium from the water they travelled in (haul water)", unit="mg/L as Na", format="0.0",
          result=_salt, why="if all of it were poured into the destination"),
    Field("salt_verdict", "Haul water", result=judged.text("haul_water"), verdict=True, wide=True),
    Note("As the waters mix, alkalinity, carbonate and phosphate decide the pH, so the mean of two pH values is wrong. "
         "Air removes CO2 between exchanges; that raises pH, and with it un-ionised ammonia."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Your readings at the door are used instead of the forecast; the exchanges below "
                              "follow them.",
                       landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    assert FORM.last_row < exchanges.HEADING_ROW
    exchanges.write(plan, sheet)
    sheet.freeze_panes = "A5"
    sheet.print_area = f"A1:E{exchanges.HEADING_ROW + 1 + STEPS}"
