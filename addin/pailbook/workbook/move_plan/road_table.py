"""Sheet "Road table": the fullest vessel's water from loading to unloading, and through a delay.

Each row continues from the one before it, with the rates of its own stretch: fish breathe most in the first hour, the
water warms or cools, the pump may be off. The expected case stands beside the worst: more stress, a poorer air stone,
pH read too low or too high by half the resolution of the kit.
"""

from __future__ import annotations

from collections.abc import Callable

from pailbook.quantities import PH, CarbonDioxide, Oxygen, UnionizedAmmonia, WaterTemperature
from pailbook.workbook.columns import Column, Table, quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import waters
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.sheets import write_table

SHEET = "Road table"
ON_TRIP, IN_DELAY = 9, 3  # stretches
CACO3_PER_N = 50.043 / 14.007  # alkalinity that each mg of ammonia nitrogen brings along
_O2, _CO2, _NH3, _PH = (quantity(hint) for hint in (Oxygen, CarbonDioxide, UnionizedAmmonia, PH))

COLUMNS = (
    Column("minute", "Minutes since loading", kind="result", width=9, format="0"),
    Column("temperature", "Water temperature", quantity(WaterTemperature), "result", 11),
    Column("oxygen", "Oxygen, expected", _O2, "result", 9, format="0.0"),
    Column("oxygen_still", "Oxygen, no air", _O2, "result", 9, format="0.0"),
    Column("oxygen_worst", "Oxygen, worst case", _O2, "result", 9, format="0.0"),
    Column("tan", "Total ammonia (TAN)\nmg/L as N", kind="result", width=11, format="0.00"),
    Column("co2", "CO2, expected", _CO2, "result", 9),
    Column("co2_kept", "CO2, all stays in", _CO2, "result", 9),
    Column("co2_worst", "CO2, worst case", _CO2, "result", 9),
    Column("ph", "pH, expected", _PH, "result", 9),
    Column("ph_kept", "pH, all CO2 stays in", _PH, "result", 9),
    Column("ph_aired", "pH, all CO2 removed", _PH, "result", 9),
    Column("nh3", "Un-ionised ammonia (NH3-N), expected", _NH3, "result", 12),
    Column("nh3_kept", "NH3-N, all CO2 stays in", _NH3, "result", 9),
    Column("nh3_aired", "NH3-N, all CO2 removed", _NH3, "result", 9),
    Column("nh3_worst", "NH3-N, worst case", _NH3, "result", 9),
    Column("met", "Limit reached, expected", kind="result", width=15),
    Column("met_worst", "Limit reached, worst case", kind="result", width=15),
    Column("activity", "Breathing, times resting", kind="result", width=10, format="0.00"),
    Column("air", "Air\nL/min", kind="result", width=7, format="0.0"),
    Column("use", "Oxygen use\nmg/kg/h", kind="result", width=9, format="0"),
    Column("excreted", "Ammonia given off\nmg/kg/h as N", kind="result", width=10, format="0.0"),
    Column("alkalinity", "Alkalinity\nmg/L as CaCO3", kind="result", width=10, format="0"),
    Column("o2_watch", "watch: oxygen", _O2, "result", 8),
    Column("o2_act", "act: oxygen", _O2, "result", 8),
    Column("nh3_watch", "watch: NH3-N", _NH3, "result", 8),
    Column("nh3_act", "act: NH3-N", _NH3, "result", 8),
)


def table() -> Table:
    """Where the rows stand: the moment of loading, the stretches of the trip, those of the delay."""
    return Table(SHEET, COLUMNS, 1 + ON_TRIP + IN_DELAY)


def at(key: str, stretch: int) -> str:
    """A value at the end of that stretch; 0 is the moment of loading."""
    t = table()
    return f"{quoted(SHEET)}!{t.cell(key, t.first_row + stretch)}"


