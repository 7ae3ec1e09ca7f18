"""Sheet "Balance": what the fish need at most, what the system has, and what would be enough if it is too little."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.cell.cell import Cell
from openpyxl.styles import Alignment

from pailbook import terms
from pailbook.quantities import FishDensity, Head, MediaVolume, PlantArea
from pailbook.workbook import style
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import headings, put, section, widths
from pailbook.workbook.stocking_plan import areas, board, facts, words
from pailbook.workbook.stocking_plan.places import FIRST, SHEETS, this_week, weeks

SHEET = SHEETS["balance"]
LAST_COLUMN = "G"
_WIDTHS = (33, 11, 11, 9, 11, 17, 78)
_TEXTS = (
    "The fullest week is the one that needs most. Filter and air are judged by what they do when clean, ripe and "
    "running: keep some to spare. A new filter needs four to eight weeks before it works.",
    "Water that falls back into the tanks brings oxygen too, and plants take up ammonia. Neither is counted, to be "
    "on the safe side.",
    "Alkalinity and nitrate are calculated as if the filter turned all the ammonia into nitrate. Plants, sludge and "
    "new water change both, so rely on your own readings.",
    "Feed alone leaves plants short of potassium, calcium, magnesium and iron: the dosing plan calculates what to add.",
)


@dataclass(frozen=True)
class Line:
    """A line of the balance: key, label, the column of Weeks with what is needed, what the system has, unit, format.

    `lines` is the height of its verdict.
    """

    key: str
    label: str
    needed: str = ""
    have: str = ""
    unit: str = ""
    format: str = "0.0"
    lines: int = 2


def _lines(plan: Plan) -> tuple[Line, ...]:
    units = plan.book.units

    def unit(hint: object) -> str:
        return quantity(hint).unit_in(units)

    return (
        Line("density", terms.STOCKING_DENSITY, "density", plan["density_most"], unit(FishDensity),
             style.format_of(quantity(FishDensity), units)),
        Line("filter", "Filter media", "media", plan["media_volume"], unit(MediaVolume)),
        Line("air", "Air", "air", plan["air_flow"], "L/min", lines=3),
        Line("plants", "Plants for the feed", "area", areas.total(plan, "area"), unit(PlantArea)),
        Line("alkalinity_use", f"{terms.ALKALINITY_ONCE} used up", "alkalinity", "", "g as CaCO3 a day", lines=3),
        Line("nitrate", "Nitrate made", "nitrate", "", "g as NO3 a day"),
        Line("turnover", "Turnover of the water", plan["turnover_least"], plan["turnover_now"], "per hour", "0.00"),
        Line("pump", "Head of the pump", plan["total_head"], plan["pump_head"], unit(Head), "0.00"),
        Line("small", "Size of the system", lines=3),
    )


def row_of(plan: Plan, key: str) -> int:
    """The row of a line."""
    return FIRST + [line.key for line in _lines(plan)].index(key)


def verdict(plan: Plan, key: str) -> str:
    """The cell that holds a line's verdict, as any sheet may name it."""
    return f"{SHEET}!${LAST_COLUMN}${row_of(plan, key)}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "What the fish of the plan need, and what the system has. Nothing to fill in: the "
                                   "inputs are on Setup, Areas and Cohorts.")
    widths(sheet, *_WIDTHS)
    headings(sheet, FIRST - 1, ("What", "Needed this week", "Needed at most", "In week", "Available or allowed", "Unit",
                                "Verdict, and what would be enough"), height=30)
    now = this_week(plan)
    for row, line in enumerate(_lines(plan), FIRST):
        cells = [put(sheet, f"A{row}", line.label, "strong")]
        texts = dict.fromkeys("BCDE", '""')
        if "!" in line.needed:
            texts["B"] = texts["C"] = f'IF(COUNT({line.needed},{plan["flow"]})<2,"",{line.needed})'
        elif line.needed:
            texts["B"] = f'IF({now}="","",INDEX({weeks(plan, line.needed)},{now}))'
            texts["C"] = facts.largest(plan, line.needed)
            texts["D"] = facts.week_of_largest(plan, line.needed)
        if line.have:
            texts["E"] = f'IF(SUM({line.have})=0,"",{line.have})'
        for letter, text in texts.items():
            if text != '""':
                shown = "0" if letter == "D" else line.format
                cells.append(put(sheet, f"{letter}{row}", f"={text}", "result", shown, align="right"))
            else:
                put(sheet, f"{letter}{row}", None, "result")
        cells.append(put(sheet, f"F{row}", line.unit, align="left"))
        cells.append(put(sheet, f"G{row}", f"={_verdict(plan, line.key)}", "key", wrap=True, align="left"))
        for cell in cells:
            _centred(cell)
        sheet.row_dimensions[row].height = 14 * line.lines
        plan.book.define(f"{line.key}_verdict", SHEET, f"G{row}")
        plan.book.define(f"{line.key}_needed", SHEET, f"C{row}")
    board.write(plan, sheet)
    facts.write(plan, sheet)
    last = FIRST + len(_lines(plan)) - 1
    style.verdict_colours(sheet, [f"G{FIRST}:G{last}"])
    row = last + 2
    section(sheet, row, "What to know", 7)
    for text in _TEXTS:
        row += 1
        sheet.merge_cells(f"A{row}:{LAST_COLUMN}{row}")
        put(sheet, f"A{row}", text, wrap=True)
        set_height(sheet, row, lines_of(text, sum(_WIDTHS)))
    sheet.freeze_panes = f"B{FIRST}"
    sheet.print_area = f"A1:{LAST_COLUMN}{row}"


def _verdict(plan: Plan, key: str) -> str:
    return words.nitrate(plan) if key == "nitrate" else board.cell("texts", key)


def _centred(cell: Cell) -> None:
    """Puts a cell's text at half the height of its row, which is higher than most texts need."""
    now = cell.alignment
    cell.alignment = Alignment(now.horizontal, "center", wrap_text=now.wrap_text, indent=now.indent)
