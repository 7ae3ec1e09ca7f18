"""Sheet "Water tests": what was read, and what follows from it.

The input columns, their keys and their order are what a reader of records fills in.
"""

from __future__ import annotations

from pailbook.quantities import PH, Alkalinity, Conductivity, Oxygen, Phosphate, TotalAmmonia, WaterTemperature
from pailbook.workbook.columns import Column
from pailbook.workbook.measures import HARDNESS, NITRATE, NITRITE, quantity

SHEET = "Water tests"
HEADING_ROW = 4
ROWS = 500

INPUTS = (
    Column("date", "Date", kind="date", width=11),
    Column("time", "Time", kind="time", width=7),
    Column("system", "System", kind="choice", width=14),
    Column("temperature", "Water temperature", quantity(WaterTemperature), width=11),
    Column("ph", "pH", quantity(PH), width=7),
    Column("oxygen", "Dissolved oxygen (DO)", quantity(Oxygen), width=10),
    Column("tan", "Total ammonia", quantity(TotalAmmonia), width=10, basis="basis_ammonia"),
    Column("nitrite", "Nitrite", NITRITE, width=9, basis="basis_nitrite"),
    Column("nitrate", "Nitrate", NITRATE, width=9, basis="basis_nitrate"),
    Column("phosphate", "Phosphate", quantity(Phosphate), width=10, basis="basis_phosphate"),
    Column("alkalinity", "Alkalinity", quantity(Alkalinity), width=10, basis="basis_alkalinity"),
    Column("hardness", "Hardness", HARDNESS, width=10, basis="basis_hardness"),
    Column("conductivity", "Conductivity (EC)", quantity(Conductivity), width=12),
    Column("tester", "Tester", kind="text", width=10),
    Column("note", "Note", kind="text", width=24),
)
