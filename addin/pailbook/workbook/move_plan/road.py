"""Sheet "On the road": which limit is reached first and when, the charts, the test of pump and stone."""

from __future__ import annotations

from openpyxl.chart import ScatterChart
from openpyxl.chart.series import XYSeries

from pailbook.quantities import (
    PH,
    BiomassOrNone,
    CarbonDioxide,
    Consumption,
    Minutes,
    Oxygen,
    TransferEfficiency,
    UnionizedAmmonia,
    Volume,
    WaterTemperature,
)
from pailbook.terms import CARBON_DIOXIDE, DISSOLVED_OXYGEN, TOTAL_AMMONIA, UNIONISED_AMMONIA
from pailbook.workbook import charts
from pailbook.workbook.form import (
    COLUMNS,
    Field,
    Form,
    Formula,
    Heading,
    Item,
    Note,
    Plan,
    write_form,
)
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import road_table
from pailbook.workbook.move_plan.road_table import IN_DELAY, ON_TRIP
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.sheets import put, section
from pailbook.workbook.texts import first_that_holds

SHEET = "On the road"
ALL = ON_TRIP + IN_DELAY
_CHART_ROWS = 17


def _extreme(function: str, key: str, last: int) -> Formula:
    span = road_table.span(key, last)
    return lambda plan: f'IF(COUNT({span})<{last + 1},"",{function}({span}))'


def _end(key: str, last: int) -> Formula:
    return lambda plan: f'IF({plan["road_ready"]}<>"yes","",{road_table.at(key, last)})'


def _first_met(key: str, last: int, minutes: bool) -> Formula:
    """The first limit that is reached, or when: in which row the word is no longer "none"."""
    span = road_table.span(key, last)
    words = [f'IFERROR(MATCH("{word}",{span},0),999)' for word in ("oxygen", "ammonia", "carbon dioxide")]
    row = f"MIN({','.join(words)})"
    found = f'INDEX({road_table.span("minute" if minutes else key, last)},{row})'
    none = '""' if minutes else '"none"'
    return lambda plan: f'IF({plan["road_ready"]}<>"yes","",IF({row}=999,{none},{found}))'


def _longest(function: str) -> Formula:
    def text(plan: Plan) -> str:
        battery = f'IF({plan["battery_hours"]}>0,{plan["battery_hours"]},"")'
        call = plan.book.call(
            function, plan["water_each"], plan["weight_each"], plan["fish_mass"], plan["warmest"], plan["start_oxygen"],
            plan["start_tan"], plan["from_ph_now"], plan["from_alkalinity"], plan["air_used"], plan["air_depth"],
            battery,
            plan["species"], plan["hours_fasted"], plan["activity_first"], plan["stone_used"], plan["elevation"],
            plan["from_phosphate"], "FALSE", plan["limit_oxygen_act"], plan["limit_nh3_act"], plan["limit_co2_act"])
        return f'IF(OR({plan["road_ready"]}<>"yes",{plan["carried"]}="{SEALED}"),"",{call})'
    return text


def _without_air(plan: Plan) -> str:
    """Whole minutes, rounded down: nobody is to count on the last part of one."""
    call = plan.book.call("OXYGEN_TIME", plan["water_each"], plan["lowest_oxygen"], plan["limit_oxygen_act"],
                          plan["weight_each"], road_table.at("use", 1))
    return f'IF(OR({plan["road_ready"]}<>"yes",{plan["carried"]}="{SEALED}"),"",INT({call}))'


def _pair(key: str, label: str, hint: object, low: bool, column: str, worst: str) -> tuple[Field, Field]:
    """A value's extreme, expected until the end of the trip and in the worst case until the end of the delay."""
    function, word = ("MIN", "lowest") if low else ("MAX", "highest")
    return (
        Field(f"{word}_{key}", f"{label}: {word}, expected", quantity(hint),
              result=_extreme(function, column, ON_TRIP)),
        Field(f"worst_{key}", f"{label}: {word}, worst case", quantity(hint), result=_extreme(function, worst, ALL),
              why="stress, a poorer stone, the resolution of the kit, delay: see Limits"),
    )


