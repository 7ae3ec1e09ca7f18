"""Sheet "Settings": unit system, elevation, and the basis in which each reading is typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from openpyxl.worksheet.worksheet import Worksheet

from pailbook import terms
from pailbook.functions.convert import MG_CACO3
from pailbook.quantities import Elevation
from pailbook.rules.clean_cell import clean_number
from pailbook.rules.declaration import question
from pailbook.rules.row_entries import is_usable
from pailbook.workbook import style
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.questions import Today
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import column_input, headings, number_input, put, section, widths

SHEET = "Settings"
_FIRST = 13  # row of the first basis


@dataclass(frozen=True)
class Basis:
    """The basis in which a reading is typed, and the one in which the log calculates."""

    name: str  # of the setting, a defined name
    label: str
    choices: tuple[str, ...]  # the first is the default
    target: str
    note: str

    @property
    def hardness(self) -> bool:
        """Whether it is a unit of hardness or alkalinity."""
        return self.target == "CaCO3"


BASES = (
    Basis("basis_ammonia", terms.TOTAL_AMMONIA, ("N", "NH3", "NH4"), "N",
          "Total ammonia is NH3 and NH4 together. Many kits give it as NH3 or NH4: 1 mg/L as N is 1.22 mg/L as NH3."),
    Basis("basis_nitrite", terms.NITRITE, ("NO2", "N"), "NO2", "1 mg/L as N (nitrite-N) is 3.28 mg/L as NO2."),
    Basis("basis_nitrate", terms.NITRATE, ("NO3", "N"), "NO3", "1 mg/L as N (nitrate-N) is 4.43 mg/L as NO3."),
    Basis("basis_phosphate", terms.PHOSPHATE, ("PO4", "P", "P2O5"), "PO4", "1 mg/L as P is 3.07 mg/L as PO4."),
    Basis("basis_alkalinity", terms.ALKALINITY_ONCE, tuple(MG_CACO3), "CaCO3",
          "CaCO3: mg/L; dH and fH: German and French degrees; gpg: grains per US gal; meq: meq/L. 1 dH is 17.8 mg/L."),
    Basis("basis_hardness", terms.HARDNESS_ONCE, tuple(MG_CACO3), "CaCO3", "The same units as for alkalinity."),
)


def factor(name: str) -> str:
    """The cell with the mg/L in the log's basis that 1 in the user's basis is; a text where it is not known."""
    return f"{SHEET}!$D${_row(name)}"


def unit(name: str) -> str:
    """The cell with the unit of what is typed, in words."""
    return f"{SHEET}!$C${_row(name)}"


def heading_cells() -> dict[str, tuple[str, str]]:
    """By the name of each basis, the cells with its unit and its factor."""
    return {basis.name: (unit(basis.name), factor(basis.name)) for basis in BASES}


def _row(name: str) -> int:
    return _FIRST + next(i for i, basis in enumerate(BASES) if basis.name == name)


def write(log: Log) -> None:
    """Writes the sheet."""
    book = log.book
    sheet = book.sheet(SHEET, "Set these once, before the first entry. Changing a basis later changes what earlier "
                              "readings mean.")
    widths(sheet, 24, 16, 20, 15, 20, 84)
    headings(sheet, 4, ("Setting", "Value", "Unit", "In use"))
    headings(sheet, 4, ("What it is for",), first=6)
    put(sheet, "A5", "Farm or business", "strong")
    _explain(sheet, 5, "Shown on the sheet Start and on visit reports.")
    column_input(book, sheet, "B5", Column("farm", "Farm or business", kind="text"))
    book.define("farm", SHEET, "B5")
    put(sheet, "A6", "Units", "strong")
    put(sheet, "B6", book.units, "result", align="left")
    _explain(sheet, 6, "Set when the workbook was made. For other units, make a new log.")
    book.define("units", SHEET, "B6")
    put(sheet, "A7", "Elevation", "strong")
    number_input(book, sheet, "B7", quantity(Elevation), "Elevation", 0,
                 "Height of the farm above sea level; a system can have its own")
    put(sheet, "C7", quantity(Elevation).unit_in(book.units), align="left")
    # Nothing typed is sea level, as everywhere.
    height = question("elevation", Annotated[Elevation, "Elevation"])
    put(sheet, "D7", "=" + clean_number(height, "$B$7", book.units, assumed="0"), "result",
        style.format_of(quantity(Elevation), book.units))
    _explain(sheet, 7, "Oxygen saturation depends on it. Used for every system that has no elevation of its own.")
    book.define("elevation", SHEET, "B7")
    put(sheet, "A8", "Today's date", "strong")
    date = book.name("as_of")
    usable = is_usable(question("today", Today), date, book.units)
    put(sheet, "D8", f'=IF({usable},{date},"")', "result", style.DATE_FORMAT, align="center")
    _explain(sheet, 8, "Typed on the sheet Start. Ages and due dates are counted from it; without it they are "
             "not known.")

    section(sheet, _FIRST - 3, "The basis in which you type readings", 6)
    put(sheet, f"A{_FIRST - 2}", "It is in the leaflet of the kit. The headings of Water tests follow these settings.",
        "note")
    headings(sheet, _FIRST - 1, ("Reading", "Basis", "You type", "1 of these is", "in the log", "Good to know"))
    for row, basis in enumerate(BASES, _FIRST):
        put(sheet, f"A{row}", basis.label, "strong")
        column_input(book, sheet, f"B{row}", Column(
            basis.name, f"Basis of {basis.label[0].lower()}{basis.label[1:]}", kind="choice", choices=basis.choices,
            help=basis.note), basis.choices[0])
        book.define(basis.name, SHEET, f"B{row}")
        chosen = book.name(basis.name)
        convert = "HARDNESS_CONVERT" if basis.hardness else "NUTRIENT_CONVERT"
        factor_text = book.call(convert, "1", chosen, f'"{basis.target}"')
        unit_text = f'IFERROR({_unit_words(basis, chosen)},"basis {terms.NOT_KNOWN}")'
        put(sheet, f"C{row}", f"={unit_text}", "result", align="left")
        put(sheet, f"D{row}", f'=IFERROR({factor_text},"{terms.NOT_KNOWN}")', "result", "0.000")
        put(sheet, f"E{row}", f"mg/L as {basis.target}", "result", align="left")
        _explain(sheet, row, basis.note)
    sheet.print_area = f"A1:F{_FIRST + len(BASES)}"


def _explain(sheet: Worksheet, row: int, text: str) -> None:
    put(sheet, f"F{row}", text, "note", wrap=True, align="left")


def _unit_words(basis: Basis, chosen: str) -> str:
    if not basis.hardness:
        return f'"mg/L as "&{chosen}'
    words = {"CaCO3": "mg/L as CaCO3", "gpg": "grains/US gal", "meq": "meq/L"}
    text = f'"°"&{chosen}'
    for choice, unit_text in words.items():
        text = f'IF({chosen}="{choice}","{unit_text}",{text})'
    return text
