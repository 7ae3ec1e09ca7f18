"""The guide's pages, one per subject: for each function its arguments, a live and a printed answer, its source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.function import Argument, WorksheetFunction
from pailbook.workbook import validation
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import quoted
from pailbook.workbook.function_guide import words
from pailbook.workbook.lines import POINTS, lines_of, set_height
from pailbook.workbook.sheets import headings, put, section, widths

AGREES, DIFFERS = "agrees", "differs: an input was changed"
_HEADINGS = ("Argument", "What it is", "Unit", "Accepted values", "Required?", "Example")
_RANGE = "and so on"
_WIDTHS = (20, 46, 14, 34, 22, 15)
_EXAMPLE = len(_HEADINGS)  # the column of the example; a range goes on to the right
_FIRST = 4
_LONGEST_LIST = 250  # characters of a list that a rule may hold
_LETTERS = {"section": 1.27, "strong": 1.15, "text": 1.0}  # how wide the letters of a look are
_PAGE = 515.0  # points of rows that fit on a printed page


@dataclass(frozen=True)
class Block:
    """Where a function's block stands: its heading, its live answer and the cell that compares it."""

    sheet: str
    heading: str
    live: str
    printed: str
    agrees: str


def write_page(book: Book, title: str, functions: list[WorksheetFunction]) -> dict[str, Block]:
    """A sheet with a block for each function; where the blocks are, by the function's name."""
    sheet = book.sheet(title, "The boxes hold the inputs of the example: change one, and the live answer changes. The "
                              "printed answer below it belongs to the original inputs.")
    longest = max((len(value) for function in functions for value in function.example if isinstance(value, list)),
                  default=1)
    columns = _EXAMPLE + longest - 1
    widths(sheet, *_WIDTHS, *[11] * (longest - 1))
    link(put(sheet, "A3", "back to Contents", "note"), "Contents")
    blocks, row, used = {}, _FIRST, 50.0
    for function in functions:
        block, end = _Writer(book, sheet, columns).write(function, row)
        height = sum(sheet.row_dimensions[number].height or POINTS for number in range(row, end + 2))
        if row > _FIRST and used + height > _PAGE * columns / _EXAMPLE:
            sheet.row_breaks.append(Break(id=row - 1))
            used = 0.0
        used += height
        blocks[function.name], row = block, end + 2
    sheet.freeze_panes = "B4"
    sheet.print_area = f"A1:{get_column_letter(columns)}{row - 2}"
    return blocks


