"""Sheet "Settings": unit system, elevation, and the basis in which each reading is written down."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.functions.convert import MG_CACO3
from pailbook.quantities import Elevation
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import column_input, headings, number_input, put, section, widths

SHEET = "Settings"
_FIRST = 12  # row of the first basis


@dataclass(frozen=True)
class Basis:
    """In which basis a reading is typed, and in which one the log works."""

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
    Basis("basis_ammonia", "Total ammonia", ("N", "NH3", "NH4"), "N",
          "N is TAN-N. Many kits say NH3 or NH4 on the label: 1 mg/L as N is 1.22 as NH3."),
    Basis("basis_nitrite", "Nitrite", ("NO2", "N"), "NO2", "1 mg/L as N (nitrite-N) is 3.28 as NO2."),
    Basis("basis_nitrate", "Nitrate", ("NO3", "N"), "NO3", "1 mg/L as N (nitrate-N) is 4.43 as NO3."),
    Basis("basis_phosphate", "Phosphate", ("PO4", "P", "P2O5"), "PO4", "1 mg/L as P is 3.07 as PO4."),
    Basis("basis_alkalinity", "Alkalinity", tuple(MG_CACO3), "CaCO3",
          "CaCO3 mg/L; dH, fH: German, French degrees; gpg: grains per US gal; meq: meq/L. 1 dH is 17.8 mg/L."),
    Basis("basis_hardness", "Hardness", tuple(MG_CACO3), "CaCO3", "As for alkalinity."),
)


def factor(name: str) -> str:
    """The cell that says how many mg/L in the log's basis one unit of the user's basis is."""
    return f"{SHEET}!$D${_row(name)}"


def unit(name: str) -> str:
    """The cell with the unit of what is typed, in words."""
    return f"{SHEET}!$C${_row(name)}"


def heading_cells() -> dict[str, tuple[str, str]]:
    """For each basis the cells with its unit and its factor."""
    return {basis.name: (unit(basis.name), factor(basis.name)) for basis in BASES}


def _row(name: str) -> int:
    return _FIRST + next(i for i, basis in enumerate(BASES) if basis.name == name)


def write(log: Log) -> None:
    """Writes the sheet."""
    book = log.book
    sheet = book.sheet(SHEET, "Set these once, before the first entry. Changing a basis later changes what old "
                              "readings mean.")
    widths(sheet, 22, 16, 20, 15, 20, 84)
    headings(sheet, 4, ("Setting", "Value", "Unit"))
    headings(sheet, 4, ("What it is for",), first=6)
    put(sheet, "A5", "Farm or business", "strong")
    _explain(sheet, 5, "Stands on the sheet Start and on visit reports.")
    column_input(book, sheet, "B5", Column("farm", "Farm or business", kind="text"))
    book.define("farm", SHEET, "B5")
    put(sheet, "A6", "Units", "strong")
    put(sheet, "B6", book.units, "result", align="left")
    _explain(sheet, 6, "Fixed when the workbook was made. For the other units make a new log.")
    book.define("units", SHEET, "B6")
    put(sheet, "A7", "Elevation", "strong")
    number_input(book, sheet, "B7", quantity(Elevation), "Elevation", 0,
                 "Height above sea level of the farm; a system can have its own")
    put(sheet, "C7", quantity(Elevation).unit_in(book.units), align="left")
    _explain(sheet, 7, "Oxygen saturation depends on it. Used where the sheet Systems gives none.")
    book.define("elevation", SHEET, "B7")

    section(sheet, 9, "In which basis do you write readings down?", 6)
    put(sheet, "A10", "Look at the kit's leaflet. The headings of Water tests follow what is set here.", "note")
    headings(sheet, 11, ("Reading", "Basis", "You type", "1 of these is", "in the log", "What to know"))
    for row, basis in enumerate(BASES, _FIRST):
        put(sheet, f"A{row}", basis.label, "strong")
        column_input(book, sheet, f"B{row}", Column(
            basis.name, f"Basis of {basis.label.lower()}", kind="choice", choices=basis.choices, help=basis.note,
        ), basis.choices[0])
        book.define(basis.name, SHEET, f"B{row}")
        convert = "HARDNESS_CONVERT" if basis.hardness else "NUTRIENT_CONVERT"
        put(sheet, f"C{row}", "=" + _unit_words(basis, book.name(basis.name)), "result", align="left")
        put(sheet, f"D{row}", "=" + book.call(convert, "1", book.name(basis.name), f'"{basis.target}"'), "result", "0.000")
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
