"""Sheet "Road card": what the driver needs, on one page, to print."""

from __future__ import annotations

from pailbook.quantities import Biomass, Oxygen, WaterTemperature
from pailbook.terms import NOT_KNOWN, NOT_YET
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import judged
from pailbook.workbook.sheets import put, section, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Road card"
# What may take two lines.
_LONG = ("If the pump stops", "What to do", "Ammonia as the waters mix", "Oxygen", "Haul water")
_VESSELS = 12  # lines to write counts on


def _lines(plan: Plan) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """The parts of the card, each line a label and a formula."""
    units = plan.book.units
    weight, warmth = quantity(Biomass).unit_in(units), quantity(WaterTemperature).unit_in(units)
    mass = "lb" if units == "us" else "kg"

    def number(key: str, decimals: int, unit: str = "") -> str:
        unit = f" {unit}" if unit else ""
        return f'IF(ISNUMBER({plan[key]}),ROUND({plan[key]},{decimals})&"{unit}","")'

    def shown(key: str) -> str:
        return judged.shown(plan[key])

    def with_all(keys: str, text: str) -> str:
        """The text once all those values are known; no words around gaps."""
        missing = ",".join(f'IF(ISERROR({plan[key]}),TRUE,{plan[key]}="")' for key in keys.split())
        return f'IF(OR({missing}),"",{text})'

    def on_trip(text: str) -> str:
        """The text once the trip can be calculated."""
        return f'IF({plan["road_ready"]}="yes",{text},"")'

    oxygen = quantity(Oxygen).unit
    nearer = "drive to whichever end is nearer"
    return (
        ("The trip", (
            ("Number to call", f'IF(ISERROR({plan["phone"]}),"",{plan["phone"]}&"")'),
            ("Go?", f'{shown("answer")}&IF({plan["answer"]}="{NOT_YET}","; see the reason on Start","")'),
            ("From, to", with_all("from_system to_system", f'{plan["from_system"]}&" to "&{plan["to_system"]}')),
            ("Client, day", f'{shown("client")}&IF(ISNUMBER({plan["move_date"]}),'
                            f'" on "&TEXT({plan["move_date"]},"yyyy-mm-dd"),"")'),
            ("Fish", with_all("fish_count fish_weight",
                              f'{number("fish_count", 0, "fish")}&", "&{number("fish_weight", 2, weight)}')),
            ("Vessels", with_all("vessel_count fish_each",
                                 f'{number("vessel_count", 0)}&IF({plan["vessel_count"]}=1," vessel"," vessels")'
                                 f'&", no more than "&{number("fish_each", 0, "fish in each")}')),
            ("Weight of a full vessel",
             number("vessel_weight", 0, f"{mass} plus the weight of the vessel. Two people lift it; use straps.")),
            ("Minutes in the vessel",
             with_all("trip_minutes worst_minutes",
                      f'{number("trip_minutes", 0, "expected")}&", "&{number("worst_minutes", 0, "with the delay")}')),
            ("Air into each vessel", number("air_used", 1, "L/min, from loading until the last fish is out")),
        )),
        ("On the road", (
            ("If the pump stops",
             f'IF(ISNUMBER({plan["minutes_without_air"]}),"The fish have "&{plan["minutes_without_air"]}&" minutes. '
             f'Start the spare pump, or scoop water up and let it fall back; {nearer}.","")'),
            ("Oxygen", on_trip(f'"Below "&{number("limit_oxygen_watch", 1, oxygen)}&" check every few minutes. Below "&'
                               f'{number("limit_oxygen_act", 1, oxygen)}&" stop, give more air, then {nearer}."')),
            ("Fish gasp at the surface", '"Give more air now and check every stone. Call the number above."'),
            ("If things go badly", on_trip(first_that_holds((
                (f'ISERROR({plan["worst_limit"]})', f'"{NOT_KNOWN}"'),
                (f'{plan["worst_limit"]}="none"', '"no limit is reached, even with a delay"'),
            ), f'{plan["worst_limit"]}&" reaches its limit first"&IF(ISNUMBER({plan["worst_limit_minute"]}),'
               f'", after "&{number("worst_limit_minute", 0, "minutes")},"")'))),
            ("Water temperature: loading, arrival",
             with_all("from_temperature end_temperature",
                      f'{number("from_temperature", 1, warmth)}&" to "&{number("end_temperature", 1, warmth)}')),
        )),
        ("At the door", (
            ("pH: vessel and tank",
             with_all("door_ph tank_ph",
                      f'{number("door_ph", 1)}&" and "&{number("tank_ph", 1)}&" expected; test both at the door"')),
            ("Water temperature: vessel and tank",
             with_all("door_temperature tank_temperature",
                      f'{number("door_temperature", 1, warmth)}&" and "&{number("tank_temperature", 1, warmth)}')),
            ("What to do", on_trip(shown("arrival_how"))),
            ("Ammonia as the waters mix", on_trip(shown("door_rise_verdict"))),
            ("Haul water",
             '"Keep the water they travelled in (haul water) out of the tank and, if it is salted, off plants too. '
             'Follow local rules for discharge."'),
        )),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Print it and keep it where the driver can read it.", landscape=False)
    widths(sheet, 36, 78)
    row = 4
    for heading, lines in _lines(plan):
        section(sheet, row, heading, 2)
        for label, text in lines:
            row += 1
            put(sheet, f"A{row}", label, "strong")
            put(sheet, f"B{row}", f"={text}", "key", wrap=True, align="left")
            sheet.row_dimensions[row].height = 30 if label in _LONG else 20
        row += 2
    put(sheet, f"A{row}", "Vessel", "strong")
    put(sheet, f"B{row}", "Fish in this vessel", "strong")
    for number in range(1, _VESSELS + 1):
        put(sheet, f"A{row + number}", number, "text", align="left")
        put(sheet, f"B{row + number}", "loaded: ________   unloaded: ________   dead: ________", "text")
    sheet.print_area = f"A1:B{row + _VESSELS}"
    sheet.page_setup.fitToHeight = 1