def span(key: str, last: int = ON_TRIP) -> str:
    """The values from loading to the end of that stretch."""
    t = table()
    return f"{quoted(SHEET)}!${t.letter(key)}${t.first_row}:${t.letter(key)}${t.first_row + last}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, table()
    sheet = book.sheet(SHEET, "The fullest vessel, every few minutes; the last rows are the delay. Nothing to fill in.")
    ready, load, water = plan["road_ready"], plan["weight_each"], plan["water_each"]
    depth, stone, elevation, species = (plan[k] for k in ("air_depth", "stone_used", "elevation", "species"))
    sealed, phosphate = f'{plan["carried"]}="{SEALED}"', plan["from_phosphate"]
    warmest = "95" if book.units == "us" else "35"  # where the data on breathing end

    def now(key: str, row: int) -> str:
        return t.cell(key, row)

    def before(key: str, row: int) -> str:
        return t.cell(key, row - 1)

    def hours(row: int) -> str:
        return f"({now('minute', row)}-{before('minute', row)})/60"

    def guarded(text: Callable[[int], str], start: str = "") -> Callable[[int], str]:
        """The start in the first row, then what the text says; blank until the trip can be calculated."""
        def formula(row: int) -> str:
            return f'IF({ready}<>"yes","",{start if start and row == t.first_row else text(row)})'
        return formula

    def minute(row: int) -> str:
        stretch = row - t.first_row
        if stretch <= ON_TRIP:
            return f"{plan['trip_minutes']}*{stretch}/{ON_TRIP}"
        return f"{plan['trip_minutes']}+{plan['delay_minutes']}*{stretch - ON_TRIP}/{IN_DELAY}"

    def temperature(row: int) -> str:
        return book.call("WATER_TEMPERATURE_AFTER", plan["from_temperature"], plan["air_temperature"],
                         f"{now('minute', row)}/60", water, '""', plan["cover"])

    def breathed(row: int) -> str:
        return f"MIN({warmest},{now('temperature', row)})"

    def activity(row: int) -> str:
        begin, end = before("minute", row), now("minute", row)
        first = f"(MIN({end},60)-MIN({begin},60))"
        calm = plan["activity_after"]
        return f"IF({end}={begin},{calm},{calm}+({plan['activity_first']}-{calm})*{first}/({end}-{begin}))"

    def air(row: int) -> str:
        off = f"OR({before('minute', row)}<{plan['pump_off_minutes']},{now('minute', row)}>60*{plan['battery_hours']})"
        return f"IF({off},0,{plan['air_used']})"

    def use(row: int) -> str:
        return book.call("OXYGEN_CONSUMPTION", plan["fish_mass"], breathed(row), now("activity", row), species)

    def excreted(row: int) -> str:
        return book.call("AMMONIA_EXCRETION", plan["fish_mass"], breathed(row), plan["hours_fasted"], species)

    def oxygen(key: str, air_text: str, stress: str = "1") -> Callable[[int], str]:
        def text(row: int) -> str:
            call = book.call(
                "TRIP_OXYGEN", before(key, row), load, f"{now('use', row)}*{stress}", water, breathed(row), hours(row),
                air_text.format(air=now("air", row)), depth, elevation, stone)
            return f'IF({sealed},{before(key, row)},{call})'
        return text

    def carbon_dioxide(key: str, venting: str, air_text: str = "{air}", stress: str = "1") -> Callable[[int], str]:
        return lambda row: book.call(
            "TRIP_CARBON_DIOXIDE", before(key, row), load, f"{now('use', row)}*{stress}", now("excreted", row), water,
            breathed(row), hours(row), air_text.format(air=now("air", row)), depth, stone, f'"{venting}"')

    def ph(key: str, venting: str) -> Callable[[int], str]:
        return lambda row: book.call(
            "TRIP_PH", before(key, row), before("alkalinity", row), load, now("use", row), now("excreted", row), water,
            breathed(row), hours(row), phosphate, now("air", row), depth, stone, f'"{venting}"')

    def ammonia(row: int) -> str:
        return book.call("TRIP_AMMONIA", before("tan", row), load, now("excreted", row), water, hours(row))

    def nh3(key: str) -> Callable[[int], str]:
        return lambda row: book.call("AMMONIA_UNIONIZED", now("tan", row), now(key, row), now("temperature", row), '""')

    def nh3_worst(row: int) -> str:
        higher = f"MIN(11,{now('ph', row)}+{waters.kit_resolution('ph')}/2)"
        more = f"({now('tan', row)}-{plan['start_tan']})*{plan['worst_stress']}+{plan['start_tan']}"
        return book.call("AMMONIA_UNIONIZED", more, higher, now("temperature", row), '""')

    def met(oxygen_key: str, nh3_key: str, co2_key: str) -> Callable[[int], str]:
        def text(row: int) -> str:
            low = f'AND(NOT({sealed}),{now(oxygen_key, row)}<{plan["limit_oxygen_act"]})'
            return (f'IF({low},"oxygen",IF({now(nh3_key, row)}>{plan["limit_nh3_act"]},"ammonia",'
                    f'IF({now(co2_key, row)}>{plan["limit_co2_act"]},"carbon dioxide","none")))')
        return text

    worst_air, stress = "{air}*" + plan["worst_stone"], plan["worst_stress"]
    co2_start = book.call("CARBON_DIOXIDE", plan["from_ph_now"], plan["from_alkalinity"], plan["from_temperature"],
                          phosphate, '""', '""', '""')
    lower_ph = f"MAX(4,{plan['from_ph_now']}-{waters.kit_resolution('ph')}/2)"
    co2_worst = book.call("CARBON_DIOXIDE", lower_ph, plan["from_alkalinity"], plan["from_temperature"], phosphate,
                          '""', '""', '""')
    start = plan["start_oxygen"]
    write_table(book, sheet, t, {
        "minute": guarded(minute), "temperature": guarded(temperature),
        "oxygen": guarded(oxygen("oxygen", "{air}"), start), "oxygen_still": guarded(oxygen("oxygen_still", "0"),
            start),
        "oxygen_worst": guarded(oxygen("oxygen_worst", worst_air, stress), start),
        "tan": guarded(ammonia, plan["start_tan"]),
        "co2": guarded(carbon_dioxide("co2", "expected"), co2_start),
        "co2_kept": guarded(carbon_dioxide("co2_kept", "kept in"), co2_start),
        "co2_worst": guarded(carbon_dioxide("co2_worst", "expected", worst_air, stress), co2_worst),
        "ph": guarded(ph("ph", "expected"), plan["from_ph_now"]),
        "ph_kept": guarded(ph("ph_kept", "kept in"), plan["from_ph_now"]),
        "ph_aired": guarded(lambda row: book.call(
            "PH_AERATED", now("alkalinity", row), now("temperature", row), phosphate, '""', '""', '""',
            '""')),
        "nh3": guarded(nh3("ph")), "nh3_kept": guarded(nh3("ph_kept")), "nh3_aired": guarded(nh3("ph_aired")),
        "nh3_worst": guarded(nh3_worst),
        "met": guarded(met("oxygen", "nh3", "co2")), "met_worst": guarded(met("oxygen_worst", "nh3_worst",
            "co2_worst")),
        "activity": guarded(activity, plan["activity_first"]), "air": guarded(air, plan["air_used"]),
        "use": guarded(use), "excreted": guarded(excreted),
        "alkalinity": guarded(
            lambda row: f"{plan['from_alkalinity']}+({now('tan', row)}-{plan['start_tan']})*{CACO3_PER_N:.6g}"),
        "o2_watch": guarded(lambda row: plan["limit_oxygen_watch"]),
        "o2_act": guarded(lambda row: plan["limit_oxygen_act"]),
        "nh3_watch": guarded(lambda row: plan["limit_nh3_watch"]),
        "nh3_act": guarded(lambda row: plan["limit_nh3_act"]),
    }, freeze="temperature", heading_height=58)
    sheet.auto_filter.ref = None
    sheet.print_area = f"A1:{t.letter('alkalinity')}{t.last_row}"  # the limits to its right are the charts'
