"""Sheets "Doses" and "Water added and changed": what went into the water, and whether it was gentle enough."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import PH
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits, systems
from pailbook.workbook.farm_log.log import Log, first_that_holds
from pailbook.workbook.farm_log.usable import not_known, wrong_entries
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
CHLORINE_IN = "act: remove the chlorine before tap water goes in"
GIVEN_MEDICINE = "watch: follow the label, the law and your vet's advice; note when the fish may be eaten again"
NO_SHARE = not_known("the share of the system, as the system has no volume")
TWICE_TOO_FAST = "act: the pH moved by over twice the limit; give smaller doses"
COLUMNS = {
    DOSES: (
        _DATE, _SYSTEM,
        Column("aim", "Purpose", kind="choice", width=14, choices=(
            "raise pH", "lower pH", "alkalinity", "phosphate", "potassium", "calcium", "magnesium", "iron", "salt",
            "dechlorinate", MEDICINE, "other")),
        Column("product", "Product and strength", kind="text", width=28,
               help="Such as: potassium bicarbonate, pure. One product per row."),
        Column("amount", "Amount", DOSE_AMOUNT, width=10, help="Grams of a solid, millilitres of a liquid"),
        Column("unit", "g or mL", kind="choice", width=7, choices=("g", "mL")),
        Column("before", "pH before", quantity(PH), width=9),
        Column("after", "pH a day later", quantity(PH), width=9, help="The settled pH, a day after the dose"),
        _NOTE,
        Column("state", "Verdict", kind="result", width=58),
        Column("moved", "pH moved by", kind="result", width=9, format="+0.00;-0.00;0.00"),
    ),
    CHANGES: (
        _DATE, _SYSTEM,
        Column("how", "How", kind="choice", width=21, choices=("topped up", "changed", "refilled after a move"),
               help="topped up: it replaces what evaporated. changed: the same amount was drained."),
        Column("volume", "Water in", WATER_VOLUME, width=12),
        Column("source", "Source of the water", kind="choice", width=25, choices=(*systems.SOURCES, HAUL)),
        Column("chlorine", "Chlorine removed", kind="choice", width=11, choices=("yes", "no", "has none"),
               help="Tap water kills fish and the filter's bacteria until its chlorine or chloramine is removed."),
        _NOTE,
        Column("state", "Verdict", kind="result", width=62),
        Column("share", "Share of the system", CHANGE_SHARE, "result", 11),
    ),
}
_NOTES = {
    DOSES: "Acids and bases burn: wear gloves and goggles, add acid to water, never store an acid beside a base or "
           "chlorine. Give small doses and test again a day later.",
    CHANGES: "All water that goes in. Haul water never goes into a tank; where salt was used, not onto plants either.",
}


def table(name: str, rows: int = ROWS, systems_list: str = "") -> Table:
    """Where a sheet's table is; systems are picked from that range."""
    return Table(name, picking(COLUMNS[name], "system", systems_list), rows)


def too_fast(limit: str) -> str:
    """The verdict on a dose that moved the pH by more than the limit, a text, in a day."""
    return f"watch: the pH moved by more than {limit} in a day"


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
            (f"COUNTA({t.span('date', 'after', row)})=0", '""'),
            *wrong_entries(t, row, book.units, ("date", "system", "aim", "amount", "before", "after"),
                           needed=("date", "system")),
            (f'{t.cell("aim", row)}="{MEDICINE}"', f'"{GIVEN_MEDICINE}"'),
            (f"NOT(ISNUMBER({gap}))", '""'),
            (f'{step}="{terms.NOT_KNOWN}"', limits.said_unknown("ph_step")),
            (f'{step}=""', '"fine"'),  # a blank limit is not judged
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
        chlorinated = ",".join(f'{source}="{one}"' for one in CHLORINATED)
        return first_that_holds((
            (f"COUNTA({t.span('date', 'chlorine', row)})=0", '""'),
            *wrong_entries(t, row, book.units, needed=("date", "system", "volume")),
            (f'{source}="{HAUL}"', f'"{HAUL_IN}"'),
            (f'AND(OR({chlorinated}),{chlorine}<>"yes")', f'"{CHLORINE_IN}"'),
            (f'{most}="{terms.NOT_KNOWN}"', limits.said_unknown("change_share")),
            (f"NOT(ISNUMBER({part}))", f'"{NO_SHARE}"'),
            (f'{source}=""', '"watch: where is the water from, and is it free of chlorine?"'),
            (limits.over(part, most), f'"watch: over "&{most}&" % at once; match temperature and pH"'),
        ), '"fine"')

    write_table(book, sheet, t, {"state": state, "share": share}, freeze="how", verdicts=("state",))
