"""The columns of the sheet "Water tests"."""

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
from pailbook.workbook.columns import Column
from pailbook.workbook.measures import HARDNESS, NITRATE, NITRITE, quantity

_BASIS = "in the basis set on Settings"
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


IN_BASIS = {"tan": "tan_n", "nitrite": "no2", "nitrate": "no3", "phosphate": "po4"}  # shown in the log's basis
CLEANED = ("temperature", "ph", "oxygen", "alkalinity", "hardness", "conductivity")  # readings with a hidden clean cell


def clean_key(key: str) -> str:
    """The key of the hidden clean cell of a reading."""
    return f"clean_{key}"


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
    Column("faults", "What cannot be used", kind="result", width=8, hidden=True),
    Column("reasons", "Reasons", kind="result", width=8, hidden=True),
    Column("order", "Place in time, by system", kind="result", width=8, hidden=True),
    Column("nh3_order", "The same of tests with un-ionised ammonia", kind="result", width=8, hidden=True),
    *(Column(clean_key(column.key), f"{column.heading.split(chr(10))[0]}, as rules read it", kind="result", width=8,
             hidden=True) for column in INPUTS if column.key in CLEANED),
)
