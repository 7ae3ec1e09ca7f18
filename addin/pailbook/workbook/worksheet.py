"""A sheet's part read into its cells, each with its place in the bytes, so that one can be changed and no other.

The standard library's parser runs over the part once; no tree is built, and what is not a cell stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from pailbook.hosts.areas import Area, address_of, place_at
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.parts import Package

_NUMBER = re.compile("[0-9]{1,7}")  # of a row or column
_STYLE = re.compile("[0-9]{1,6}")
_TAG = re.compile(rb"<(?:[^<>\"']|\"[^\"]*\"|'[^']*')*>")


@dataclass
class Cell:
    """A cell's element."""

    row: int
    column: int
    start: int
    tag_end: int  # where its start tag ends
    end: int = 0
    kind: str = "n"
    style: int = 0  # the number of its style
    value: str | None = None  # the text of its value, as written
    formula: dict[str, str] | None = None  # the attributes of its formula
    formula_text: str = ""
    formula_span: tuple[int, int] = (0, 0)
    tail_span: tuple[int, int] = (0, 0)  # an extension behind the value

    @property
    def address(self) -> str:
        """Such as B4."""
        return address_of((self.row, self.column))


@dataclass
class Row:
    """A row's element."""

    number: int
    start: int
    tag_end: int
    attributes: dict[str, str]
    close: int = 0  # where its end tag begins, if it has one
    end: int = 0
    cells: list[Cell] = field(default_factory=list)


class Worksheet:
    """The cells of a sheet, rows and columns ascending."""

    def __init__(self, package: Package, title: str) -> None:
        """Read the sheet. WorkbookError if no sheet has that title or its part is damaged."""
        if title not in package.sheets:
            raise package.error(f"has no sheet {title!r}; it has: {', '.join(package.sheets)}")
        self.package, self.title, self.part = package, title, package.sheets[title]
        self.data = package.read(self.part)
        self.prefix = b""  # of the elements' names, with its colon
        self.rows: list[Row] = []
        self.sheet_data = Row(0, 0, 0, {})  # the element around the rows
        self.dimension: tuple[int, int, str] | None = None  # the tag's place and the range in it
        self.columns: list[dict[str, str]] = []
        self.merged: list[Area] = []
        _Scan(self).run()
        self.arrays = [  # the ranges that array formulas and data tables fill
            (self.area(cell.formula["ref"]), cell)
            for cell in self.cells() if cell.formula and cell.formula.get("t") in ("array", "dataTable")
            if "ref" in cell.formula
        ]

    def error(self, what: str, address: str = "") -> WorkbookError:
        """An error about this sheet, or a cell of it."""
        return self.package.error(f"{self.title}!{address} {what}" if address else f"sheet {self.title!r} {what}")

    def cells(self) -> Iterator[Cell]:
        """All the cells that stand in the part."""
        return (cell for row in self.rows for cell in row.cells)

    def area(self, text: str) -> Area:
        """The cells of a range such as A1:B4."""
        try:
            return Area.of(self.title, text)
        except ValueError:
            raise self.error(f"is damaged: {text!r} is not a range of cells") from None


