"""The exchanges of water at the door: what each does to temperature, pH and ammonia, and when the next may follow."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import WaterTemperature
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import headings, put

SHEET = "Arrival"
HEADING_ROW = 33
STEPS = 6  # exchanges that are shown
_LETTERS = {"label": "A", "temperature": "B", "ph": "C", "tan": "D", "nh3": "E", "minute": "G"}


READINGS = ("door_ph", "door_temperature", "door_tan", "vessel_alkalinity", "tank_ph", "tank_temperature",
            "tank_alkalinity", "exchange_share", "exchange_minutes")


def not_ready(plan: Plan) -> str:
    """Condition that holds until all readings for the exchanges are known."""
    return f'COUNT({",".join(plan[key] for key in READINGS)})<{len(READINGS)}'


def cell(key: str, step: int) -> str:
    """A cell of the table of exchanges; step 0 is the vessel on arrival."""
    return f"{quoted(SHEET)}!${_LETTERS[key]}${HEADING_ROW + 1 + step}"


def nh3_span() -> str:
    """The cells with NH3-N after each exchange."""
    first, last = (cell("nh3", step) for step in (1, STEPS))
    return f"{first}:{last.split('!')[1]}"


def write(plan: Plan, sheet: Worksheet) -> None:
    """Writes the table of exchanges below the form of the sheet Arrival."""
    book, row = plan.book, HEADING_ROW
    unit = quantity(WaterTemperature).unit_in(book.units)
    headings(sheet, row, ("In the vessel", f"Temperature\n{unit}", "pH", "Total ammonia (TAN)\nmg/L as N",
                          "Un-ionised ammonia\n(NH3-N), mg/L"), height=30)
    headings(sheet, row, ("Minute",), first=7)
    for step in range(STEPS + 1):
        for key, shown, text in _step(plan, step):
            where = cell(key, step).split("!")[1].replace("$", "")
            put(sheet, where, f'=IF({not_ready(plan)},"",{text})', "strong" if key == "label" else "result", shown,
                align="left" if key in ("label", "nh3") else "right")


def _step(plan: Plan, step: int) -> list[tuple[str, str, str]]:
    """Key, number format and formula of a row's cells: the water in the vessel after that many exchanges."""
    book, share, times = plan.book, plan["exchange_share"], str(step)
    temperature, minute = cell("temperature", step), cell("minute", step)
    tank_tan = f"MAX(0,{plan['tank_tan']})"
    nh3 = book.call("AMMONIA_UNIONIZED", cell("tan", step), cell("ph", step), temperature, '""')
    if not step:
        values = {"label": '"on arrival"', "minute": "0", "temperature": plan["door_temperature"],
                  "ph": plan["door_ph"], "tan": plan["door_tan"]}
    else:
        temper = book.call("TEMPERING_MINUTES", cell("temperature", step - 1), temperature)
        ph = book.call("EXCHANGE_PH", plan["door_ph"], plan["vessel_alkalinity"], plan["tank_ph"],
                       plan["tank_alkalinity"],
                       temperature, share, times, plan["from_phosphate"], plan["to_phosphate"])
        values = {
            "label": f'"after exchange {step}; wait until minute "&{minute}',
            "minute": f"{cell('minute', step - 1)}+MAX({plan['exchange_minutes']},ROUND({temper},0))",
            "temperature": book.call("EXCHANGE_RESULT", plan["door_temperature"], plan["tank_temperature"], share,
                                     times),
            "ph": f'IFERROR({ph},"")', "tan": book.call("EXCHANGE_RESULT", plan["door_tan"], tank_tan, share, times),
        }
    values["nh3"] = f'IFERROR({nh3},"")'
    shown = {"label": "General", "minute": "0", "temperature": "0.0", "ph": "0.00", "tan": "0.00", "nh3": "0.000"}
    return [(key, shown[key], text) for key, text in values.items()]
