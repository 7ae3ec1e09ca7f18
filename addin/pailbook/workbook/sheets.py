"""Putting things on a sheet: tables with headings, units and rules, and single labelled cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from pailbook import sources, terms
from pailbook.quantities import Quantity
from pailbook.sources import COMMON_PRACTICE, Citation
from pailbook.workbook import style, validation
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Column, Table

Formula = Callable[[int], str]  # from a row's number to formula text


def write_table(
    book: Book,
    sheet: Worksheet,
    table: Table,
    formulas: Mapping[str, Formula] | None = None,
    *,
    freeze: str,
    bases: Mapping[str, tuple[str, str]] | None = None,
    verdicts: tuple[str, ...] = (),
    heading_height: float = 44,
) -> None:
    """A table: strips over what is typed and what is calculated, headings with units, prepared rows.

    Parameters
    ----------
    formulas : by the key of each result column, the formula for a row.
    freeze : key of the first column that scrolls.
    bases : by the defined name of a basis, the cell with its unit in words and the cell with its factor.
    verdicts : keys of the columns whose text begins with the word of a verdict.
    """
    formulas, bases = formulas or {}, bases or {}
    assert set(formulas) == {c.key for c in table.columns if not c.is_input}, sheet.title
    for number, column in enumerate(table.columns, 1):
        letter = get_column_letter(number)
        sheet.column_dimensions[letter].width = column.width
        sheet.column_dimensions[letter].hidden = column.hidden
        unit_cell, factor = bases.get(column.basis, ("", ""))
        heading = style.look(sheet.cell(table.heading_row, number), "heading")
        heading.value = _heading(book, column, unit_cell)
        style.look(sheet.cell(table.heading_row - 1, number), "band_input" if column.is_input else "band_result")
        number_format = _number_format(column, book.units)
        align = _alignment(column)
        wrap = align == "left" and column.width >= 20
        for row in range(table.first_row, table.last_row + 1):
            cell = style.look(
                sheet.cell(row, number), "input" if column.is_input else "result", number_format, wrap, align)
            if not column.is_input:
                cell.value = "=" + formulas[column.key](row)
        if column.is_input:
            unit = "the unit in the heading" if unit_cell else ""
            rule = validation.of_column(column, book.units, factor, unit)
            rule.add(f"{letter}{table.first_row}:{letter}{table.last_row}")
            sheet.add_data_validation(rule)
    strips = ((True, "YOU FILL IN"), (False, "CALCULATED (locked)"))
    for is_input, words in strips:
        first = next((i for i, c in enumerate(table.columns, 1) if c.is_input is is_input and not c.hidden), None)
        if first is not None:
            sheet.cell(table.heading_row - 1, first).value = words
    last = table.letter(next(c for c in reversed(table.columns) if not c.hidden).key)
    sheet.row_dimensions[table.heading_row].height = heading_height
    sheet.freeze_panes = f"{table.letter(freeze)}{table.first_row}"
    sheet.auto_filter.ref = f"A{table.heading_row}:{last}{table.last_row}"
    sheet.print_title_rows = f"{table.heading_row}:{table.heading_row}"
    sheet.print_area = f"A1:{last}{table.last_row}"
    style.verdict_colours(
        sheet, [f"{table.letter(key)}{table.first_row}:{table.letter(key)}{table.last_row}" for key in verdicts]
    )


def _heading(book: Book, column: Column, unit_cell: str) -> str:
    unit = column.unit(book.units)
    if unit_cell:
        return f'="{column.heading}"&CHAR(10)&{unit_cell}'
    return f"{column.heading}\n{unit}" if unit else column.heading


def _number_format(column: Column, units: str) -> str:
    if column.format:
        return column.format
    if column.kind == "date":
        return style.DATE_FORMAT
    if column.kind == "time":
        return style.TIME_FORMAT
    return style.format_of(column.quantity, units) if column.kind == "result" else style.typed_format(column.quantity)


def _alignment(column: Column) -> str:
    """Numbers stand at the right, dates in the middle, texts at the left."""
    if column.kind in ("date", "time") or column.format == style.DATE_FORMAT:
        return "center"
    return "right" if column.quantity is not None or column.format else "left"


def headings(sheet: Worksheet, row: int, texts: tuple[str, ...], first: int = 1, height: float = 0) -> None:
    """A row of headings."""
    for number, text in enumerate(texts, first):
        style.look(sheet.cell(row, number), "heading").value = text
    if height:
        sheet.row_dimensions[row].height = height


def section(sheet: Worksheet, row: int, text: str, columns: int) -> None:
    """A line across the sheet that begins a part of it."""
    for number in range(1, columns + 1):
        style.look(sheet.cell(row, number), "section")
    sheet.cell(row, 1).value = text


def cited(source: Citation) -> str:
    """A source in a few words, for a cell beside what rests on it."""
    if source.work is COMMON_PRACTICE:
        return terms.COMMON_PRACTICE
    known = next(name for name, work in vars(sources).items() if work is source.work)
    words = (re.search(rf"\b{word}\b", source.work.reference, re.IGNORECASE) or [word] for word in known.split("_"))
    return f"{' '.join(word[0] for word in words)}, {source.place}"


def widths(sheet: Worksheet, *values: float) -> None:
    """The widths of the columns from A on."""
    for number, width in enumerate(values, 1):
        sheet.column_dimensions[get_column_letter(number)].width = width


def put(
    sheet: Worksheet, address: str, value: Any, name: str = "text", number_format: str = "", wrap: bool = False,
    align: str = "",
) -> Cell:
    """A value in a cell, with a look."""
    cell: Cell = sheet[address]
    cell.value = value
    return style.look(cell, name, number_format, wrap, align)


def number_input(
    book: Book, sheet: Worksheet, address: str, quantity: Quantity, heading: str, value: float | None = None,
    help: str = "", number_format: str = "General",
) -> None:
    """A single cell for a number of that quantity, with its rule."""
    put(sheet, address, value, "input", number_format)
    _rule(sheet, address, validation.of_quantity(quantity, book.units, heading, help))


def column_input(book: Book, sheet: Worksheet, address: str, column: Column, value: Any = None) -> None:
    """A single cell for what a column would hold, with its rule."""
    put(sheet, address, value, "input", _number_format(column, book.units), align=_alignment(column))
    _rule(sheet, address, validation.of_column(column, book.units))


def _rule(sheet: Worksheet, address: str, rule: DataValidation) -> None:
    rule.add(address)
    sheet.add_data_validation(rule)