class _Scan:
    """The parser's handlers; elements are recognised by their names within the sheet's own namespace."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet, self.data = sheet, sheet.data
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.XmlDeclHandler = self._declaration
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.space = ""
        self.within = False  # sheetData
        self.row: Row | None = None
        self.cell: Cell | None = None
        self.taken: list[str] | None = None  # the text being read
        self.phonetic = False
        self.part_start = self.part_end = 0  # of a cell's formula or extension: its start, and its end if it is empty

    def run(self) -> None:
        if b"\0" in self.data[:100]:  # UTF-16, whose bytes the places found here would not fit
            raise self.sheet.error("is not written in UTF-8")
        try:
            self.parser.Parse(self.data, True)
        except expat.ExpatError as reason:
            raise self.sheet.package.error(
                f"is damaged: the part {self.sheet.part} is not well-formed ({reason})") from None
        if not self.sheet.sheet_data.end:
            raise self.sheet.error("is damaged: it has no place for cells")

    def _declaration(self, version: str, encoding: str | None, standalone: int) -> None:
        if (encoding or "utf-8").lower() not in ("utf-8", "us-ascii", "ascii"):
            raise self.sheet.error("is not written in UTF-8")

    def _doctype(self, *_: object) -> None:
        raise self.sheet.package.error(f"declares a document type in the part {self.sheet.part}, "
                                       "which a workbook must not")

    def _tag(self) -> tuple[int, int]:
        start = self.parser.CurrentByteIndex
        match = _TAG.match(self.data, start)
        if match is None:
            raise self.sheet.error("is damaged")
        return start, match.end()

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, tag = name.rpartition(" ")
        if not self.space:
            if tag != "worksheet":
                raise self.sheet.error(f"is damaged: its part is a {tag}")
            self.space = space
            self.sheet.prefix = self.data[self._tag()[0] + 1:].partition(b"worksheet")[0]
        if space != self.space:
            return
        if self.cell is not None:
            self._start_in_cell(tag, attributes)
        elif tag == "c" and self.row is not None:
            self._start_cell(attributes)
        elif tag == "row" and self.within:
            self._start_row(attributes)
        elif tag == "sheetData":
            self.within = True
            self.sheet.sheet_data.start, self.sheet.sheet_data.tag_end = self._tag()
        elif tag == "dimension" and "ref" in attributes:
            self.sheet.dimension = (*self._tag(), attributes["ref"])
        elif tag == "mergeCell" and "ref" in attributes:
            self.sheet.merged.append(self.sheet.area(attributes["ref"]))
        elif tag == "col":
            if not all(_NUMBER.fullmatch(attributes.get(end, "")) for end in ("min", "max")):
                raise self.sheet.error("is damaged: it does not say which columns have a width")
            self.sheet.columns.append(attributes)

    def _start_row(self, attributes: dict[str, str]) -> None:
        before = self.sheet.rows[-1].number if self.sheet.rows else 0
        number = attributes.get("r", str(before + 1))
        if not _NUMBER.fullmatch(number) or int(number) <= before:
            raise self.sheet.error(f"is damaged: row {number} comes after row {before}")
        self.row = Row(int(number), *self._tag(), attributes)
        self.sheet.rows.append(self.row)

    def _start_cell(self, attributes: dict[str, str]) -> None:
        assert self.row is not None
        before = self.row.cells[-1].column if self.row.cells else 0
        address = attributes.get("r") or address_of((self.row.number, before + 1))
        try:
            row, column = place_at(address)
        except ValueError:
            row, column = 0, 0
        if row != self.row.number or column <= before:
            raise self.sheet.error(f"is damaged: the cell {address} is in the wrong place of row {self.row.number}")
        style = attributes.get("s", "")
        self.cell = Cell(row, column, *self._tag(), kind=attributes.get("t", "n"),
                         style=int(style) if _STYLE.fullmatch(style) else 0)
        self.row.cells.append(self.cell)

    def _start_in_cell(self, tag: str, attributes: dict[str, str]) -> None:
        assert self.cell is not None
        if tag in ("f", "extLst"):
            self.part_start, end = self._tag()
            self.part_end = end if self.data[end - 2:end] == b"/>" else 0
        if tag == "f":
            self.cell.formula = attributes
        if tag == "rPh":
            self.phonetic = True  # how a text is read aloud is not part of it
        elif tag in ("f", "v") or (tag == "t" and not self.phonetic):
            self.taken = []

    def _text(self, text: str) -> None:
        if self.taken is not None:
            self.taken.append(text)

    def _end(self, name: str) -> None:
        space, _, tag = name.rpartition(" ")
        if space != self.space:
            return
        if self.cell is not None:
            self._end_in_cell(tag)
        elif tag == "row" and self.row is not None:
            self.row.close, self.row.end = self._close(self.row.tag_end)
            self.row = None
        elif tag == "sheetData":
            self.within = False
            self.sheet.sheet_data.close, self.sheet.sheet_data.end = self._close(self.sheet.sheet_data.tag_end)

    def _end_in_cell(self, tag: str) -> None:
        cell = self.cell
        assert cell is not None
        text = "".join(self.taken) if self.taken is not None else ""
        if tag == "c":
            cell.end = self._close(cell.tag_end)[1]
            self.cell = None
        elif tag == "rPh":
            self.phonetic = False
        elif tag in ("f", "extLst"):
            span = self.part_start, self.part_end or self._close(0)[1]
            if tag == "f":
                cell.formula_text, cell.formula_span = text, span
            else:
                cell.tail_span = span
        elif tag in ("v", "t") and self.taken is not None:
            cell.value = (cell.value or "") + text
        if tag in ("f", "v", "t"):
            self.taken = None

    def _close(self, tag_end: int) -> tuple[int, int]:
        """Where the end tag of an element begins, 0 if it is one tag alone, and where it ends."""
        if tag_end and self.data[tag_end - 2:tag_end] == b"/>":
            return 0, tag_end
        start = self.parser.CurrentByteIndex
        return start, self.data.index(b">", start) + 1
