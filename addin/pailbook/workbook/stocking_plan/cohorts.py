"""Sheet "Cohorts": the fish that are kept together, how fast they grow, and when to harvest them."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import SPECIES, FishCount, FishMass, GrowingDays, GrowthCoefficient, WaterTemperature
from pailbook.rules import Sheet
from pailbook.workbook import style
from pailbook.workbook.clean_columns import Clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, put, section, write_table
from pailbook.workbook.stocking_plan import facts, measures, row_rules
from pailbook.workbook.stocking_plan import growth as growth_sheet
from pailbook.workbook.stocking_plan.places import COHORTS, SHEETS

SHEET = SHEETS["cohorts"]
_LINES = 2  # of a verdict
CLEAN = Clean((row_rules.cohort,), (
    "filled", "species", "stocked", "count", "mass", "coefficient", "earlier_mass", "earlier_days",
    "earlier_temperature", "own_conversion", "own_deaths", "target", "per_week", "growth", "ready"))
COLUMNS = (
    Column("name", terms.COHORT, kind="text", width=15, help="A name of your own, such as spring fingerlings"),
    Column("species", "Species", kind="choice", width=14, choices=SPECIES),
    Column("stocked", "Arrives on (blank: already here)", kind="date", width=11),
    Column("count", "Fish", quantity(FishCount), width=7, help="On the first day of the plan, or when they arrive"),
    Column("mass", f"{terms.MEAN_WEIGHT} then", quantity(FishMass), width=8, format="0.0##",
           help="Of one fish, on the day of the count"),
    Column("coefficient", "Growth coefficient, if known", quantity(GrowthCoefficient), width=11,
           help="Thermal growth coefficient, x 1000. Blank: calculated from the earlier weighing on the right"),
    Column("earlier_mass", "If not, earlier mean weight", quantity(FishMass), width=9, format="0.0##",
           help="Of one fish of this stock, at an earlier weighing"),
    Column("earlier_days", "Time between weighings", quantity(GrowingDays), width=10,
           help="Days from the earlier weighing to the mean weight on the left"),
    Column("earlier_temperature", "Mean water temperature in between", quantity(WaterTemperature), width=11,
           help="Mean of the water temperature between the two weighings"),
    Column("own_conversion", "Feed conversion", measures.CONVERSION, width=10.5,
           help="Weight of feed for each weight of growth. Blank: the one on Setup"),
    Column("own_deaths", "Deaths", measures.DEATHS, width=8, help="Blank: the share on Setup"),
    Column("target", "Harvest from a mean weight of", quantity(FishMass), width=9, format="0.0##",
           help="Mean weight of one fish; leave blank for no harvest"),
    Column("per_week", "Fish taken out per week (blank: all)", measures.TAKEN_OUT, width=10),
    Column("growth", "Growth coefficient in use", kind="result", width=11, format="0.00"),
    Column("ready", "First harvest, week of", kind="result", width=11, format=style.DATE_FORMAT),
    Column("harvested", "Fish harvested within the plan", kind="result", width=10, format="0"),
    Column("weight", "Weight harvested", measures.TOTAL, "result", 10),
    Column("feed", "Feed within the plan", measures.TOTAL, "result", 9),
    Column("state", "Verdict", kind="result", width=34),
    Column("ok", "Complete", kind="result", hidden=True),
    Column("used_conversion", "Feed conversion in use", kind="result", hidden=True),
    Column("used_deaths", "Deaths in use", kind="result", hidden=True),
    *CLEAN.columns,
    Column("filled", "Cells filled in", kind="result", hidden=True),
    *(Column(key, label, kind="result", hidden=True) for key, label in (
        ("word", "Word of the verdict"), ("urgency", "Urgency"), ("remedy", "What to do"))),
)
_TEXTS = (
    "Each cohort has a growth coefficient of its own: weigh twenty or more fish twice, some weeks apart, and enter "
    "both mean weights. It holds for fish that eat their fill in good water.",
    f"Trout have 1.3 to 2.2, {terms.COMMON_PRACTICE}; for other species we know of no reliable value. Warmth counts "
    "only within the species' range: below it fish neither feed nor grow, above the best temperature they grow no "
    "faster.",
    "Enter a new cohort in a new row. Quarantine new fish before they share water. Stocking and moving fish are "
    "regulated: ask your local authority.",
)


def table() -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, COHORTS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "One row for each cohort, fish of one origin kept together. Count and weigh them on the "
                              "plan's first day, or on the day they arrive.")

    def growth(row: int) -> str:
        known, species = t.cell("coefficient", row), t.cell("species", row)
        weighed = [t.cell(key, row) for key in ("earlier_mass", "mass", "earlier_temperature", "earlier_days")]
        call = f'IFERROR({book.call("GROWTH_COEFFICIENT", *weighed, species)},"")'
        return (f'IF({species}="","",IF(COUNT({known})=1,{known},IF(COUNT({",".join(weighed)})<4,"",{call})))')

    def ok(row: int) -> str:
        """Whether a cohort is counted: all that its row holds is in order, and it grows."""
        faults = f'SUMPRODUCT((LEFT({t.span(CLEAN.key("species"), CLEAN.key("growth"), row)},1)="?")*1)'
        of_plan = f"COUNT({plan.clean('temperature')},{plan.clean('plan_start')})=2"
        return f"IF(AND({t.cell('filled', row)}>0,{faults}=0,SUM({t.cell(CLEAN.key('growth'), row)})>0,{of_plan}),1,0)"

    def asking(row: int) -> Sheet:
        return facts.asking(plan, row_rules.cohort, **CLEAN.cells(t, row))

    def used(own: str, general: str) -> Formula:
        return lambda row: f"IF(COUNT({t.cell(own, row)})=1,{t.cell(own, row)},{plan[general]})"

    def summed(key: str) -> Formula:
        return lambda row: f'IF({t.cell("ok", row)}=0,"",{growth_sheet.total(plan, row - t.first_row, key)})'

    def ready(row: int) -> str:
        taken, dates = growth_sheet.column(plan, row - t.first_row, "begun"), plan.tables[SHEETS["weeks"]].range("date")
        return f'IF({t.cell("ok", row)}=0,"",IFERROR(INDEX({dates},MATCH(1,{taken},0)),""))'

    write_table(book, sheet, t, {
        "growth": growth, "ready": ready, "harvested": summed("taken"), "weight": summed("taken_weight"),
        "feed": summed("feed_week"), "state": lambda row: asking(row).text(row_rules.cohort, unasked=""), "ok": ok,
        "word": lambda row: asking(row).word(row_rules.cohort),
        "urgency": lambda row: asking(row).urgency(row_rules.cohort),
        "remedy": lambda row: asking(row).remedy(row_rules.cohort),
        "filled": lambda row: f"COUNTA({t.span('species', 'per_week', row)})", **CLEAN.formulas(t, book.units),
        "used_conversion": used("own_conversion", "conversion"), "used_deaths": used("own_deaths", "deaths"),
    }, freeze="species", verdicts=("state",), heading_height=72)
    sheet.auto_filter.ref = None
    for row in range(t.first_row, t.last_row + 1):
        set_height(sheet, row, _LINES)
    row, last = t.last_row + 2, t.letter("state")
    shown = [column for column in COLUMNS if not column.hidden]
    section(sheet, row, "What to know", len(shown))
    for text in _TEXTS:
        row += 1
        sheet.merge_cells(f"A{row}:{last}{row}")
        put(sheet, f"A{row}", text, wrap=True)
        set_height(sheet, row, lines_of(text, sum(column.width for column in shown)))
    sheet.print_area = f"A1:{last}{row}"
