"""Where random inputs start from: a small workbook, short records, and the pieces that formulas and records are of."""

from __future__ import annotations

import io
import zipfile

from files import MAIN
from pailbook.function import CATALOGUE

_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"

_CELLS = (
    '<dimension ref="A1:C4"/><cols><col min="1" max="2" style="1"/></cols><sheetData>'
    '<row r="1" spans="1:3"><c r="A1" s="1"><v>7.5</v></c><c r="B1" t="s"><v>1</v></c>'
    '<c r="C1" t="b"><v>1</v></c></row>'
    '<row r="2"><c r="A2" t="str"><f>AMMONIA_FRACTION(A1,24)</f><v>x</v></c><c r="B2"><f t="shared" ref="B2:B3" si="0">'
    'A1+$A$1</f></c><c r="C2" t="e"><v>#N/A</v></c></row>'
    '<row r="3"><c r="B3"><f t="shared" si="0"/></c><c r="C3" t="d"><v>2026-05-03</v></c></row>'
    '<row r="4"><c r="A4" t="inlineStr"><is><t>in_x0041_</t></is></c><c r="B4"/></row></sheetData>'
    '<mergeCells count="1"><mergeCell ref="E1:F2"/></mergeCells></worksheet>'
)
_ARRAY = (
    '<x:sheetData><x:row><x:c><x:f t="array" ref="A1:A2">Log!A1:A2</x:f><x:v>1</x:v></x:c></x:row></x:sheetData>'
    "</x:worksheet>"
)


def small_workbook() -> bytes:
    """A workbook written by hand: two sheets, each kind of cell, shared and array formulas, names, shared texts."""
    def relations(*lines: tuple[str, str]) -> str:
        inner = "".join(f'<Relationship Id="rId{i}" Type="{_LINKS}/{kind}" Target="{target}"/>'
                        for i, (kind, target) in enumerate(lines, start=1))
        return f'<Relationships xmlns="{_PACKAGE}/relationships">{inner}</Relationships>'

    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="xml" ContentType='
                               '"application/xml"/></Types>',
        "_rels/.rels": relations(("officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{_LINKS}"><workbookPr date1904="0"/><sheets>'
                           '<sheet name="Log" sheetId="1" r:id="rId1"/><sheet name="O\'ne" sheetId="2" r:id="rId2"/>'
                           '</sheets><definedNames><definedName name="share">Log!$A$1</definedName><definedName '
                           'name="own" localSheetId="1">\'O\'\'ne\'!A1:B2</definedName></definedNames>'
                           '<calcPr calcId="1"/></workbook>',
        "xl/_rels/workbook.xml.rels": relations(
            ("worksheet", "worksheets/sheet1.xml"), ("worksheet", "/xl/worksheets/sheet2.xml"),
            ("sharedStrings", "sharedStrings.xml")),
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}"><si><t>old</t></si><si><r><t>t</t></r><r><t>wo</t></r></si>'
                                "</sst>",
        "xl/worksheets/sheet1.xml": f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{MAIN}">' + _CELLS,
        "xl/worksheets/sheet2.xml": f'<x:worksheet xmlns:x="{MAIN}">' + _ARRAY,
    }
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in parts.items():
            out.writestr(zipfile.ZipInfo(name), content)
    return made.getvalue()


RECORDS = [
    b"Date,Tank,Temp (C),pH,Ammonia (mg/L)\n2026-05-03,North raft,24.5,7.2,<0.2\n2026-05-04,North raft,24.1,7.1,0.5\n",
    b"timestamp;system;DO;note\n03.05.2026 06:00;South beds;6,4;=1+1\n04.05.2026 06:00;South beds;5,9;\"a;b\"\n",
    b"Station\tActivity Start\tParameter\tResult\tUnit\n"
    b"A\t2026-05-03T06:00:00Z\tpH\t7.1\t\nA\t2026-05-03\tTAN\t.3\tmg/L\n",
    "sep=,\nDatum,Becken,Temperatur (°F)\n5/3/26 6:00 AM,Süd,75.2\n5/4/26,Süd,75\n".encode("cp1252"),
    "Date,Time,Tank,Nitrate as N (ppm)\n2026-05-03,06:00,A,12\n,,,\n".encode("utf-16"),
]
RECORD_PIECES = [
    b",", b";", b"\t", b"|", b"\n", b"\r\n", b"\r", b'"', b'""', b" ", b"Date", b"Time", b"Timestamp", b"Tank", b"pH",
    b"Temp (F)", b"Parameter", b"Result", b"Unit", b"Value", b"Ammonia mg/L", b"PO4 as P", b"2026-05-03", b"3/4/26",
    b"31.02.2026", b"9999-12-31", b"0000-00-00", b"24:00", b"6 PM", b"+99:99", b"T06:00:00+01:00", b"Z", b"7.1", b"7,1",
    b"1.234,5", b"1e999", b"-inf", b"nan", b"<0.25", b"trace", b"--", b"1/0", b"9" * 400, b"=1+1", b"@SUM(1)", b"\0",
    b"\xff\xfe", b"\xef\xbb\xbf", b"\xed\xa0\x80", b"\xf0\x9f\x90\x9f", b"sep=;", "²".encode(), "٣".encode(),
    "−7".encode(), "½".encode(), b"ppm", b"dH", b"0x1F", b"1_000", b"Infinity", b"2026-W18-1", b"1700000000",
    b"45000.5",
]
FORMULA_PIECES = [
    "=", "(", ")", ",", ";", "{", "}", "+", "-", "*", "/", "^", "%", "&", "<", ">", "<>", "<=", ":", "!", " ", "\n",
    '"', '""',
    '"a"', "'", "A1", "$A$1", "A1:B2", "A:A", "1:1", "A1048577", "XFE1", "Log!A1", "'Log'!A1", "'no'!A1", "[1]Log!A1",
    "#REF!",
    "#N/A", "TRUE", "false", "1", ".5", "1e5", "1E", "9" * 400, "1e999", "share", "nobody", "SUM(", "IF(", "IFERROR(",
    "INDEX(", "LET(", "LAMBDA(", "INDIRECT(", "OFFSET(", "ROW(", "COUNT(", "SUMPRODUCT(", "ROUND(", "TEXT(", "LEFT(",
    "VALUE(", "REPT(", "DATE(", "CHAR(", "MATCH(", "VLOOKUP(", "_xlfn.", "_xll.", "@", "#", "~", "Table1[pH]", "[@pH]",
    "\0",
    "é", "\U0001f41f", "\ud800", "_IN0", "_ROWS1", "\1", "$XFD$1000001",
    *(f"{name}(" for name in sorted(CATALOGUE)[:20]),
]
