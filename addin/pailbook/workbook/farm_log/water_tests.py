"""Sheet "Water tests": what was read, and what follows from it.

The input columns, their keys and their order are what a reader of records fills in.
"""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import (
    PH,
    Alkalinity,
    CarbonDioxide,
    Conductivity,
    Oxygen,
    Percent,
    Phosphate,
    TotalAmmonia,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import latest, limits, settings, systems
from pailbook.workbook.farm_log.log import ELEVATION, Log
from pailbook.workbook.farm_log.usable import beyond, outside
from pailbook.workbook.farm_log.verdict import reasons, unknown, worst
from pailbook.workbook.measures import HARDNESS, NITRATE, NITRITE, quantity
from pailbook.workbook.sheets import Formula, write_table

SHEET = "Water tests"
_BASIS = "in the basis set on Settings"
ROWS = 500

INPUTS = (
    Column("date", "Date", kind="date", width=11),
    Column("time", "Time", kind="time", width=7),
    Column("system", "System", kind="choice", width=14),
    Column("temperature", terms.WATER_TEMPERATURE, quantity(WaterTemperature), width=11),
    Column("ph", "pH", quantity(PH), width=7),
    Column("oxygen", terms.DISSOLVED_OXYGEN, quantity(Oxygen), width=10),
    Column("tan", terms.TOTAL_AMMONIA, quantity(TotalAmmonia), width=12, basis="basis_ammonia",
           help=f"Total ammonia (NH3 and NH4 together), {_BASIS}"),
    Column("nitrite", terms.NITRITE, NITRITE, width=9, basis="basis_nitrite"),
    Column("nitrate", terms.NITRATE, NITRATE, width=9, basis="basis_nitrate"),
    Column("phosphate", terms.PHOSPHATE, quantity(Phosphate), width=10, basis="basis_phosphate",
           help=f"Phosphate, {_BASIS}"),
    Column("alkalinity", terms.ALKALINITY_ONCE, quantity(Alkalinity), width=10, basis="basis_alkalinity", format="0.0",
           help="Total alkalinity (carbonate hardness), in the unit set on Settings"),
    Column("hardness", terms.HARDNESS_ONCE, HARDNESS, width=10, basis="basis_hardness", format="0.0"),
    Column("conductivity", "Conductivity (EC)", quantity(Conductivity), width=12),
    Column("tester", "Tester", kind="text", width=10),
    Column("note", "Note", kind="text", width=22),
)
RESULTS = (
    Column("verdict", "Verdict", kind="result", width=12),
    Column("why", "Why", kind="result", width=36),
    Column("nh3", terms.UNIONISED_AMMONIA, quantity(UnionizedAmmonia), "result", 11),
    Column("saturation", "Oxygen saturation", quantity(Percent), "result", 11),
    Column("co2", terms.CARBON_DIOXIDE, quantity(CarbonDioxide), "result", 9),
    Column("tan_n", "Total ammonia (TAN) as N\nmg/L", kind="result", width=10, format="0.00"),
    Column("no2", "Nitrite as NO2\nmg/L", kind="result", width=9, format="0.00"),
    Column("no3", "Nitrate as NO3\nmg/L", kind="result", width=9, format="0.0"),
    Column("po4", "Phosphate as PO4\nmg/L", kind="result", width=10, format="0.0"),
    Column("when", "Time stamp", kind="result", width=10, hidden=True),
    Column("kind", "Column of limits", kind="result", width=8, hidden=True),
    Column("place", "Place on the list of systems", kind="result", width=8, hidden=True),
    Column("unknown", "What is not known", kind="result", width=8, hidden=True),
    Column("order", "Place in time, by system", kind="result", width=8, hidden=True),
    Column("nh3_order", "The same of tests with un-ionised ammonia", kind="result", width=8, hidden=True),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(INPUTS + RESULTS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row per test, in any order. Leave blank what you did not test. Where a kit shows "
                              "less than its lowest value, type that value.")

    def in_basis(key: str, basis: str) -> Formula:
        def text(row: int) -> str:
            cell, column, factor = t.cell(key, row), t.column(key), settings.factor(basis)
            assert column.quantity is not None, key
            impossible = outside(column.quantity, book.units, f"{cell}*{factor}")
            return f'IF(COUNT({cell},{factor})<2,"",IF({impossible},"",{cell}*{factor}))'
        return text

    def guarded(cells: tuple[str, ...], text: str) -> str:
        # A reading that no water has, which is said under Why, has no answer.
        return f'IF(COUNT({",".join(cells)})<{len(cells)},"",IFERROR({text},""))'

    def nh3(row: int) -> str:
        tan, ph, temperature, ec = (t.cell(key, row) for key in ("tan_n", "ph", "temperature", "conductivity"))
        return guarded((tan, ph, temperature), book.call("AMMONIA_UNIONIZED", tan, ph, temperature, ec))

    def saturation(row: int) -> str:
        oxygen, temperature, place = (t.cell(key, row) for key in ("oxygen", "temperature", "place"))
        height = f'IF({place}="",{ELEVATION},{log[systems.SHEET].at("elevation_used", place)})'
        return guarded((oxygen, temperature), book.call("OXYGEN_PERCENT", oxygen, temperature, "0", height))

    def co2(row: int) -> str:
        ph, alkalinity, temperature, po4, ec = (
            t.cell(key, row) for key in ("ph", "alkalinity", "temperature", "po4", "conductivity"))
        factor = settings.factor("basis_alkalinity")
        return guarded((ph, alkalinity, temperature, factor), book.call(
            "CARBON_DIOXIDE", ph, f"{alkalinity}*{factor}", temperature, po4, ec, '""', '""'))

    def filled(row: int, text: str) -> str:
        return f'IF(COUNTA({t.span("temperature", "conductivity", row)})=0,"",{text})'

    def when(row: int) -> str:
        # The row's own tiny share makes each stamp differ, so that it also finds its row.
        date, time = t.cell("date", row), t.cell("time", row)
        clock = f"IF(ISNUMBER({time}),IF({beyond(t.column('time'), book.units, time)},0,{time}),0)"
        return f"IF(ISNUMBER({date}),IF({beyond(t.column('date'), book.units, date)},0,{date}+{clock}+ROW()*1E-9),0)"

    def place(row: int) -> str:
        system = t.cell("system", row)
        return f'IF(ISBLANK({system}),"",IFERROR(MATCH({system},{log[systems.SHEET].range("system")},0),""))'

    def kind(row: int) -> str:
        at = t.cell("place", row)
        return filled(row, f'IF({at}="",{len(limits.KINDS)},{log[systems.SHEET].at("kind", at)})')

    def nh3_order(row: int) -> str:
        return f'IF(ISNUMBER({t.cell("nh3", row)}),{t.cell("order", row)},"")'

    write_table(
        book, sheet, t,
        {
            "verdict": lambda row: filled(row, worst(t.cell("why", row))),
            "why": lambda row: filled(row, reasons(log, row)),
            "nh3": nh3, "saturation": saturation, "co2": co2,
            "tan_n": in_basis("tan", "basis_ammonia"), "no2": in_basis("nitrite", "basis_nitrite"),
            "no3": in_basis("nitrate", "basis_nitrate"), "po4": in_basis("phosphate", "basis_phosphate"),
            "when": when, "place": place, "nh3_order": nh3_order,
            "order": lambda row: latest.order(t.cell("place", row), t.cell("when", row)),
            "unknown": lambda row: filled(row, unknown(log, row)),
            "kind": kind,
        },
        freeze="temperature", bases=settings.heading_cells(), verdicts=("verdict",), heading_height=58,
    )
    # What was typed stands on paper once: the same readings in the log's basis would make all letters smaller.
    sheet.print_area = f"A1:{t.letter('co2')}{t.last_row}"
