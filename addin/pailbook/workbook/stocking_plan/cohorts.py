"""Sheet "Cohorts": the fish that are kept together, how fast they grow, and when to harvest them."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import SPECIES, FishCount, FishMass, GrowingDays, GrowthCoefficient, WaterTemperature
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, put, section, write_table
from pailbook.workbook.stocking_plan import growth as growth_sheet
from pailbook.workbook.stocking_plan import measures
from pailbook.workbook.stocking_plan.places import COHORTS, SHEETS
from pailbook.workbook.texts import first_that_holds

SHEET = SHEETS["cohorts"]
_LINES = 2  # of a verdict
_TEMPERATURE, _TEXT = '"temperature"', '"{}"'
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
        used = t.cell("growth", row)
        cells = ",".join(t.cell(key, row) for key in ("count", "mass", "growth"))
        positive = f"IF(ISNUMBER({used}),{used}>0,FALSE)"
        return (f'IF(AND({t.cell("species", row)}<>"",COUNT({cells})=3,{positive},'
                f'COUNT({plan["temperature"]},{plan["plan_start"]})=2),1,0)')

    def used(own: str, general: str) -> Formula:
        return lambda row: f"IF(COUNT({t.cell(own, row)})=1,{t.cell(own, row)},{plan[general]})"

    def summed(key: str) -> Formula:
        return lambda row: f'IF({t.cell("ok", row)}=0,"",{growth_sheet.total(plan, row - t.first_row, key)})'

    def ready(row: int) -> str:
        taken, dates = growth_sheet.column(plan, row - t.first_row, "begun"), plan.tables[SHEETS["weeks"]].range("date")
        return f'IF({t.cell("ok", row)}=0,"",IFERROR(INDEX({dates},MATCH(1,{taken},0)),""))'

    write_table(book, sheet, t, {
        "growth": growth, "ready": ready, "harvested": summed("taken"), "weight": summed("taken_weight"),
        "feed": summed("feed_week"), "state": lambda row: _state(plan, row), "ok": ok,
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


def _state(plan: Plan, row: int) -> str:
    t, book = plan.tables[SHEET], plan.book
    c = t.cell
    species, water, used = c("species", row), plan["temperature"], c("growth", row)

    def limit(level: str) -> str:
        return f'IFERROR({book.call("SPECIES_LIMIT", species, _TEMPERATURE, _TEXT.format(level))},"")'

    def beyond(level: str, sign: str) -> str:
        return f"IF(ISNUMBER({limit(level)}),{water}{sign}{limit(level)},FALSE)"

    asked, numbers = [c(key, row) for key in ("count", "mass")], t.span("stocked", "per_week", row)
    end = f"MAX({plan.tables[SHEETS['weeks']].range('date')})+6"
    return first_that_holds((
        (f"COUNT({numbers})<COUNTA({numbers})", '"not known: there is a text or an error where a number belongs"'),
        (f'AND({species}="",COUNT({",".join(asked)})=0)', '""'),
        (f'{species}=""', '"not known: choose the species"'),
        (f"COUNT({asked[0]})=0", '"not known: enter the number of fish"'),
        (f"COUNT({asked[1]})=0", '"not known: enter their mean weight"'),
        (f"COUNT({plan['plan_start']})=0", '"not known: enter the first day of the plan on Setup"'),
        (f"COUNT({water})=0", '"not known: enter the water temperature on Setup"'),
        (f'{used}=""', '"not known: enter a growth coefficient, or an earlier weighing"'),
        (f"{used}<=0", '"act: they lost weight; find out why before you plan"'),
        (f"IF(COUNT({c('stocked', row)})=1,{c('stocked', row)}>{end},FALSE)",
         '"watch: they arrive after the end of the plan"'),
        (beyond("act high", ">"), '"act: the water is too warm for this species"'),
        (beyond("feed low", "<"), '"act: the water is too cold; they neither feed nor grow"'),
        (beyond("watch high", ">"),
         '"watch: warm for this species; they grow no faster than at the best temperature"'),
        (beyond("watch low", "<"), '"watch: cold for this species"'),
        (f'AND({c("ready", row)}="",COUNT({c("target", row)})=1)',
         '"watch: they do not reach the harvest weight within the plan"'),
        (f"COUNT({c('target', row)})=0", '"fine: no harvest is planned; enter a harvest weight to plan one"'),
    ), '"fine"')
