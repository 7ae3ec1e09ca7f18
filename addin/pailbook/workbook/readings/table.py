"""A record file as a table of texts: encoding, delimiter, heading row, unit row; or a workbook's first sheet."""

from __future__ import annotations

import csv
import datetime
import io
import re
import warnings
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl

from pailbook.files import check_readable
from pailbook.hosts.areas import LAST_COLUMN
from pailbook.workbook.archive import OLD_FORMAT
from pailbook.workbook.contents import Workbook
from pailbook.workbook.package import WorkbookError
from pailbook.workbook.readings.answers import ReadingsError

DELIMITERS = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}
_SEARCHED = 30  # rows from the top among which the headings are looked for
_WIDEST = 1000  # columns among which headings are looked for
_BEGINNING = 200_000  # bytes of a long file that tell how it is written
_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # how a text begins that is taken for one
_FIRST_LINE = re.compile(r'"?sep=(.)"?')

Row = tuple[int, list[str]]  # row number as a spreadsheet shows it, cells
Recognised = Callable[[str], bool]


@dataclass(frozen=True)
class Table:
    """The rows below the headings, all as long as these; `overlong` are rows with more cells than headings."""

    headings: list[str]
    rows: list[Row]
    overlong: list[Row]
    remarks: list[str]
    delimiter: str


def read_table(path: Path, recognised: Recognised) -> Table:
    """The table in a file.

    Parameters
    ----------
    path : a delimited text in UTF-8, UTF-16 or Windows-1252, or an .xlsx workbook.
    recognised : whether a heading is known; the row with the most known ones holds the headings.

    Raises
    ------
    ReadingsError
        Names the file, and what is missing or broken in it.
    """
    check_readable(path, ReadingsError)
    if path.suffix.casefold() in (".xlsx", ".xlsm"):
        rows, remarks = _workbook_rows(path)
        return _table(path, rows, recognised, remarks, "")
    text, encoding = _decoded(path, path.read_bytes())
    remarks = [f"the file was read as {encoding}"] if encoding != "UTF-8" else []
    delimiter, first = "", _FIRST_LINE.fullmatch(text.partition("\n")[0].strip())
    if first is not None and first[1] in DELIMITERS:
        delimiter = first[1]
    delimiter = delimiter or _delimiter(text, recognised)
    rows = _rows(path, text, delimiter)
    return _table(path, rows[1:] if first is not None else rows, recognised, remarks, delimiter)


@dataclass(frozen=True)
class Beginning:
    """The first rows of a delimited text, and how it is written."""

    headings: list[str]
    rows: list[list[str]]
    encoding: str
    delimiter: str
    above: int  # lines down to the headings


def read_beginning(path: Path, recognised: Recognised) -> Beginning:
    """The beginning of a delimited text of any length. Raises as `read_table` does."""
    check_readable(path, ReadingsError)
    with path.open("rb") as file:
        data = file.read(_BEGINNING)
    cut = len(data) == _BEGINNING
    text, encoding = _decoded(path, data[:data.rindex(b"\n") + 1] if cut and b"\n" in data else data)
    delimiter = _delimiter(text, recognised)
    rows = _rows(path, text, delimiter)
    table = _table(path, rows, recognised, [], delimiter)
    if table.overlong:
        number, cells = table.overlong[0]
        raise ReadingsError(f"{path}, row {number}: {too_long(len(cells), len(table.headings), delimiter)}")
    top = table.rows[0][0] - 1
    return Beginning(table.headings, [cells for _, cells in table.rows], encoding, delimiter, top)


def _decoded(path: Path, data: bytes) -> tuple[str, str]:
    if data.startswith((b"PK\3\4", OLD_FORMAT)):
        raise ReadingsError(f"{path} is a workbook or an archive, not a text file; save the record as .csv")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif abs(data[1:200:2].count(0) - data[0:200:2].count(0)) > len(data[:200]) // 4:  # every other byte
        encodings = ["utf-16-le" if data[1:2] == b"\0" else "utf-16-be"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    names = {"utf-8-sig": "UTF-8", "cp1252": "Windows-1252"}
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            number = text.count("\n", 0, text.index("\0")) + 1
            raise ReadingsError(f"{path}, line {number}: has zero bytes, as a logger leaves them when it loses power; "
                                "remove them; nothing was read")
        return text, names.get(encoding, encoding.upper())
    raise ReadingsError(f"{path} is not a text in UTF-8, UTF-16 or Windows-1252; save the record as .csv")


def _delimiter(text: str, recognised: Recognised) -> str:
    """The delimiter with which most headings are known, and then most rows have the same length."""
    sample = text[:200_000]

    def merit(delimiter: str) -> tuple[int, float]:
        try:
            rows = [row for row, _ in zip(csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter), range(200))]
        except csv.Error:
            return 0, 0.0
        lengths = [len(row) for row in rows if any(cell.strip() for cell in row)]
        known = max((sum(map(recognised, row[:_WIDEST])) for row in rows[:_SEARCHED] if len(row) > 1), default=0)
        usual = max(lengths, key=lengths.count, default=1)
        return known, lengths.count(usual) / len(lengths) if usual > 1 else 0.0

    return max(DELIMITERS, key=merit)


