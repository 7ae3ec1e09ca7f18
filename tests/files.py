"""Workbooks' files for tests: one with all that a library might lose, and others written by hand."""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.chart import LineChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.table import Table

from pailbook.workbook.package import Workbook

TANK, BASIN = "Reuben's tank", "Becken №2"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def rich_workbook(path: Path) -> Path:
    """A workbook with all that a library might lose, and formulas that call our functions."""
    book = openpyxl.Workbook()
    tank = book.worksheets[0]
    tank.title = TANK
    tank.append(["pH", "temperature", "result"])
    for row in range(2, 8):
        tank.append([7 + row / 10, 20 + row, f"=AMMONIA_FRACTION(A{row},B{row})"])
        tank[f"A{row}"].font = Font(bold=True, color="00336699")
        tank[f"C{row}"].number_format = "0.000"
    chart = LineChart()
    chart.add_data(Reference(tank, min_col=3, min_row=1, max_row=7), titles_from_data=True)
    tank.add_chart(chart, "E2")
    tank.add_table(Table(displayName="Tests", ref="A1:C7"))
    limits = DataValidation(type="decimal", operator="between", formula1="4", formula2="11")
    limits.add("A2:A7")
    tank.add_data_validation(limits)
    warm = CellIsRule("greaterThan", ["0.05"], fill=PatternFill(bgColor="00FFAA00"))  # type: ignore[no-untyped-call]
    tank.conditional_formatting.add("C2:C7", warm)
    tank["A1"].comment = Comment("measured, not guessed", "the keeper")
    tank.merge_cells("A9:C9")
    tank["A9"] = "merged"
    basin = book.create_sheet(BASIN)
    basin["A1"] = f"='{TANK.replace(chr(39), chr(39) * 2)}'!C2*2"
    basin["B1"] = ArrayFormula("B1:B3", f"='{TANK.replace(chr(39), chr(39) * 2)}'!A2:A4")
    book.create_sheet("Workings").sheet_state = "hidden"
    book.defined_names["share"] = DefinedName("share", attr_text=f"'{BASIN}'!$A$1")
    basin.defined_names["own"] = DefinedName("own", attr_text=f"'{BASIN}'!$B$1")
    book.save(path)
    return path


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def stored(path: Path) -> dict[str, tuple[int, int, int, Any, bytes]]:
    """Of each entry: its compression, size, checksum, date and its bytes as they lie in the file."""
    data = path.read_bytes()
    found = {}
    with zipfile.ZipFile(path) as file:
        for entry in file.infolist():
            start = entry.header_offset
            name, extra = struct.unpack_from("<HH", data, start + 26)
            content = data[start + 30 + name + extra:][:entry.compress_size]
            found[entry.filename] = (entry.compress_type, entry.file_size, entry.CRC, entry.date_time, content)
    return found


def sheet_part(path: Path, title: str) -> str:
    return Workbook(path).sheets[title]


def rebuilt(path: Path, target: Path, changes: Mapping[str, bytes | None]) -> Path:
    """The file with some parts exchanged, added or, for None, taken out."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in {**parts(path), **changes}.items():
            if content is not None:
                out.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return target


def with_texts(path: Path, target: Path, items: str) -> Path:
    """The file with a part of texts that its cells share."""
    relations = parts(path)["xl/_rels/workbook.xml.rels"].decode().replace("</Relationships>", (
        '<Relationship Id="rTexts" Target="/xl/sharedStrings.xml" Type="http://schemas.openxmlformats.org/officeDocument/'
        '2006/relationships/sharedStrings"/></Relationships>'))
    kinds = parts(path)["[Content_Types].xml"].decode().replace("</Types>", (
        '<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        'spreadsheetml.sharedStrings+xml"/></Types>'))
    return rebuilt(path, target, {
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{items}</sst>'.encode(), "[Content_Types].xml": kinds.encode(),
        "xl/_rels/workbook.xml.rels": relations.encode()})


def with_rows(path: Path, target: Path, rows: str, root: str = "", before: str = "", after: str = "") -> Path:
    """The file, its first sheet written by hand."""
    sheet = f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\r\n<worksheet xmlns="{MAIN}"{root}>{before}' \
            f"<sheetData>{rows}</sheetData>{after}</worksheet>"
    return rebuilt(path, target, {sheet_part(path, TANK): sheet.encode()})


def first_sheet(path: Path) -> str:
    return parts(path)[sheet_part(path, TANK)].decode()


def names_in(folder: Path) -> list[str]:
    """The names of the files in it."""
    return sorted(path.name for path in folder.iterdir())