def _test_use(plan: Plan) -> str:
    use = plan.book.call("OXYGEN_CONSUMPTION", plan["fish_mass"], plan["test_temperature"], "1", plan["species"])
    return plan.blank_unless("test_fish test_temperature", f'IF({plan["test_fish"]}>0,IFERROR({use},""),0)')


def _test(plan: Plan) -> str:
    call = plan.book.call(
        "AIR_EFFICIENCY_TEST", plan["test_volume"], plan["test_oxygen_1"], plan["test_oxygen_2"], plan["test_minutes"],
        plan["air_flow"], plan["air_depth"], plan["test_temperature"], plan["test_fish"],
        f'MAX(0,{plan["test_use"]})', plan["elevation"])
    return plan.blank_unless("test_volume test_oxygen_1 test_oxygen_2 test_minutes test_temperature",
                             f'IF({_use_unknown(plan)},"",IFERROR({call},""))')


def _use_unknown(plan: Plan) -> str:
    """Condition that holds where there are fish in the test whose oxygen use is not known."""
    return f'AND(MAX(0,{plan["test_fish"]})>0,NOT(ISNUMBER({plan["test_use"]})))'


def _test_says(plan: Plan) -> str:
    inputs = ",".join(plan[k] for k in ("test_volume", "test_oxygen_1", "test_oxygen_2", "test_minutes",
                                        "test_temperature"))
    share = plan["test_share"]
    return first_that_holds((
        (f"COUNT({inputs})=0", '""'), (f"COUNT({inputs})<5", '"fill in all of the test"'),
        (_use_unknown(plan), '"enter the fish on Start: their oxygen use in the test is not known"'),
        (f'{share}=""', '"watch: these readings show no oxygen coming in; test again with less oxygen in the water"'),
    ), f'"enter "&ROUND({share},4)&" on Trip, as the measured efficiency of the air stone"')