def _rows(path: Path, text: str, delimiter: str) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    try:
        for number, cells in enumerate(reader, start=1):
            if len(cells) > LAST_COLUMN:
                raise ReadingsError(f"{path}, row {number}: has {len(cells)} cells; expected at most {LAST_COLUMN}, "
                                    "the number of columns of a sheet")
            rows.append((number, [_unmarked(cell.strip()) for cell in cells]))
    except csv.Error as reason:
        raise ReadingsError(f"{path}, line {reader.line_num}: the quotes or cells are broken ({reason}); nothing was "
                            "read") from None
    return rows


def too_long(cells: int, headings: int, delimiter: str) -> str:
    """What is wrong with a row that has more cells than headings."""
    return f"has {cells} cells under {headings} headings{comma_hint(delimiter)}"


def comma_hint(delimiter: str) -> str:
    """The likely reason for an extra cell in a record with that delimiter."""
    return "; perhaps a decimal comma is not in quotes" if delimiter == "," else ""


def marked(text: str) -> str:
    """A text for a .csv file, with an apostrophe before it where a spreadsheet program would take it for a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def _unmarked(text: str) -> str:
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text


def _workbook_rows(path: Path) -> tuple[list[Row], list[str]]:
    try:
        titles = list(Workbook(path).worksheets)  # which refuses what is damaged, protected or a trap
        if not titles:
            raise ReadingsError(f"{path} has no sheet with cells")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(path, read_only=True, data_only=True)
            sheet = book[titles[0]]
            sheet.reset_dimensions()  # which may be a million rows, all blank
            rows = [(number, [_as_text(cell) for cell in cells])
                    for number, cells in enumerate(sheet.iter_rows(values_only=True), start=1)
                    if any(cell is not None for cell in cells)]
            names = book.sheetnames
            book.close()
    except WorkbookError as reason:
        raise ReadingsError(str(reason)) from None
    except ReadingsError:
        raise
    except Exception as reason:  # the library may raise anything for an odd file
        raise ReadingsError(f"{path} cannot be read as a workbook ({reason})") from None
    others = f'; these were not: {", ".join(names[1:])}' if names[1:] else ""
    return rows, [f'the sheet "{names[0]}" was read{others}']


def _as_text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.15g}"
    if isinstance(cell, (datetime.date, datetime.time)):
        return str(cell)
    return str(cell).strip()


def _table(path: Path, rows: Sequence[Row], recognised: Recognised, remarks: list[str], delimiter: str) -> Table:
    filled = [row for row in rows if any(row[1])]
    if not filled:
        raise ReadingsError(f"{path} is empty; expected a row of headings and rows of readings below it")
    top = max(filled[:_SEARCHED], key=lambda row: sum(map(recognised, row[1][:_WIDEST])))  # the first of equals
    above = filled[: filled.index(top)]
    if above:
        remarks = [*remarks, f"the headings are in row {top[0]}; the rows above them were not read: " +
                   ", ".join(f'"{" ".join(filter(None, cells))}"' for _, cells in above[:5])]
    width = max(i for i, cell in enumerate(top[1], start=1) if cell)
    headings = _distinct(top[1][:width])
    below = filled[len(above) + 1:]
    if not below:
        raise ReadingsError(f"{path} has headings but no rows below them")
    fitting = [(number, (cells + [""] * width)[:width]) for number, cells in below if not any(cells[width:])]
    overlong = [(number, cells) for number, cells in below if any(cells[width:])]
    return Table(headings, fitting, overlong, remarks, delimiter)


def _distinct(headings: Iterable[str]) -> list[str]:
    """The headings, a repeated one numbered: pH, pH (2)."""
    result: dict[str, None] = {}
    repeats: Counter[str] = Counter()
    for place, heading in enumerate(headings, start=1):
        heading = plain = " ".join(heading.split()) or f"column {place}"
        while heading in result:
            repeats[plain] += 1
            heading = f"{plain} ({repeats[plain] + 1})"
        result[heading] = None
    return list(result)
