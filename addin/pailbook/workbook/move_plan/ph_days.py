"""Sheet "pH day by day": one row per day with target, doses and cap; each morning's reading re-plans the rest."""

from __future__ import annotations

from pailbook.quantities import PH, Alkalinity
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table, quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import write_table
from pailbook.workbook.texts import first_that_holds

SHEET = "pH day by day"
ROWS = 15
TOO_FAST = 1.5  # times the largest change per day, beyond which a reading stops the dose

COLUMNS = (
    Column("day", "Day", kind="result", width=6, format="0"),
    Column("date", "Date", kind="result", width=11, format=style.DATE_FORMAT),
    Column("before", "pH before", quantity(PH), "result", 9),
    Column("target", "Target for the evening", quantity(PH), "result", 9),
    Column("alkalinity", "Alkalinity\nmg/L as CaCO3", kind="result", width=11, format="0.0"),
    Column("at_once", "Dose that reaches the target at once\ng or mL", kind="result", width=17, format="0.0"),
    Column("settled", "Dose that reaches it once settled\ng or mL", kind="result", width=17, format="0.0"),
    Column("dose", "Dose to give, at most\ng or mL", kind="result", width=12, format="0.0"),
    Column("what", "What to do", kind="result", width=58),
    Column("reading", "pH next morning", quantity(PH), width=10,
           help="Your reading the next morning, before the next dose. The rest of the calendar follows it."),
    Column("tested", "Alkalinity, if tested", quantity(Alkalinity), width=11, format="0.0"),
    Column("latest", "Latest reading until then", quantity(PH), "result", 9, hidden=True),
)


def table() -> Table:
    """Where the rows stand, one per day."""
    return Table(SHEET, COLUMNS, ROWS)


def latest() -> str:
    """The cell with the latest reading of all mornings; blank until there is one."""
    t = table()
    return f"{quoted(SHEET)}!{t.cell('latest', t.last_row)}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, table()
    sheet = book.sheet(SHEET, "Read pH each morning, enter it, then give that day's dose. Solids in g, acids in mL.")
    goal, chemical, volume = plan["calendar_to"], plan["calendar_chemical"], plan["calendar_volume"]
    strength, warmth = plan["calendar_strength"], plan["calendar_temperature"]
    phosphate, conductivity = plan["calendar_phosphate"], plan["calendar_conductivity"]

    def earlier(key: str, row: int) -> str:
        return t.cell(key, row - 1)

    def too_fast(row: int) -> str:
        if row == t.first_row:
            return "FALSE"
        reading, before = earlier("reading", row), earlier("before", row)
        return (f"IF(COUNT({reading},{before})<2,FALSE,"
                f"ROUND(ABS({reading}-{before}),6)>ROUND({TOO_FAST:g}*{plan['ph_daily']},6))")

    def before(row: int) -> str:
        if row == t.first_row:
            return plan["calendar_from"]
        reading, planned = earlier("reading", row), earlier("target", row)
        unread = f'IF(ISERROR({reading}),"",IF({reading}="",{planned},""))'  # a text is no reading
        return f'IF(ISNUMBER({reading}),{reading},{unread})'

    def target(row: int) -> str:
        now = t.cell("before", row)
        stepped = book.call("PH_STEP_TARGET", now, goal, "1", plan["ph_daily"], plan["ph_within"])
        return f'IF(COUNT({now},{goal})<2,"",IF({too_fast(row)},{now},{stepped}))'

    def alkalinity(row: int) -> str:
        if row == t.first_row:
            return f'IF({plan["calendar_measured"]}="","",{plan["calendar_measured"]})'
        tested, was, dose = (earlier(key, row) for key in ("tested", "alkalinity", "dose"))
        added = book.call("ALKALINITY_ADDED", chemical, dose, volume, strength)
        carried = f"IF(ISNUMBER({dose}),IF({dose}>0,IFERROR({was}+{added},{was}),{was}),{was})"
        return f'IF(ISNUMBER({tested}),{tested},IF(ISNUMBER({was}),{carried},""))'

    def dose(timing: str, row: int) -> str:
        now, then, alk = (t.cell(key, row) for key in ("before", "target", "alkalinity"))
        call = book.call("PH_DOSE", chemical, volume, now, then, alk, warmth, phosphate, strength, f'"{timing}"',
                         conductivity, '""', '""', '""')
        return f'IF(COUNT({now},{then},{alk},{volume})<4,"",IF({now}={then},0,IFERROR({call},"")))'

    def give(row: int) -> str:
        both = f"{t.cell('at_once', row)},{t.cell('settled', row)}"
        return f'IF(COUNT({both})=0,"",MIN({both}))'

    def what(row: int) -> str:
        now, then, least = (t.cell(key, row) for key in ("before", "target", "dose"))
        left = book.call("PH_STEP_DAYS", now, goal, plan["ph_daily"], plan["ph_within"])
        return first_that_holds((
            *unusable(row), (f'COUNT({now},{then})<2', '""'),
            (too_fast(row), '"watch: pH changed too much in a day; give no dose today, read again tomorrow"'),
            (f"{left}=0", '"fine: matched; hold it there, no dose"'),
            (f'COUNT({t.cell("alkalinity", row)},{volume})<2',
             f'"days left: "&{left}&"; no dose yet, see what is missing on pH calendar"'),
            (f'{least}=""', '"act: no dose reaches this; check the chemical, its strength and the readings"'),
        ), f'"days left: "&{left}&"; dissolve it, add it slowly, read pH tomorrow"')

    def unusable(row: int) -> list[tuple[str, str]]:
        """Says so where the reading of the morning before was entered but is no number."""
        if row == t.first_row:
            return []
        reading = earlier("reading", row)
        return [(f'IF(ISERROR({reading}),TRUE,AND({reading}<>"",NOT(ISNUMBER({reading}))))',
                 '"not known: the pH of this morning is not a number"')]

    def latest_until(row: int) -> str:
        reading = t.cell("reading", row)
        until_then = earlier("latest", row) if row > t.first_row else '""'
        return f"IF(ISNUMBER({reading}),{reading},{until_then})"

    def date(row: int) -> str:
        begin = plan["calendar_begun"]
        return f'IF({begin}="","",{begin}+{row - t.first_row})'

    write_table(book, sheet, t, {
        "day": lambda row: str(row - t.first_row + 1), "date": date, "before": before, "target": target,
        "alkalinity": alkalinity, "at_once": lambda row: dose("at once", row),
        "settled": lambda row: dose("settled", row), "dose": give, "what": what, "latest": latest_until,
    }, freeze="before", verdicts=("what",), heading_height=58)