class _Writer:
    """Writes a function's block."""

    def __init__(self, book: Book, sheet: Worksheet, columns: int) -> None:
        self.book, self.sheet, self.columns = book, sheet, columns
        self.last = get_column_letter(columns)

    def write(self, function: WorksheetFunction, row: int) -> tuple[Block, int]:
        """The block from that row on; where it is, and its last row."""
        heading = row
        section(self.sheet, row, function.signature, self.columns)
        self._across(row, "A", function.signature, "section")
        row += 1
        self._across(row, "A", function.summary, "strong")
        for paragraph in words.paragraphs(function):
            row += 1
            self._across(row, "A", paragraph, "text")
        row += 1
        ranged = any(argument.quantity.series for argument in function.arguments)
        headings(self.sheet, row, _HEADINGS + (_RANGE,) * (self.columns - _EXAMPLE) * ranged)
        values, texts, first = words.example(function, self.book.units), [], row + 1
        for argument, value in zip(function.arguments, values):
            row += 1
            texts.append(self._argument(argument, value, row, first))
        required = sum(argument.required for argument in function.arguments)
        call = self.book.call(function.name, *texts)
        expected = words.printed(function, self.book.units)
        shape = words.number_format(expected)
        live, given = row + 1, row + 2
        letter = get_column_letter(_EXAMPLE)
        put(self.sheet, f"A{live}", "Answer", "strong")
        put(self.sheet, f"B{live}", words.gives(function), wrap=True)
        put(self.sheet, f"C{live}", words.unit(function.result, self.book.units), wrap=True)
        put(self.sheet, f"E{live}", "live answer", "strong", align="right")
        put(self.sheet, f"{letter}{live}",
            f'=IF(COUNTA({letter}{first}:{letter}{first + required - 1})<{required},"",{call})', "key", shape,
            align="right")
        put(self.sheet, f"E{given}", "printed answer", align="right")
        put(self.sheet, f"{letter}{given}", expected, "result", shape, align="right")
        put(self.sheet, f"D{live}", f"={_compared(f'{letter}{live}', f'{letter}{given}', expected)}", align="right")
        row = given + 1
        self._labelled(row, "Source", words.sources(function))
        row += 1
        self._labelled(row, "Plain formula", words.plain_text(function, texts, self.book.units))
        title = self.sheet.title
        return Block(title, f"A{heading}", f"{letter}{live}", f"{letter}{given}", f"D{live}"), row

    def _argument(self, argument: Argument, value: Any, row: int, first: int) -> str:
        """A row for the argument; the text that stands for it in the call."""
        units, quantity, letter = self.book.units, argument.quantity, get_column_letter(_EXAMPLE)
        about, may_be, needed = (quantity.help or quantity.label, words.accepted(quantity, units),
                                 words.need(argument, units))
        put(self.sheet, f"A{row}", argument.name, "strong", wrap=True)
        for column, text in zip("BCDE", (about, words.unit(quantity, units), may_be, needed)):
            put(self.sheet, f"{column}{row}", text, wrap=True)
        set_height(self.sheet, row, max(lines_of(text, width) for text, width in zip(
            (about, words.unit(quantity, units), may_be, needed), _WIDTHS[1:])))
        values = value if isinstance(value, list) else [value]
        count = self._row_length(quantity.series)
        for number in range(count):
            address = f"{get_column_letter(_EXAMPLE + number)}{row}"
            content = values[number] if number < len(values) else None
            put(self.sheet, address, content, "input", "General", align="right")
            self._rule(argument, address)
        return f"{letter}{row}:{self.last}{row}" if quantity.series else f"{letter}{row}"

    def _row_length(self, series: bool) -> int:
        return self.columns - _EXAMPLE + 1 if series else 1

    def _rule(self, argument: Argument, address: str) -> None:
        """What the example's cell accepts; where a list would be too long or several kinds are accepted, any value."""
        quantity, units = argument.quantity, self.book.units
        low, high = quantity.limits(units)
        options = ("TRUE", "FALSE") if quantity.flag else quantity.choices
        if not options and low is not None and high is not None:
            rule = validation.of_quantity(quantity, units, argument.name)
        else:
            listed = bool(options) and not quantity.takes_number and not quantity.grade and len(
                ",".join(options)) < _LONGEST_LIST
            rule = DataValidation(
                "list" if listed else None, '"' + ",".join(options) + '"' if listed else None, allow_blank=True,
                showErrorMessage=listed, showInputMessage=True, errorTitle="Not accepted",
                error="Choose an entry from the list.", promptTitle=argument.name[:32],
                prompt=f"Accepted: {words.accepted(quantity, units)}."[:255])
        rule.add(address)
        self.sheet.add_data_validation(rule)

    def _labelled(self, row: int, label: str, text: str) -> None:
        put(self.sheet, f"A{row}", label, "strong")
        self._across(row, "B", text, "text")

    def _across(self, row: int, first: str, text: str, name: str) -> None:
        """A text over the block's width, on as many lines as it needs."""
        cell = put(self.sheet, f"{first}{row}", text, name, wrap=True)
        cell.data_type = "s"  # a plain formula is shown, not computed
        self.sheet.merge_cells(f"{first}{row}:{self.last}{row}")
        width = sum(_WIDTHS) - (_WIDTHS[0] if first == "B" else 0)
        lines = lines_of(text, width / _LETTERS[name])
        if text.startswith("=") and lines > 1:
            lines += 1  # a formula has no spaces: programs break its lines where they like
        set_height(self.sheet, row, lines)


def _compared(live: str, printed: str, expected: Any) -> str:
    """Formula text that says whether the live answer is the printed one; blank where there is none."""
    same = (f"{live}={printed}" if isinstance(expected, str) else
            f"IF(ISNUMBER({live}),ABS({live}-{printed})<=1E-5*MAX(ABS({printed}),1E-6),FALSE)")
    return f'IF(ISERROR({live}),"{DIFFERS}",IF({live}="","",IF({same},"{AGREES}","{DIFFERS}")))'


def link(cell: Cell, sheet: str, address: str = "A1") -> None:
    """Makes the cell lead to another."""
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"{quoted(sheet)}!{address}", display=str(cell.value))

