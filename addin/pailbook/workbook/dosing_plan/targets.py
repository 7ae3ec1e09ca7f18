"""Sheet "Nutrients": the kit, the target range and the product of each nutrient, and what its readings say.

One column per nutrient, one row per thing that is asked or found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pailbook import terms
from pailbook.quantities import Density, Quantity, Strength
from pailbook.workbook import style
from pailbook.workbook.columns import Column
from pailbook.workbook.dosing_plan import facts, found
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import SHEETS, row_of
from pailbook.workbook.dosing_plan.places import cell as cell
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import SMALL, lines_of, set_height
from pailbook.workbook.measures import KIT_READING, NUTRIENT_LEVEL, NUTRIENT_RESOLUTION, quantity
from pailbook.workbook.sheets import column_input, headings, number_input, put, section, widths

SHEET = SHEETS["targets"]
_NOTES = 52  # width of the column with what to know


@dataclass(frozen=True)
class Line:
    """An input that each nutrient has."""

    key: str
    label: str
    note: str
    quantity: Quantity | None = None


INPUTS = (
    Line("basis", "The kit reads as", "See the kit's leaflet. PO4 taken for P is wrong by a factor of 3.07."),
    Line("resolution", f"{terms.RESOLUTION} of the kit, mg/L", "The smallest difference it shows, as on its label.",
         NUTRIENT_RESOLUTION),
    Line("kit_low", "Lowest reading of the kit, mg/L", "As on its label. A reading this low may in truth be lower.",
         KIT_READING),
    Line("kit_high", "Highest reading of the kit, mg/L", "As on its label. A reading this high may in truth be higher.",
         KIT_READING),
    Line("low", f"{terms.LOWER_END}, mg/L", "Your choice, in the basis at the top of the column.", NUTRIENT_LEVEL),
    Line("high", f"{terms.UPPER_END}, mg/L", "The plan doses up to this level.", NUTRIENT_LEVEL),
    Line("incoming", "In the new water, mg/L", "For water changes; blank counts as none.", NUTRIENT_LEVEL),
    Line("product", "Product in use", "Counts as pure unless you enter a strength. Ammonium salts are left out: they "
                                      "bring ammonia."),
    Line("strength", "Its strength, % by weight", "Acids and iron chelates need the strength from their label. "
                                                  "Phosphate products: see Phosphate.", quantity(Strength)),
    Line("density", "Its density, kg/L", "Of a solution, if you know it; the dose is then in mL.", quantity(Density)),
)
_ON_LEAFLET = "See the kit's leaflet: the same water is another number in another basis."
_HELP = {(n.key, "basis"): _ON_LEAFLET for n in NUTRIENTS if n is not PHOSPHATE} | {
    ("iron", "product"): f"In aired water iron sulfate soon precipitates, a chelate stays dissolved; "
                         f"{terms.COMMON_PRACTICE}."}
assert tuple(line.key for line in INPUTS) == found.INPUT_KEYS


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Phosphate first, then the others that you test. Leave a column blank to leave that "
                              "nutrient out.")
    widths(sheet, 35, *[21] * len(NUTRIENTS), _NOTES)
    headings(sheet, 4, ("What", *(f"{n.label}\n{n.unit}" for n in NUTRIENTS), "What to know"), height=30)
    columns = len(NUTRIENTS) + 2
    section(sheet, row_of(INPUTS[0].key) - 1, "You fill in", columns)
    for line in INPUTS:
        row = row_of(line.key)
        put(sheet, f"A{row}", line.label, "strong")
        _note(sheet, row, line.note)
        for nutrient in NUTRIENTS:
            _input(plan, sheet, line, nutrient)
    section(sheet, row_of(found.FOUND[0].key) - 1, "What the readings say", columns)
    for what in found.FOUND:
        row = row_of(what.key)
        put(sheet, f"A{row}", what.label, "strong")
        _note(sheet, row, what.note)
        sheet.row_dimensions[row].hidden = what.hidden
        for nutrient in NUTRIENTS:
            address = _address(nutrient, what.key)
            shown = nutrient.format if what.level else what.format
            put(sheet, address, f"={what.text(plan, nutrient)}", "result", shown, wrap=what.wide,
                align="left" if what.wide else "right")
        if what.wide:
            sheet.row_dimensions[row].height = 72
    last = get_column_letter(columns - 1)
    facts.write(plan, sheet)
    state = row_of("state")
    style.verdict_colours(sheet, [f"B{state}:{last}{state}"])
    sheet.freeze_panes = "B5"
    sheet.print_area = f"A1:{get_column_letter(columns)}{row_of(found.FOUND[-1].key)}"


def _note(sheet: Worksheet, row: int, text: str) -> None:
    put(sheet, f"{get_column_letter(len(NUTRIENTS) + 2)}{row}", text, "note", wrap=True, align="left")
    set_height(sheet, row, lines_of(text, _NOTES * SMALL))


def _address(nutrient: Nutrient, key: str) -> str:
    return cell(nutrient, key).split("!")[1].replace("$", "")


def _input(plan: Plan, sheet: Worksheet, line: Line, nutrient: Nutrient) -> None:
    address = _address(nutrient, line.key)
    short = re.split(", | of the ", line.label)[0]  # a message's title has room for 31 letters
    heading = f"{nutrient.label}: {short[0].lower()}{short[1:]}"
    if nutrient is PHOSPHATE and line.key in ("strength", "density"):
        put(sheet, address, "see Phosphate", "note", align="right")
    elif line.quantity is not None:
        number_input(plan.book, sheet, address, line.quantity, heading, help=line.note)
    else:
        choices = nutrient.bases if line.key == "basis" else nutrient.products
        column_input(plan.book, sheet, address, Column(
            line.key, heading, kind="choice", choices=choices, help=_HELP.get((nutrient.key, line.key), line.note)))
        if line.key == "product":
            style.look(sheet[address], "input", wrap=True, align="left")
            sheet.row_dimensions[row_of(line.key)].height = 28
