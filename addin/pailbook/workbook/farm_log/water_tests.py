"""Sheet "Water tests": what was read, and what follows from it.

The input columns, their keys and their order are what a reader of records fills in.
"""

from __future__ import annotations

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
from pailbook.workbook.farm_log import limits, settings, systems
from pailbook.workbook.farm_log.log import ELEVATION, Log
from pailbook.workbook.farm_log.verdict import reasons, worst
from pailbook.workbook.measures import HARDNESS, NITRATE, NITRITE, quantity
from pailbook.workbook.sheets import Formula, write_table

SHEET = "Water tests"
_BASIS = "in the basis set on Settings"
ROWS = 500

INPUTS = (
    Column("date", "Date", kind="date", width=11),
    Column("time", "Time", kind="time", width=7),
    Column("system", "System", kind="choice", width=14),
    Column("temperature", "Water temperature", quantity(WaterTemperature), width=11),
    Column("ph", "pH", quantity(PH), width=7),
    Column("oxygen", "Dissolved oxygen (DO)", quantity(Oxygen), width=10),
    Column("tan", "Total ammonia", quantity(TotalAmmonia), width=10, basis="basis_ammonia",
           help=f"Total ammonia (NH3 and NH4 together), {_BASIS}"),
    Column("nitrite", "Nitrite", NITRITE, width=9, basis="basis_nitrite"),
    Column("nitrate", "Nitrate", NITRATE, width=9, basis="basis_nitrate"),
    Column("phosphate", "Phosphate", quantity(Phosphate), width=10, basis="basis_phosphate",
           help=f"Phosphate, {_BASIS}"),
    Column("alkalinity", "Alkalinity", quantity(Alkalinity), width=10, basis="basis_alkalinity", format="0.0",
           help="Total alkalinity (carbonate hardness), in the unit set on Settings"),
    Column("hardness", "Hardness", HARDNESS, width=10, basis="basis_hardness", format="0.0"),
    Column("conductivity", "Conductivity (EC)", quantity(Conductivity), width=12),
    Column("tester", "Tester", kind="text", width=10),
    Column("note", "Note", kind="text", width=22),
)
RESULTS = (
    Column("verdict", "Verdict", kind="result", width=9),
    Column("why", "Why", kind="result", width=36),
    Column("nh3", "Un-ionised NH3-N", quantity(UnionizedAmmonia), "result", 11),
    Column("saturation", "Oxygen saturation", quantity(Percent), "result", 11),
    Column("co2", "Free CO2", quantity(CarbonDioxide), "result", 8),
    Column("tan_n", "TAN-N\nmg/L as N", kind="result", width=9, format="0.00"),
    Column("no2", "Nitrite\nmg/L as NO2", kind="result", width=9, format="0.00"),
    Column("no3", "Nitrate\nmg/L as NO3", kind="result", width=9, format="0.0"),
    Column("po4", "Phosphate\nmg/L as PO4", kind="result", width=10, format="0.0"),
    Column("when", "Time stamp", kind="result", width=10, hidden=True),
    Column("kind", "Column of limits", kind="result", width=8, hidden=True),
    Column("height", "Elevation in use", kind="result", width=8, hidden=True),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(INPUTS + RESULTS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row a test, in any order. Leave blank what you did not test. Below what a kit can "
                              "show, type the kit's lowest value.")

    def in_basis(key: str, basis: str) -> Formula:
        return lambda row: f'IF(ISNUMBER({t.cell(key, row)}),{t.cell(key, row)}*{settings.factor(basis)},"")'

    def guarded(count: int, cells: str, text: str) -> str:
        return f'IF(COUNT({cells})<{count},"",{text})'

    def nh3(row: int) -> str:
        tan, ph, temperature, ec = (t.cell(key, row) for key in ("tan_n", "ph", "temperature", "conductivity"))
        return guarded(3, f"{tan},{ph},{temperature}", book.call("AMMONIA_UNIONIZED", tan, ph, temperature, ec))

    def saturation(row: int) -> str:
        oxygen, temperature, height = (t.cell(key, row) for key in ("oxygen", "temperature", "height"))
        return guarded(2, f"{oxygen},{temperature}", book.call("OXYGEN_PERCENT", oxygen, temperature, "0", height))

    def co2(row: int) -> str:
        ph, alkalinity, temperature, po4, ec = (
            t.cell(key, row) for key in ("ph", "alkalinity", "temperature", "po4", "conductivity"))
        return guarded(3, f"{ph},{alkalinity},{temperature}", book.call(
            "CARBON_DIOXIDE", ph, f"{alkalinity}*{settings.factor('basis_alkalinity')}", temperature, po4, ec, '""',
            '""'))

    def filled(row: int, text: str) -> str:
        return f'IF(COUNTA({t.span("temperature", "conductivity", row)})=0,"",{text})'

    def when(row: int) -> str:
        # The row's own tiny share makes each stamp differ, so that it also finds its row.
        date, time = t.cell("date", row), t.cell("time", row)
        return f"IF(ISNUMBER({date}),{date}+IF(ISNUMBER({time}),{time},0)+ROW()*1E-9,0)"

    write_table(
        book, sheet, t,
        {
            "verdict": lambda row: filled(row, worst(t.cell("why", row))),
            "why": lambda row: filled(row, reasons(log, row)),
            "nh3": nh3, "saturation": saturation, "co2": co2,
            "tan_n": in_basis("tan", "basis_ammonia"), "no2": in_basis("nitrite", "basis_nitrite"),
            "no3": in_basis("nitrate", "basis_nitrate"), "po4": in_basis("phosphate", "basis_phosphate"),
            "when": when,
            "kind": lambda row: filled(
                row, systems.of_system(log, "kind", t.cell("system", row), str(len(limits.KINDS)))),
            "height": lambda row: filled(
                row, systems.of_system(log, "elevation_used", t.cell("system", row), f"{ELEVATION}+0")),
        },
        freeze="temperature", bases=settings.heading_cells(), verdicts=("verdict",), heading_height=58,
    )
    # What was typed stands on paper once: the same readings in the log's basis would make all letters smaller.
    sheet.print_area = f"A1:{t.letter('co2')}{t.last_row}"
