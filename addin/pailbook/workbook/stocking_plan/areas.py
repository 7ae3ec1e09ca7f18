"""Sheet "Areas": where plants grow, which crop, and how much feed that uses."""

from __future__ import annotations

from pailbook.functions.feeding import RATIOS
from pailbook.quantities import Feed, FeedRatio, PlantArea
from pailbook.rules import Sheet
from pailbook.workbook.clean_columns import Clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, section, write_table
from pailbook.workbook.stocking_plan import row_rules
from pailbook.workbook.stocking_plan.places import AREAS, SHEETS

SHEET = SHEETS["areas"]
CLEAN = Clean((row_rules.area,), ("filled", "crop", "area", "ratio"))
COLUMNS = (
    Column("area_name", "Bed or raft", kind="text", width=26),
    Column("crop", "Crop", kind="choice", width=12, choices=tuple(RATIOS),
           help="leafy: greens and herbs; fruiting: tomatoes, peppers, cucumbers"),
    Column("area", "Area in plants", quantity(PlantArea), width=12),
    Column("ratio", "Feed ratio, if yours differs", quantity(FeedRatio), width=13,
           help="g of feed a day for each m² (10.8 ft²), as it is published; blank: leafy 45, fruiting 65"),
    Column("note", "Note", kind="text", width=30),
    Column("feed", "Daily feed its plants can use", quantity(Feed), "result", 13),
    Column("state", "Verdict", kind="result", width=44),
    *CLEAN.columns,
    Column("filled", "Cells filled in", kind="result", hidden=True),
    Column("word", "Word of the verdict", kind="result", hidden=True),
)
_TEXTS = (
    "Ratios, g of feed with 32 % protein a day for each m² (10.8 ft²): leafy 40 to 50, fruiting 50 to 80 (FAO 589), "
    "large rafts 60 to 100 (Rakocy 2007). They hold for mature systems that are not small, with plants of all ages "
    "side by side.",
    "Feed alone leaves plants short of potassium, calcium, magnesium and iron: test, and let the dosing plan calculate "
    "what to add.",
)


def table() -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, AREAS)


def total(plan: Plan, key: str) -> str:
    """Formula text for the sum of a column."""
    return f"SUM({plan.tables[SHEET].range(key)})"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "One row for each bed, raft or channel that shares the water.")

    def feed(row: int) -> str:
        area, crop = t.cell("area", row), t.cell("crop", row)
        call = book.call("FEED_FOR_AREA", area, crop, t.cell("ratio", row))
        return f'IF({t.cell("word", row)}="not known","",IF(OR(COUNT({area})=0,{crop}=""),"",{call}))'

    def asking(row: int) -> Sheet:
        return plan.asking(row_rules.area, **CLEAN.cells(t, row))

    write_table(book, sheet, t, {
        "feed": feed, "state": lambda row: asking(row).text(row_rules.area, unasked=""),
        "word": lambda row: asking(row).word(row_rules.area),
        "filled": lambda row: f"COUNTA({t.span('crop', 'ratio', row)})", **CLEAN.formulas(t, book.units),
    }, freeze="crop", verdicts=("state",))
    sheet.auto_filter.ref = None
    row = t.last_row + 2
    last = t.letter("state")
    shown = [column for column in COLUMNS if not column.hidden]
    section(sheet, row, "What to know", len(shown))
    for text in _TEXTS:
        row += 1
        sheet.merge_cells(f"A{row}:{last}{row}")
        put(sheet, f"A{row}", text, wrap=True)
        set_height(sheet, row, lines_of(text, sum(column.width for column in shown)))
    sheet.print_area = f"A1:{last}{row}"
