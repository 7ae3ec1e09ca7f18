"""Sheets "Doses" and "Water added and changed": what went into the water, and whether it was gentle enough."""

from __future__ import annotations

from pailbook.quantities import PH
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits, systems
from pailbook.workbook.farm_log.log import Log, first_that_holds
from pailbook.workbook.measures import CHANGE_SHARE, DOSE_AMOUNT, WATER_VOLUME, quantity
from pailbook.workbook.sheets import write_table

DOSES, CHANGES = "Doses", "Water added and changed"
ROWS = 120
_DATE = Column("date", "Date", kind="date", width=11)
_SYSTEM = Column("system", "System", kind="choice", width=14)
_NOTE = Column("note", "Note", kind="text", width=30)
MEDICINE, HAUL = "medicine", "haul water"
CHLORINATED = ("tap water with chlorine", "tap water with chloramine")
HAUL_IN = "act: haul water does not belong here (salt, ammonia, disease)"
CHLORINE_IN = "act: take the chlorine out before tap water goes in"
TWICE_TOO_FAST = "act: pH moved by over twice the limit; smaller doses"
COLUMNS = {
    DOSES: (
        _DATE, _SYSTEM,
        Column("aim", "What for", kind="choice", width=14, choices=(
            "raise pH", "lower pH", "alkalinity", "phosphate", "potassium", "calcium", "magnesium", "iron", "salt",
            "dechlorinate", MEDICINE, "other")),
        Column("product", "Product and strength", kind="text", width=28,
               help="Such as: potassium bicarbonate, pure. One product a row."),
        Column("amount", "Amount", DOSE_AMOUNT, width=10, help="Grams of a solid, millilitres of a liquid"),
        Column("unit", "g or mL", kind="choice", width=7, choices=("g", "mL")),
        Column("before", "pH before", quantity(PH), width=9),
        Column("after", "pH a day after", quantity(PH), width=9, help="The settled pH, a day later"),
        _NOTE,
        Column("state", "Verdict", kind="result", width=52),
        Column("moved", "pH moved by", kind="result", width=9, format="+0.00;-0.00;0.00"),
    ),
    CHANGES: (
        _DATE, _SYSTEM,
        Column("how", "How", kind="choice", width=21, choices=("topped up", "changed", "refilled after a move"),
               help="topped up: replaces what evaporated. changed: the same amount was let out."),
        Column("volume", "Water in", WATER_VOLUME, width=12),
        Column("source", "Where from", kind="choice", width=22, choices=(*systems.SOURCES, HAUL)),
        Column("chlorine", "Chlorine taken out", kind="choice", width=11, choices=("yes", "no", "has none"),
               help="Tap water kills fish and filter until its chlorine or chloramine is taken out."),
        _NOTE,
        Column("state", "Verdict", kind="result", width=58),
        Column("share", "Share of the system", CHANGE_SHARE, "result", 11),
    ),
}
_NOTES = {
    DOSES: "Acids and bases burn: gloves and goggles, acid into water, never an acid beside a base or chlorine. Small "
           "doses, then test again a day later.",
    CHANGES: "All water that goes in. Haul water never goes into a tank; where salt was used, not onto plants either.",
}


def table(name: str, rows: int = ROWS, systems_list: str = "") -> Table:
    """Where a sheet's table is; systems are picked from that range."""
    return Table(name, picking(COLUMNS[name], "system", systems_list), rows)


def too_fast(limit: str) -> str:
    """What is said of a dose that moved pH by more than the limit, a text, in a day."""
    return f"watch: pH moved by more than {limit} in a day"


def write_doses(log: Log) -> None:
    """Writes the sheet of doses."""
    book, t = log.book, log[DOSES]
    sheet = book.sheet(DOSES, _NOTES[DOSES])
    step = limits.general("ph_step")

    def moved(row: int) -> str:
        before, after = t.cell("before", row), t.cell("after", row)
        return f'IF(COUNT({before},{after})<2,"",ROUND({after}-{before},2))'

    def state(row: int) -> str:
        gap = t.cell("moved", row)
        return first_that_holds((
            (f'{t.cell("aim", row)}="{MEDICINE}"', '"watch: label, vet and law; note when food is safe again"'),
            (f"NOT(ISNUMBER({gap}))", '""'),
            (f"ABS({gap})>2*{step}", f'"{TWICE_TOO_FAST}"'),
            (f"ABS({gap})>{step}", '"' + too_fast(f'"&{step}&"') + '"'),
        ), '"fine"')

    write_table(book, sheet, t, {"state": state, "moved": moved}, freeze="aim", verdicts=("state",))


def write_changes(log: Log) -> None:
    """Writes the sheet of water added and changed."""
    book, t = log.book, log[CHANGES]
    sheet = book.sheet(CHANGES, _NOTES[CHANGES])
    most = limits.general("change_share")

    def share(row: int) -> str:
        volume, whole = t.cell("volume", row), systems.of_system(log, "in_use", t.cell("system", row))
        return f'IF(ISNUMBER({volume}),IFERROR({volume}/{whole}*100,""),"")'

    def state(row: int) -> str:
        source, chlorine, part = (t.cell(key, row) for key in ("source", "chlorine", "share"))
        mains = ",".join(f'{source}="{one}"' for one in CHLORINATED)
        return first_that_holds((
            (f"COUNTA({t.span('date', 'chlorine', row)})=0", '""'),
            (f'{source}="{HAUL}"', f'"{HAUL_IN}"'),
            (f'AND(OR({mains}),{chlorine}<>"yes")', f'"{CHLORINE_IN}"'),
            (f'{source}=""', '"watch: where is the water from, and is it free of chlorine?"'),
            (f"IF(ISNUMBER({part}),{part}>{most},FALSE)",
             f'"watch: over "&{most}&" % at once; match temperature and pH"'),
        ), '"fine"')

    write_table(book, sheet, t, {"state": state, "share": share}, freeze="how", verdicts=("state",))
