"""Sheet "Harvest": the weeks in which fish are taken out, in order: from which cohort, how many, how heavy."""

from __future__ import annotations

from pailbook.quantities import BiomassOrNone, FishMass
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, put, write_table
from pailbook.workbook.stocking_plan import growth, measures
from pailbook.workbook.stocking_plan.places import AS_OF, COHORTS, SHEETS, cohort, weeks
from pailbook.workbook.stocking_plan.words import amount

SHEET = SHEETS["harvest"]
COLUMNS = (
    Column("week", "Week", kind="result", width=7, format="0"),
    Column("date", "Week of", kind="result", width=12, format=style.DATE_FORMAT),
    Column("what", "What to take out", kind="result", width=62),
    Column("taken", "Fish taken out", kind="result", width=8, format="0"),
    Column("weight", "Weight taken out", measures.TOTAL, "result", 9),
    Column("left", "Fish left", kind="result", width=8, format="0"),
    Column("biomass", "Total weight at the week's end", quantity(BiomassOrNone), "result", 14, format="0.0"),
)


def table(weeks_ahead: int) -> Table:
    """Where the sheet's table is: room for a harvest in every week."""
    return Table(SHEET, COLUMNS, weeks_ahead)


def next_one(plan: Plan) -> str:
    """Formula text for the next harvest's row of the table, counted from 1, from today's date on; blank without one."""
    dates = plan.tables[SHEET].range("date")
    later = f"SUMPRODUCT(({dates}<=INT({AS_OF})-7)*ISNUMBER({dates}))+1"
    return f'IF(COUNT({AS_OF},{dates})<2,"",IF({later}>COUNT({dates}),"",{later}))'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    t = plan.tables[SHEET]
    sheet = plan.book.sheet(SHEET, "The weeks in which fish reach their harvest weight. Weigh some first: the plan is "
                                   "a forecast. Keep to the withdrawal time of treated fish.", landscape=False)
    c = t.cell

    def of_week(key: str) -> Formula:
        return lambda row: f'IF({c("week", row)}="","",INDEX({weeks(plan, key)},{c("week", row)}))'

    def week(row: int) -> str:
        return f'IFERROR(MATCH({row - t.first_row + 1},{weeks(plan, "harvest")},0),"")'

    def what(row: int) -> str:
        parts = []
        for number in range(COHORTS):
            taken, mass = (f"INDEX({growth.column(plan, number, key)},{c('week', row)})" for key in ("taken", "mass"))
            name = cohort(plan, number, "name")
            called = f'IF({name}="","cohort {number + 1}",{name})'
            text = f'"; "&ROUND({taken},0)&" fish from "&{called}&" at "&{amount(plan, mass, FishMass)}&" each"'
            parts.append(f'IF(SUM({taken})>0,{text},"")')
        return f'IF({c("week", row)}="","",MID({"&".join(parts)},3,300))'

    write_table(plan.book, sheet, t, {
        "week": week, "date": of_week("date"), "what": what, "taken": of_week("taken"),
        "weight": of_week("taken_weight"), "biomass": of_week("biomass"),
        "left": lambda row: (f'IF({c("week", row)}="","",INDEX({weeks(plan, "fish")},{c("week", row)})'
                             f'-{c("taken", row)})'),
    }, freeze="what", heading_height=44)
    sheet.auto_filter.ref = None
    put(sheet, f"A{t.last_row + 2}", "To move live fish, use the move plan. Possession, sale and transport of live "
                                     "fish are regulated: ask your local authority.", "note")
    sheet.print_area = f"A1:{t.letter('biomass')}{t.last_row + 2}"
