"""Sheet "Road card": what the driver needs, on one page, to print."""

from __future__ import annotations

from pailbook.quantities import Biomass, Oxygen, WaterTemperature
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, section, widths

SHEET = "Road card"
_LONG = ("If the pump stops", "How", "Ammonia as the waters mix")  # what may take two lines
_VESSELS = 12  # lines to write counts on


def _lines(plan: Plan) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """The parts of the card, each line a label and a formula."""
    units = plan.book.units
    weight, warmth = quantity(Biomass).unit_in(units), quantity(WaterTemperature).unit_in(units)
    mass = "lb" if units == "us" else "kg"

    def number(key: str, decimals: int, unit: str = "") -> str:
        return f'IF({plan[key]}="","",ROUND({plan[key]},{decimals})&" {unit}")'

    def shown(key: str) -> str:
        return f'IF({plan[key]}="","",{plan[key]})'

    def with_all(keys: str, text: str) -> str:
        """The text once all those values are there; no words around gaps."""
        missing = ",".join(f'{plan[key]}=""' for key in keys.split())
        return f'IF(OR({missing}),"",{text})'

    oxygen = quantity(Oxygen).unit
    return (
        ("The trip", (
            ("Go?", f'{shown("answer")}&IF({plan["answer"]}="not yet",": fill in Start first","")'),
            ("From, to", with_all("from_system to_system", f'{plan["from_system"]}&" to "&{plan["to_system"]}')),
            ("Client, day",
             f'{plan["client"]}&IF({plan["move_date"]}="",""," on "&TEXT({plan["move_date"]},"yyyy-mm-dd"))'),
            ("Fish", with_all("fish_count fish_weight",
                     f'{shown("fish_count")}&" fish, "&{number("fish_weight", 1, weight)}')),
            ("Vessels", with_all("vessel_count fish_each",
                     f'{shown("vessel_count")}&" vessels, at most "&{shown("fish_each")}&" fish in each"')),
            ("A full vessel weighs", number("vessel_weight", 0, f"{mass} without the vessel: straps, two people")),
            ("Minutes in the vessel",
             with_all("trip_minutes worst_minutes",
                      f'{number("trip_minutes", 0, "expected")}&", "&{number("worst_minutes", 0, "with the delay")}')),
            ("Air into each vessel", number("air_used", 1, "L/min, from loading to the last fish out")),
        )),
        ("Watch for", (
            ("If the pump stops",
             f'IF({plan["minutes_without_air"]}="","",{plan["minutes_without_air"]}&" minutes: spare '
                                  'pump, or stir and pour water from high; turn to the nearer end")'),
            ("Oxygen", f'"watch below "&{number("limit_oxygen_watch", 1, oxygen)}&"; below "&'
                       f'{number("limit_oxygen_act", 1, oxygen)}&": stop, more air, turn to the nearer end"'),
            ("Fish at the surface, gasping", '"more air now; check each stone; do not feed"'),
            ("First limit met, worst case", f'{shown("worst_limit")}&IF({plan["worst_limit_minute"]}="",""," after "&'
                                            f'{number("worst_limit_minute", 0, "min")})'),
            ("Water, start and end",
             with_all("from_temperature end_temperature",
                      f'{number("from_temperature", 1, warmth)}&" to "&{number("end_temperature", 1, warmth)}')),
        )),
        ("At the door", (
            ("pH: vessel, tank",
             with_all("door_ph tank_ph",
                      f'{number("door_ph", 1)}&"and "&{number("tank_ph", 1)}&"as foreseen; read both again"')),
            ("Water: vessel, tank",
             with_all("door_temperature tank_temperature",
                      f'{number("door_temperature", 1, warmth)}&" and "&{number("tank_temperature", 1, warmth)}')),
            ("How", shown("arrival_how")),
            ("Ammonia as the waters mix", shown("door_rise_verdict")),
            ("Haul water", '"never into the tank; salted: never to plants; local rules for discharge"'),
            ("Number to call", '""'),
        )),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Print it and put it on the dashboard.", landscape=False)
    widths(sheet, 30, 78)
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
    put(sheet, f"B{row}", "Fish in it: count aloud, write it down", "strong")
    for number in range(1, _VESSELS + 1):
        put(sheet, f"A{row + number}", number, "text", align="left")
        put(sheet, f"B{row + number}", "at loading: ________   at unloading: ________   dead: ________", "text")
    sheet.print_area = f"A1:B{row + _VESSELS}"
    sheet.page_setup.fitToHeight = 1
