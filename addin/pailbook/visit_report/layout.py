"""Rows of a sheet, written from the top down: sections, headings, lines, texts over the whole width."""

from __future__ import annotations

from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.workbook import style
from pailbook.workbook.builder import Book
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.sheets import headings, put, section, widths

WIDTHS = (24, 12, 16, 17, 16, 26, 20)
LETTERS = "ABCDEFG"
COLUMNS = len(WIDTHS)


class Layout:
    """A sheet and how far it is written."""

    def __init__(self, book: Book, title: str) -> None:
        self.sheet, self.row = plain_sheet(book, title), 0
        widths(self.sheet, *WIDTHS)

    def new_page(self) -> None:
        """What follows begins a new printed page."""
        self.sheet.row_breaks.append(Break(id=self.row + 1))

    def section(self, title: str) -> None:
        """A line that begins a section, after a gap."""
        self.row += 2
        section(self.sheet, self.row, title, COLUMNS)
        self.sheet.cell(self.row, 1).data_type = "s"

    def headings(self, *texts: str, height: float = 0) -> None:
        """A row of headings; the last one takes the rest of the width."""
        row = self.next_row()
        headings(self.sheet, row, texts, height=height)
        for number in range(len(texts) + 1, COLUMNS + 1):
            style.look(self.sheet.cell(row, number), "heading")
        if len(texts) < COLUMNS:
            self.merge(row, LETTERS[len(texts) - 1])

    def across(self, text: str, name: str = "text") -> None:
        """A text over the whole width."""
        row = self.next_row()
        say(self.sheet, f"A{row}", text, name, wrap=True)
        self.merge(row, "A")
        if name == "title":
            self.sheet.row_dimensions[row].height = 24 * lines_of(text, sum(WIDTHS) * 0.55)
        else:
            self.fit(row, (text, sum(WIDTHS)))

    def verdict(self, name: str, verdict: str, text: str) -> None:
        """A row with a name, its verdict and the text about it."""
        row = self.next_row()
        say(self.sheet, f"A{row}", name, "strong", wrap=True)
        say(self.sheet, f"B{row}", verdict, "result", wrap=True)
        say(self.sheet, f"C{row}", text, wrap=True)
        self.merge(row, "C")
        self.colour(f"B{row}")
        self.fit(row, (name, WIDTHS[0] * 0.9), (text, sum(WIDTHS[2:])))

    def list_headings(self, *texts: str) -> None:
        """Headings for `entry`."""
        row = self.next_row()
        headings(self.sheet, row, (texts[0], texts[1], "", texts[2], "", "", ""))
        self.merge(row, "B", "C")
        self.merge(row, "D")

    def entry(self, where: str, when: str, text: str, coloured: bool = False) -> None:
        """A row of a list; `coloured` where the text begins with a verdict's word."""
        row = self.next_row()
        say(self.sheet, f"A{row}", where, wrap=True)
        say(self.sheet, f"B{row}", when)
        say(self.sheet, f"D{row}", text, "result" if coloured else "text", wrap=True)
        self.merge(row, "B", "C")
        self.merge(row, "D")
        if coloured:
            self.colour(f"D{row}")
        self.fit(row, (where, WIDTHS[0]), (text, sum(WIDTHS[3:]) * (0.9 if coloured else 1)))

    def next_row(self) -> int:
        """The number of the next row, which is then the last one."""
        self.row += 1
        return self.row

    def merge(self, row: int, first: str, last: str = LETTERS[-1]) -> None:
        """Merges a cell with those to the right of it, up to the last column or the one given."""
        self.sheet.merge_cells(f"{first}{row}:{last}{row}")

    def fit(self, row: int, *texts: tuple[str, float]) -> None:
        """Makes a row high enough for these texts, each with its width."""
        set_height(self.sheet, row, max(lines_of(text, width) for text, width in texts))

    def colour(self, cell: str) -> None:
        """Colours a cell by the verdict's word that it begins with."""
        style.verdict_colours(self.sheet, [cell])


def plain_sheet(book: Book, title: str, landscape: bool = False) -> Worksheet:
    """A sheet of the report, on which a client may write."""
    sheet = book.sheet(title, landscape=landscape)
    sheet.protection.sheet = False
    return sheet


def say(sheet: Worksheet, address: str, text: str, name: str = "text", wrap: bool = False) -> None:
    """A text in a cell; it stays a text even if it begins like a formula."""
    cell = put(sheet, address, text, name, wrap=wrap, align="" if address.startswith("A") else "left")
    if text:
        cell.data_type = "s"