_O2, _NH3, _CO2 = Oxygen, UnionizedAmmonia, CarbonDioxide
ITEMS: tuple[Item, ...] = (
    Heading("Which limit is reached first"),
    Field("first_limit", "First limit reached, expected", result=_first_met("met", ON_TRIP, False),
          why="until the end of the trip: oxygen, ammonia or carbon dioxide"),
    Field("first_limit_minute", "Reached after, expected", unit="min", format="0",
          result=_first_met("met", ON_TRIP, True)),
    Field("worst_limit", "First limit reached, worst case", result=_first_met("met_worst", ALL, False),
          why="until the end of the delay"),
    Field("worst_limit_minute", "Reached after, worst case", unit="min", format="0",
          result=_first_met("met_worst", ALL, True)),
    Field("trip_hours", "Longest safe time in the vessel", unit="h", format="0.0", result=_longest("TRIP_HOURS"),
          why="24 h at most; with the breathing of the first hour throughout"),
    Field("trip_ends_by", "What ends it", result=_longest("TRIP_LIMIT")),
    Field("minutes_without_air", "Minutes left if the pump stops", unit="min", format="0",
          result=_without_air, why="from the lowest oxygen expected to its act limit"),
    Heading("Expected and worst case"),
    *_pair("oxygen", DISSOLVED_OXYGEN, _O2, True, "oxygen", "oxygen_worst"),
    *_pair("nh3", UNIONISED_AMMONIA, _NH3, False, "nh3", "nh3_worst"),
    *_pair("co2", CARBON_DIOXIDE, _CO2, False, "co2", "co2_worst"),
    Field("bound_co2", "CO2 at the end if all of it stays in the water", quantity(_CO2),
          result=_end("co2_kept", ON_TRIP)),
    Field("bound_nh3", "NH3-N at the end if the air removes all CO2", quantity(_NH3),
          result=_end("nh3_aired", ON_TRIP)),
    Field("end_ph", "pH at the end, expected", quantity(PH), result=_end("ph", ON_TRIP)),
    Field("end_temperature", "Water temperature at the end", quantity(WaterTemperature),
          result=_end("temperature", ON_TRIP)),
    Field("end_tan", f"{TOTAL_AMMONIA} at the end", unit="mg/L as N", format="0.00", result=_end("tan", ON_TRIP)),
    Field("end_oxygen", "Oxygen at the end, expected", quantity(_O2), result=_end("oxygen", ON_TRIP)),
    Heading("Test of pump and air stone: a quarter of an hour in one vessel"),
    Note("Fill a vessel with water that holds less than nine tenths of the oxygen it can hold. Switch the pump on and "
         "read oxygen; read it again some minutes later. The result is most certain without fish."),
    Field("test_volume", "Water in the test vessel", quantity(Volume)),
    Field("test_oxygen_1", "Oxygen, first reading", quantity(Oxygen)),
    Field("test_oxygen_2", "Oxygen, second reading", quantity(Oxygen)),
    Field("test_minutes", "Minutes between the readings", quantity(Minutes)),
    Field("test_temperature", "Water temperature in the test", quantity(WaterTemperature)),
    Field("test_fish", "Weight of fish in the test vessel", quantity(BiomassOrNone), help="0 or blank for none"),
    Field("test_use", "Oxygen use of those fish, resting", quantity(Consumption), format="0", result=_test_use,
          why="per kg of fish"),
    Field("test_share", "Efficiency of pump and stone", quantity(TransferEfficiency), format="0.0000", unit="0 to 1",
          result=_test, why="fraction of the air's oxygen that the water took up at this depth"),
    Field("test_says", "What to do", result=_test_says, wide=True),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "The water of the fullest vessel from loading to unloading; step by step on Road "
                                   "table.", landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    row = FORM.last_row + 2
    section(sheet, row, "How the water changes", COLUMNS)
    put(sheet, f"A{row + 1}", f'=IF({plan["road_ready"]}="yes","","The charts appear once Start is filled in.")',
        "note")
    charts.place(sheet, _oxygen_chart(), 1, row + 2, 3, _CHART_ROWS)
    charts.place(sheet, _ammonia_chart(), 4, row + 2, 2, _CHART_ROWS)
    sheet.freeze_panes = "A5"
    sheet.print_area = f"A1:E{row + _CHART_ROWS + 2}"


def _oxygen_chart() -> ScatterChart:
    chart = charts.dated("Oxygen, mg/L", "mg/L", 0, across="Minutes since loading", across_format="0")
    chart.series += [_curve("oxygen", "expected", "solid"), _curve("oxygen_worst", "worst case", "sysDash"),
                     _curve("oxygen_still", "no air", "sysDot")]
    for key, label in (("o2_watch", "watch"), ("o2_act", "act")):
        chart.series.append(_line(key, label))
    return chart


def _ammonia_chart() -> ScatterChart:
    chart = charts.dated("NH3-N, mg/L", "mg/L NH3-N", 0, across="Minutes since loading", across_format="0")
    chart.series += [_curve("nh3", "expected", "solid"), _curve("nh3_aired", "all CO2 removed", "sysDash"),
                     _curve("nh3_kept", "all CO2 stays", "sysDot")]
    for key, label in (("nh3_watch", "watch"), ("nh3_act", "act")):
        chart.series.append(_line(key, label))
    return chart


def _curve(key: str, label: str, dash: charts.Dash) -> XYSeries:
    t = road_table.table()
    return charts.curve(t.sheet, t.letter("minute"), t.letter(key), t.first_row, t.rows, label, dash=dash)


def _line(key: str, label: str) -> XYSeries:
    t = road_table.table()
    return charts.limit_line(t.sheet, t.letter("minute"), t.letter(key), t.first_row, label, t.rows)
