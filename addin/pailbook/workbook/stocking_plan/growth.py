"""Sheet "By cohort": number, weight, feed and harvest of each cohort, week by week.

A week's numbers: fish at its beginning, then what is taken out, then growth and feed of those that stay; deaths count
at its end. Its rows are those of the sheet "Weeks".
"""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Feed, FishMass
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, put, write_table
from pailbook.workbook.stocking_plan.places import COHORTS, SHEETS, cohort

SHEET = SHEETS["growth"]
_SHOWN = 4  # columns of a cohort that people see


def _of(number: int) -> tuple[Column, ...]:
    def key(name: str) -> str:
        return f"{name}_{number}"

    return (
        Column(key("fish"), "Fish", kind="result", width=8, format="0"),
        Column(key("mass"), terms.MEAN_WEIGHT, quantity(FishMass), "result", 9),
        Column(key("taken"), "Taken out", kind="result", width=8, format="0;-0;"),
        Column(key("feed"), "Daily feed", quantity(Feed), "result", 9),
    )


def _hidden(number: int) -> tuple[Column, ...]:
    return tuple(Column(f"{name}_{number}", label, kind="result", hidden=True) for name, label in (
        ("end", "Mean weight at the end"), ("biomass", "Total weight at the end"), ("dead", "Deaths"),
        ("begun", "Harvest that week"), ("taken_weight", "Weight taken out"), ("feed_week", "Feed that week")))


COLUMNS = (
    Column("date", "Week of", kind="result", width=11, format=style.DATE_FORMAT),
    *(column for number in range(COHORTS) for column in _of(number)),
    *(column for number in range(COHORTS) for column in _hidden(number)),
)


def table(weeks: int) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, weeks)


def column(plan: Plan, number: int, key: str) -> str:
    """A cohort's column, as any sheet may name it."""
    return plan.tables[SHEET].range(f"{key}_{number}")


def total(plan: Plan, number: int, key: str) -> str:
    """Formula text for the sum of a cohort's column."""
    return f"SUM({column(plan, number, key)})"


def sum_of(plan: Plan, row: int, key: str) -> str:
    """Formula text for the sum over the cohorts in a week's row, as any sheet may name it."""
    t = plan.tables[SHEET]
    cells = (f"'{SHEET}'!{t.cell(f'{key}_{number}', row)}" for number in range(COHORTS))
    return f"SUM({','.join(cells)})"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    t = plan.tables[SHEET]
    sheet = plan.book.sheet(SHEET, "Fish at the beginning of each week, what is taken out then, and the feed of those "
                                   "that stay. Nothing to fill in.")
    weeks = plan.tables[SHEETS["weeks"]]
    formulas: dict[str, Formula] = {"date": lambda row: f"{weeks.sheet}!{weeks.cell('date', row)}"}
    for number in range(COHORTS):
        formulas.update(_formulas(plan, number))
    write_table(plan.book, sheet, t, formulas, freeze="fish_0", heading_height=44)
    sheet.auto_filter.ref = None
    for number in range(COHORTS):
        name = cohort(plan, number, "name")
        put(sheet, f"{t.letter(f'fish_{number}')}{t.heading_row - 1}",
            f'=IF({name}="","cohort {number + 1}",{name})', "band_result")
    put(sheet, f"A{t.heading_row - 1}", "", "band_result")


def _formulas(plan: Plan, number: int) -> dict[str, Formula]:
    t, weeks, book = plan.tables[SHEET], plan.tables[SHEETS["weeks"]], plan.book
    grams = {"metric": 1000, "us": 16}[book.units]  # g in a kg, oz in a lb

    def c(key: str, row: int) -> str:
        return t.cell(f"{key}_{number}", row)

    def of(key: str) -> str:
        return cohort(plan, number, key)

    def there(row: int, text: str) -> str:
        """Formula text that is blank in weeks without the cohort."""
        return f'IF({c("fish", row)}="","",{text})'

    def fish(row: int) -> str:
        date, stocked = t.cell("date", row), of("stocked")
        comes = f"AND({stocked}>={date},{stocked}<{date}+7)"
        start = f"IF(COUNT({stocked})=0,TRUE,{stocked}<{date}+7)" if row == t.first_row else (
            f"IF(COUNT({stocked})=0,FALSE,{comes})")
        entering = f'IF({start},{of("count")},"")'
        if row > t.first_row:
            left = f"({c('fish', row - 1)}-{c('taken', row - 1)})"
            rest = f'IF({left}<0.5,"",{left}*(1-{of("used_deaths")}/100))'
            entering = f'IF(COUNT({c("fish", row - 1)})=1,{rest},{entering})'
        return f'IF(OR({of("ok")}=0,{date}=""),"",{entering})'

    def mass(row: int) -> str:
        if row == t.first_row:
            return there(row, of("mass"))
        return there(row, f"IF(COUNT({c('end', row - 1)})=1,{c('end', row - 1)},{of('mass')})")

    def taken(row: int) -> str:
        every = f"IF(COUNT({of('per_week')})=1,MIN({of('per_week')},{c('fish', row)}),{c('fish', row)})"
        due = f"IF(COUNT({of('target')})=1,{c('mass', row)}>={of('target')},FALSE)"
        return there(row, f"IF({due},{every},0)")

    def end(row: int) -> str:
        return there(row, book.call("MASS_AFTER", c("mass", row), of("growth"),
                                    f"{weeks.sheet}!{weeks.cell('temperature', row)}", "7", of("species")))

    def feed(row: int) -> str:
        stay = f"({c('fish', row)}-{c('taken', row)})"
        return there(row, f"{stay}*({c('end', row)}-{c('mass', row)})*{of('used_conversion')}/7")

    return {f"{key}_{number}": formula for key, formula in {
        "fish": fish, "mass": mass, "taken": taken, "feed": feed, "end": end,
        "biomass": lambda row: there(row, f"({c('fish', row)}-{c('taken', row)})*{c('end', row)}/{grams}"),
        "dead": lambda row: there(row, f"({c('fish', row)}-{c('taken', row)})*{of('used_deaths')}/100"),
        "begun": lambda row: f"IF(COUNT({c('taken', row)})=0,0,IF({c('taken', row)}>0,1,0))",
        "taken_weight": lambda row: there(row, f"{c('taken', row)}*{c('mass', row)}/{grams}"),
        "feed_week": lambda row: there(row, f"{c('feed', row)}*7/{grams}"),
    }.items()}
