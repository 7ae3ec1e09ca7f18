"""The function guide as a whole: its first sheet, its contents, and a sheet for each subject."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.function import WorksheetFunction
from pailbook.quantities import METRIC, US
from pailbook.workbook import front
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import quoted
from pailbook.workbook.front import Result
from pailbook.workbook.function_guide import words
from pailbook.workbook.function_guide.pages import AGREES, Block, link, write_page
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.sheets import headings, put, section, widths

CONTENTS = "Contents"
_PURPOSE = (
    "Every function, by subject: what it calculates, its arguments with their units and limits, its source, and a live "
    "example.",
    "Type your own numbers into the boxes of an example to try a function. To use it elsewhere, copy the call.",
    "If an input is missing, is not a number or is outside its limits, the answer is an error, never a number.",
)
_READING = (
    ("NAME(a, [b])", "How to type a call. Arguments in brackets may be left out; their order must be kept."),
    ("units", 'Always the last argument. If it is left out, the units are metric, even in a US workbook: type "us".'),
    ("basis", "What a concentration is expressed as: phosphate as PO4 or P, nitrate as NO3 or N; it is always named."),
    ("limits", "What an argument may be. Outside these limits the equation does not hold."),
    ("plain formula", "The same calculation as an ordinary formula, for a program without the functions."),
)
_CAUTIONS = (
    front.ACIDS_AND_BASES, front.MAINS_POWER, front.MEDICINES, front.REGULATED,
    "The functions give information, not professional advice. Follow local codes and laws.",
)


@dataclass(frozen=True)
class Guide:
    """The workbook, and where each function's block is."""

    book: Book
    blocks: Mapping[str, Block]


def function_guide(units: str = METRIC, plain: bool = False) -> Guide:
    """The guide, in memory.

    Parameters
    ----------
    units : "metric" or "us": the units of all examples and limits.
    plain : plain formulas in place of calls of our functions.
    """
    book = Book("Function guide", units, plain)
    start = book.sheet(front.SHEET, landscape=False)
    contents = book.sheet(CONTENTS, "Click a name to go to its page.", landscape=False)
    subjects = words.by_category()
    blocks: dict[str, Block] = {}
    for title, functions in subjects.items():
        blocks |= write_page(book, title, functions)
    _write_contents(contents, subjects, blocks)
    _write_start(book, start, blocks)
    book.speak()
    return Guide(book, blocks)


def _write_start(book: Book, sheet: Worksheet, blocks: dict[str, Block]) -> None:
    sheet["A1"].value = "Function guide"
    sheet["A2"].value = f"{len(blocks)} functions, {'US' if book.units == US else book.units} units."
    widths(sheet, 5, 42, 30, 18, 52)
    row = front.purpose(sheet, 4, _PURPOSE)
    section(sheet, row + 2, "How to read a page", front.COLUMNS)
    row += 2
    for term, meaning in _READING:
        row += 1
        put(sheet, f"B{row}", term, "strong")
        sheet.merge_cells(f"C{row}:E{row}")
        put(sheet, f"C{row}", meaning, wrap=True)
    row += 1
    put(sheet, f"B{row}", "All functions", "strong")
    link(put(sheet, f"C{row}", "go to Contents", "strong"), CONTENTS)
    last = {block.sheet: block.agrees for block in blocks.values()}  # on each sheet, of its last block
    agreeing = "+".join(
        f'COUNTIF({quoted(title)}!$D$1:$D${agrees[1:]},"{AGREES}")' for title, agrees in last.items())
    row = front.results(book, sheet, row + 2, (
        Result("functions_in_guide", "Functions in this guide", str(len(blocks)), format="0"),
        Result("examples_that_agree", "Examples that give the printed answer", agreeing, format="0"),
    ), {})
    row = front.functions_answer(book, sheet, row + 2)
    row = front.cautions(sheet, row + 2, _CAUTIONS)
    sheet.print_area = f"A1:E{row}"


def _write_contents(sheet: Worksheet, subjects: dict[str, list[WorksheetFunction]], blocks: dict[str, Block]) -> None:
    widths(sheet, 28, 100)
    row = 3
    for title, functions in subjects.items():
        row += 1
        section(sheet, row, title, 2)
        link(put(sheet, f"A{row}", title, "section"), title)
        row += 1
        headings(sheet, row, ("Function", "What it calculates"))
        for function in functions:
            row += 1
            block = blocks[function.name]
            link(put(sheet, f"A{row}", function.name, "strong"), block.sheet, block.heading)
            put(sheet, f"B{row}", function.summary, wrap=True)
            set_height(sheet, row, lines_of(function.summary, 100))
        row += 1
    sheet.print_title_rows = "1:2"
    sheet.print_area = f"A1:B{row - 1}"
