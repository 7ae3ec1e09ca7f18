"""Sheet "Change one thing": minutes without the pump, room for more fish, and the trip with one thing changed."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.quantities import (
    Biomass,
    CarbonDioxide,
    FishCount,
    Oxygen,
    TemperatureDifference,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.rules import clean
from pailbook.workbook import style
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import judged, road_table
from pailbook.workbook.move_plan.per_vessel import excretion, mean_rate
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.sheets import headings, put

SHEET = "Change one thing"
WARMER = 5.0  # °C


def _more(fits: str) -> Formula:
    return lambda plan: plan.blank_unless(
        f"{fits} vessel_count fish_count", f'MAX(0,{plan[fits]}*{plan["vessel_count"]}-{plan["fish_count"]})')


ITEMS: tuple[Item, ...] = (
    Heading("At a glance"),
    Field("glance_without_air", "Minutes left without the pump, on the road", unit="min", format="0",
          result=lambda plan: f'IF({plan["minutes_without_air"]}="","",{plan["minutes_without_air"]})',
          why="from the lowest oxygen expected to its act limit"),
    Field("minutes_at_loading", "Minutes left without the pump, at loading", unit="min", format="0", result=lambda plan:
          f'IF(OR({plan["road_ready"]}<>"yes",{plan["carried"]}="{SEALED}"),"",INT(' + plan.book.call(
              "OXYGEN_TIME", plan["water_each"], plan["start_oxygen"], plan["limit_oxygen_act"], plan["weight_each"],
              road_table.at("use", 1)) + "))", why="from the oxygen at loading to its act limit"),
    Field("more_fish", "More fish that would fit, at the planned density", quantity(FishCount), unit="fish",
          result=_more("fits_plan"), why="in the same vessels, by density, oxygen, ammonia and CO2"),
    Field("more_fish_most", "More fish that would fit, at the highest density", quantity(FishCount), unit="fish",
          result=_more("fits_most"), why="go with care"),
    Heading("The trip again, with one thing changed"),
    Note("Each row shows the fullest vessel at the end of the trip, calculated at its warmest temperature."),
)
FORM = Form(SHEET, ITEMS)


@dataclass(frozen=True)
class Otherwise:
    """A change: how warm, how long, how much air, what weight of fish, as formula texts from what is planned."""

    name: str
    label: str
    warmth: str = "{}"
    minutes: str = "{}"
    air: str = "{}"
    fish: str = "{}"


def _changes(plan: Plan) -> tuple[Otherwise, ...]:
    degrees = plan.book.show(quantity(TemperatureDifference), WARMER)
    unit, top = quantity(TemperatureDifference).unit_in(plan.book.units), 95 if plan.book.units == "us" else 35
    one = f"{plan['fish_weight']}/{plan['fish_count']}"
    return (
        Otherwise("as_planned", "As planned"),
        Otherwise("warmer", f"{degrees:g} {unit} warmer", warmth=f"MIN({top},{{}}+{degrees:g})"),
        Otherwise("longer", "Half an hour longer", minutes="({}+30)"),
        Otherwise("half_air", "Half the air", air="{}/2"),
        Otherwise("one_more", "One more fish in the vessel", fish=f"({{}}+{one})"),
        Otherwise("pump_off", "No pump at all", air="{}*0"),
    )


# Columns to the right of the verdict: what the row rests on.
_BASIS = {"warmth": "G", "hours": "H", "air": "I", "fish": "J", "use": "K", "out": "L", "start": "M", "tan": "N",
          "ph": "O"}
_VALUE = {"oxygen": "B", "nh3": "C", "co2": "D"}
_CLEAN = {"oxygen": "P", "nh3": "Q", "co2": "R"}  # hidden: the clean cells of these values


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "What if one thing were different, and the rest as planned?", landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    row = FORM.last_row + 1
    headings(sheet, row, ("What changes", "Oxygen\nmg/L", "Un-ionised ammonia\n(NH3-N), mg/L", "CO2\nmg/L", "Verdict"),
             height=30)
    warmth, weight = (quantity(hint).unit_in(book.units) for hint in (WaterTemperature, Biomass))
    headings(sheet, row, (f"Warmest water\n{warmth}", "Hours", "Air\nL/min", f"Weight of fish\n{weight}",
                          "Oxygen use\nmg/kg/h", "Ammonia given off\nmg/kg/h as N", "Oxygen at loading\nmg/L",
                          "Total ammonia (TAN)\nmg/L as N", "pH"),
             first=7)
    for letter in _BASIS.values():
        sheet.column_dimensions[letter].width = 18
    judge = judged.rule_named(plan, "changed_trip")
    asked = {one.name: one for one in judge.questions}
    for letter in _CLEAN.values():
        sheet.column_dimensions[letter].hidden = True
    for at, change in enumerate(_changes(plan), row + 1):
        put(sheet, f"A{at}", change.label, "strong")
        for letter, text, shown in _cells(plan, change, at):
            put(sheet, f"{letter}{at}", f'=IF({plan["road_ready"]}<>"yes","",{text})', "result", shown)
        for gas, letter in _CLEAN.items():
            put(sheet, f"{letter}{at}", f"={clean(asked[f'changed_{gas}'], f'${_VALUE[gas]}{at}', book.units)}", "note")
        cells = {f"changed_{gas}": f"${letter}{at}" for gas, letter in _CLEAN.items()}
        verdict = judged.text(judge.name, **cells)(plan)
        put(sheet, f"E{at}", f'=IF({plan["road_ready"]}<>"yes","",{verdict})', "key", align="left")
        book.define(f"if_{change.name}", SHEET, f"E{at}")
    last = row + len(_changes(plan))
    style.verdict_colours(sheet, [f"E{row + 1}:E{last}"])
    sheet.freeze_panes = "A5"
    sheet.print_area = f"A1:E{last}"


def _cells(plan: Plan, change: Otherwise, row: int) -> list[tuple[str, str, str]]:
    """Column, formula and number format of a row's numbers."""
    book = plan.book
    warmth, hours, air, fish, use, out, start, tan, ph = (f"${letter}{row}" for letter in _BASIS.values())
    water, depth, stone, height = (plan[key] for key in ("water_each", "air_depth", "stone_used", "elevation"))
    phosphate, first_co2 = plan["from_phosphate"], road_table.at("co2", 0)
    # Warmer water holds less oxygen to begin with.
    full = [book.call("OXYGEN_SATURATION", t, "0", height) for t in (warmth, plan["warmest"])]
    sealed = f'{plan["carried"]}="{SEALED}"'
    oxygen = book.call("TRIP_OXYGEN", start, fish, use, water, warmth, hours, air, depth, height, stone)
    co2 = book.call("TRIP_CARBON_DIOXIDE", first_co2, fish, use, out, water, warmth, hours, air, depth, stone,
                    '"expected"')
    trip_ph = book.call("TRIP_PH", plan["from_ph_now"], plan["from_alkalinity"], fish, use, out, water, warmth, hours,
                        phosphate,
                        air, depth, stone, '"expected"')
    shown = {hint: style.format_of(quantity(hint), book.units) for hint in (Oxygen, UnionizedAmmonia, CarbonDioxide)}
    return [
        ("G", change.warmth.format(plan["warmest"]), "0.0"),
        ("H", f"{change.minutes.format(plan['trip_minutes'])}/60", "0.00"),
        ("I", change.air.format(plan["air_used"]), "0.0"), ("J", change.fish.format(plan["weight_each"]), "0.00"),
        ("K", mean_rate(plan, warmth), "0"), ("L", excretion(plan, warmth), "0.0"),
        ("M", f"{plan['start_oxygen']}*({full[0]})/({full[1]})", "0.0"),
        ("N", book.call("TRIP_AMMONIA", plan["start_tan"], fish, out, water, hours), "0.00"), ("O", trip_ph, "0.00"),
        ("B", f'IF({sealed},"",{oxygen})', shown[Oxygen]),
        ("C", book.call("AMMONIA_UNIONIZED", tan, ph, warmth, '""'), shown[UnionizedAmmonia]),
        ("D", co2, shown[CarbonDioxide]),
    ]
