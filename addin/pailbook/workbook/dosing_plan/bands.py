"""Sheet "Nutrients": of each nutrient the kit, the band and the product, and what the readings say.

A column for each nutrient, a row for each thing that is asked or found.
"""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import Density, Quantity, Strength
from pailbook.workbook import style
from pailbook.workbook.columns import Column
from pailbook.workbook.dosing_plan import found
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import SHEETS, band_row
from pailbook.workbook.dosing_plan.places import cell as cell
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import KIT_READING, NUTRIENT_LEVEL, NUTRIENT_STEP, quantity
from pailbook.workbook.sheets import column_input, headings, number_input, put, section, widths

SHEET = SHEETS["bands"]


@dataclass(frozen=True)
class Line:
    """An input that each nutrient has."""

    key: str
    label: str
    note: str
    quantity: Quantity | None = None


INPUTS = (
    Line("basis", "The kit reads as", "On the kit's leaflet. PO4 taken for P is wrong by a factor of 3.07."),
    Line("step", "Step of the kit", "Smallest difference that it shows, as its label counts.", NUTRIENT_STEP),
    Line("kit_low", "Lowest it shows", "As its label counts. At or below it the truth may be lower.", KIT_READING),
    Line("kit_high", "Highest it shows", "As its label counts. At or above it the truth may be higher.", KIT_READING),
    Line("low", "Band from", "Your own: in the basis at the top of the column.", NUTRIENT_LEVEL),
    Line("high", "Band to", "The plan fills up to here.", NUTRIENT_LEVEL),
    Line("incoming", "In the water that comes in", "For water changes; blank counts as none.", NUTRIENT_LEVEL),
    Line("product", "Product in use", "Pure unless a strength is given. Ammonium salts are left out: they bring "
                                      "ammonia."),
    Line("strength", "Its strength, % by mass", "An acid or an iron chelate needs the one on its label. Of phosphate "
                                                "products: sheet Phosphate.", quantity(Strength)),
    Line("density", "Its density, kg/L", "Of a solution, where it is known; then the dose is in mL.",
         quantity(Density)),
)
assert tuple(line.key for line in INPUTS) == found.INPUT_KEYS


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Phosphate first; the others where you test them. Leave a column blank to leave a "
                              "nutrient out.")
    widths(sheet, 30, *[21] * len(NUTRIENTS), 70)
    headings(sheet, 4, ("", *(f"{n.label}\n{n.unit}" for n in NUTRIENTS), "What to know"), height=30)
    columns = len(NUTRIENTS) + 2
    section(sheet, band_row(INPUTS[0].key) - 1, "You fill in", columns)
    for line in INPUTS:
        row = band_row(line.key)
        put(sheet, f"A{row}", line.label, "strong")
        put(sheet, f"{get_column_letter(columns)}{row}", line.note, "note", wrap=True, align="left")
        for nutrient in NUTRIENTS:
            _input(plan, sheet, line, nutrient)
    section(sheet, band_row(found.FOUND[0].key) - 1, "What the readings say", columns)
    for what in found.FOUND:
        row = band_row(what.key)
        put(sheet, f"A{row}", what.label, "strong")
        put(sheet, f"{get_column_letter(columns)}{row}", what.note, "note", wrap=True, align="left")
        sheet.row_dimensions[row].hidden = what.hidden
        for nutrient in NUTRIENTS:
            address = _address(nutrient, what.key)
            put(sheet, address, f"={what.text(plan, nutrient)}", "result", what.format, wrap=what.wide,
                align="left" if what.wide else "right")
        if what.wide:
            sheet.row_dimensions[row].height = 72
    last = get_column_letter(columns - 1)
    state = band_row("state")
    style.verdict_colours(sheet, [f"B{state}:{last}{state}"])
    sheet.freeze_panes = "B5"
    sheet.print_area = f"A1:{get_column_letter(columns)}{band_row(found.FOUND[-1].key)}"


def _address(nutrient: Nutrient, key: str) -> str:
    return cell(nutrient, key).split("!")[1].replace("$", "")


def _input(plan: Plan, sheet: Worksheet, line: Line, nutrient: Nutrient) -> None:
    address = _address(nutrient, line.key)
    heading = f"{nutrient.label}: {line.label.lower()}"
    if nutrient is PHOSPHATE and line.key in ("strength", "density"):
        put(sheet, address, "sheet Phosphate", "note", align="right")
    elif line.quantity is not None:
        number_input(plan.book, sheet, address, line.quantity, heading, help=line.note)
    else:
        choices = nutrient.bases if line.key == "basis" else nutrient.products
        column_input(plan.book, sheet, address, Column(
            line.key, heading, kind="choice", choices=choices, help=line.note))
        if line.key == "product":
            style.look(sheet[address], "input", wrap=True, align="left")
            sheet.row_dimensions[band_row(line.key)].height = 28
