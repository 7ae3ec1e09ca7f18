"""The parts of a workbook's first sheet: what it is for, what to fill in first, key results, safety notes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import US, Quantity
from pailbook.workbook import style
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Column
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.sheets import column_input, put, section

SHEET = "Start"
COLUMNS = 5

ACIDS_AND_BASES = (
    "Acids and bases burn skin and eyes: wear gloves and goggles. Add acid to water, never water to acid. Never store "
    "or dose an acid beside a base or chlorine."
)
MAINS_POWER = (
    "Mains electricity near water can kill: use a residual-current device (RCD) and drip loops, and unplug before you "
    "put your hands in the water."
)
CHLORINE = "Chlorine and chloramine kill fish and the bacteria of the filter: remove them before tap water goes in."
MEDICINES = (
    "Medicines, anaesthetics and sick fish: follow the label, the law and your vet's advice. Treated fish may be eaten "
    "only after the withdrawal period."
)
REGULATED = (
    "Moving live fish, keeping some species and discharging water are regulated: ask your local authority."
)
INSTALLED, NOT_INSTALLED, NONE_NEEDED = "installed", "not installed", "no add-in is needed: all formulas are plain"
_INSTALL = ("Install the functions (pailbook install), or make a copy that needs no add-in (pailbook share). What you "
            "typed is safe.")


@dataclass(frozen=True)
class Result:
    """A key result: its defined name, what it says, its unit and its formula."""

    name: str
    label: str
    text: str
    quantity: Quantity | None = None
    unit: str = ""
    format: str = ""


def purpose(sheet: Worksheet, row: int, lines: Sequence[str]) -> int:
    """What the workbook is for; returns the last row used, as the other parts do."""
    section(sheet, row, "What it is for", COLUMNS)
    for text in lines:
        row += 1
        put(sheet, f"A{row}", text)
    return row


def first_steps(book: Book, sheet: Worksheet, row: int, steps: Sequence[tuple[str, str]]) -> int:
    """Today's date, and the sheets to fill in, each as (sheet, what to fill in there)."""
    section(sheet, row, "Fill in first", COLUMNS)
    row += 1
    put(sheet, f"A{row}", 1, "strong")
    put(sheet, f"B{row}", "Today's date", "strong")
    column_input(book, sheet, f"C{row}", Column(
        "as_of", "Today's date", kind="date",
        help="Type today's date, such as 2026-03-31. Ages and due dates are counted from this date. It "
             "does not change on its own."))
    book.define("as_of", SHEET, f"C{row}")
    put(sheet, f"D{row}", "year-month-day", "note", align="left")
    for number, (name, what) in enumerate(steps, 2):
        row += 1
        put(sheet, f"A{row}", number, "strong")
        cell = put(sheet, f"B{row}", f"Sheet {name}", "strong")
        cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"'{name}'!A1")
        put(sheet, f"C{row}", what)
    return row


def results(book: Book, sheet: Worksheet, row: int, found: Sequence[Result], wide: Mapping[str, int]) -> int:
    """The key results under their defined names.

    wide : of the results whose long text takes the columns to the right too: by name, how many lines it needs.
    """
    section(sheet, row, "Key results", COLUMNS)
    for result in found:
        row += 1
        put(sheet, f"B{row}", result.label, "strong")
        number_format = result.format or (
            style.format_of(result.quantity, book.units) if result.quantity else "General")
        put(sheet, f"C{row}", f"={result.text}", "key", number_format, align="left")
        unit = result.unit or (result.quantity.unit_in(book.units) if result.quantity else "")
        if result.name in wide:
            widen(sheet, row, wide[result.name])
        else:
            put(sheet, f"D{row}", f"={unit[1:]}" if unit.startswith("=") else unit, align="left")
        book.define(result.name, SHEET, f"C{row}")
    return row


def functions_answer(book: Book, sheet: Worksheet, row: int, label: str = "B") -> int:
    """A cell that says whether the functions are installed in this program; its label stands in that column.

    The note beside it says what to do where they are not; a workbook of plain formulas needs none.
    """
    section(sheet, row, "Are the functions installed?", COLUMNS)
    row += 1
    put(sheet, f"{label}{row}", "In this program", "strong")
    if book.plain:
        put(sheet, f"C{row}", NONE_NEEDED, "key", align="left")
        widen(sheet, row)
    else:
        answer = book.call("AMMONIA_FRACTION", "7", *(("77", "0") if book.units == US else ("25", "0")))
        # NOW makes a program compute this cell on opening, so that no stored answer stands where it is not true.
        put(sheet, f"C{row}", f'=IFERROR(IF(ISNUMBER({answer}+0*NOW()),"{INSTALLED}","{NOT_INSTALLED}"),'
                              f'"{NOT_INSTALLED}")', "key", align="left")
        put(sheet, f"D{row}", f'=IF($C{row}="{NOT_INSTALLED}","{_INSTALL}","")', "note", wrap=True, align="left")
        sheet.merge_cells(f"D{row}:E{row}")
        set_height(sheet, row, lines_of(_INSTALL, _width(sheet, "DE")))
    book.define("functions_answer", SHEET, f"C{row}")
    return row


def cautions(sheet: Worksheet, row: int, texts: Sequence[str]) -> int:
    """The safety notes."""
    section(sheet, row, "Safety notes", COLUMNS)
    for text in texts:
        row += 1
        sheet.merge_cells(f"A{row}:E{row}")
        put(sheet, f"A{row}", text, "text", wrap=True)
        set_height(sheet, row, lines_of(text, _width(sheet, "ABCDE")))
    return row


def _width(sheet: Worksheet, letters: str) -> float:
    return float(sum(sheet.column_dimensions[letter].width for letter in letters))


def widen(sheet: Worksheet, row: int, lines: int = 1) -> None:
    """Gives a long text the columns to the right of it, and that number of lines."""
    if lines > 1:
        style.look(sheet[f"C{row}"], "key", wrap=True, align="left")
        sheet.row_dimensions[row].height = 14 * lines
    for letter in "DE":
        style.look(sheet[f"{letter}{row}"], "key")
    sheet.merge_cells(f"C{row}:E{row}")
