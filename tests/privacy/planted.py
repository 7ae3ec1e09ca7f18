"""A log in which other clients' words stand in every kind of place that a workbook's file has."""

from __future__ import annotations

import posixpath
import re
import struct
import zlib
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table, TableStyleInfo

from client_logs import BAY, BEDS, COURT, COVE, FARM, POND, RAFT, TANK, WALL, parts, several_clients
from files import rebuilt, sheet_part
from pailbook.workbook.recalc import recalc

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
OTHER_OFFICE = "http://schemas.microsoft.com/office/2017/10/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
EXCEL = "application/vnd.openxmlformats-officedocument.spreadsheetml."
CUSTOM = (
    '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties" xmlns:vt="http://schemas.'
    'openxmlformats.org/officeDocument/2006/docPropsVTypes"><property fmtid="{{D5CDD505-2E9C-101B-9397-08002B2CF9AE}}" '
    'pid="2" name="Client"><vt:lpwstr>{}</vt:lpwstr></property></Properties>')
NOTES = "My notes"
COURT_XML = escape(COURT)


def planted_log(folder: Path) -> Path:
    """The log, calculated, with words about others grafted in wherever they fit."""
    several_clients().book.save(folder / "blank.xlsx")
    book = openpyxl.load_workbook(folder / "blank.xlsx")
    _plant_with_library(book)
    book.save(folder / "planted.xlsx")
    recalc(folder / "planted.xlsx", folder / "computed.xlsx")
    graft = Graft(folder / "computed.xlsx")
    _plant_by_hand(graft)
    return graft.save(folder / "log.xlsx")


def _plant_with_library(book: openpyxl.Workbook) -> None:
    notes = book.create_sheet(NOTES)
    for place, value in {
        "A1": "Tank", "B1": "Pump", "C1": "Watts", "A2": WALL, "B2": "Kestrel pump", "C2": 4711, "A3": BEDS,
        "B3": "Bittern pump", "C3": 55, "A4": COVE, "B4": "Egret pump", "C4": 4712,
        "A7": "a long remark on " + COURT.upper(), "A8": f'=COUNTIF(Fish!$B$5:$B$44,"{WALL}")',
        "A9": "='Water tests'!$E$6", "A10": "='Water tests'!$E$7", "A11": "remark 1 about the Quillon wall",
        "E1": BEDS, "F1": WALL, "E2": 31, "F2": 4713, "E3": 32, "F3": 4714, "H1": "Volume of " + WALL, "H2": 12,
        "I1": "Month", "I2": 1, "A13": "=Overview!$A$7", "A14": "=Overview!$A$6", "A15": "='Kept back'!$B$3*2",
        "A16": "kept remark", "P1": "the Court", "Q1": "wall", "P2": "Quillon", "Q2": "wall of the house",
    }.items():
        notes[place].value = value
    tests = book["Water tests"]
    tests["B6"].comment = Comment(f"Ask {COURT} about this", COURT)
    for cell, author in ((tests["B7"], "Ines"), (notes["C3"], BAY)):
        cell.comment = Comment("look again", author)
    notes.add_table(Table(displayName="Pumps", ref="A1:C4", tableStyleInfo=TableStyleInfo(name="TableStyleLight1")))
    notes.add_table(Table(displayName="Volumes", ref="H1:I2"))
    choices = DataValidation(type="list", formula1=f'"{WALL},{BEDS},{COVE}"', promptTitle="Which", prompt=f"Not {RAFT}")
    choices.add("K1:K9")
    only = DataValidation(type="custom", formula1=f'K2<>"{POND}"', errorTitle=WALL, error=f"never {FARM}")
    only.add("L1:L9")
    for rule in (choices, only):
        notes.add_data_validation(rule)
    notes.conditional_formatting.add("A1:A9", FormulaRule(formula=[f'$A1="{WALL}"']))  # type: ignore[no-untyped-call]
    notes.oddHeader.left.text = f"Report for {COURT.replace('&', '&&')}"
    notes.oddFooter.center.text = "&P of &N"
    notes["N1"].number_format = f'0.0" {WALL}"'
    notes["N1"].value = 3
    notes["N2"].hyperlink = "mailto:court@quillon.example"
    notes["N2"].value = "the Quillons"
    chart = BarChart()
    chart.title = f"Pumps of {COURT}"
    chart.add_data(Reference(notes, min_col=3, min_row=1, max_row=4), titles_from_data=True)
    chart.set_categories(Reference(notes, min_col=1, min_row=2, max_row=4))
    notes.add_chart(chart, "A20")
    for title, state in (("Secret", "hidden"), ("Top secret", "veryHidden"), ("Kept back", "hidden")):
        hidden = book.create_sheet(title)
        hidden.sheet_state = state
        hidden["A1"].value, hidden["B1"].value = f"{title}: {COURT}", 4720
        hidden["A3"].value, hidden["B3"].value = "rate", 21
    about = book.create_sheet(f"About {WALL}")
    about["A1"].value = 4715
    for name, text in {
        "Quillon_wall_share": f"'{NOTES}'!$C$2", "old_text": f'"{BAY}"', "_hidden_one": "Secret!$A$1",
        "row_of_other": "'Water tests'!$E$6", "my_beds": "'Water tests'!$E$7", "rate_in_use": f"'{NOTES}'!$C$3:$C$4",
    }.items():
        book.defined_names[name] = DefinedName(name, attr_text=text, comment=f"set up for {COURT}")
    notes["A17"].value = "=SUM(rate_in_use)"
    properties = book.properties
    properties.creator = properties.keywords = properties.description = properties.title = COURT
    properties.lastModifiedBy, properties.category, properties.subject = BAY, POND, f"log of {FARM}"


class Graft:
    """A workbook's file to which parts, relations and elements are added by hand."""

    def __init__(self, path: Path) -> None:
        self.path, self.parts = path, dict(parts(path))

    def add(self, part: str, content: str | bytes, source: str, kind: str, content_type: str = "", office: str = OFFICE,
            external: bool = False) -> str:
        """Adds a part and a relation to it; gives the relation's id."""
        folder, name = posixpath.split(source)
        path = posixpath.join(folder, "_rels", f"{name}.rels")
        empty = f'<Relationships xmlns="{PACKAGE}"></Relationships>'
        relations = self.parts.get(path, empty.encode()).decode().replace("/>", "></Relationship>")
        number = f"rPlanted{relations.count('<Relationship ')}"
        mode = ' TargetMode="External"' if external else ""
        target = escape(part) if external else "/" + escape(part)
        line = f'<Relationship Id="{number}" Type="{office}/{kind}" Target="{target}"{mode}></Relationship>'
        relations = relations.replace("<Relationships></Relationships>", empty)
        self.parts[path] = relations.replace("</Relationships>", line + "</Relationships>").encode()
        if not external:
            self.parts[part] = content if isinstance(content, bytes) else content.encode()
        if content_type:
            line = f'<Override PartName="/{escape(part)}" ContentType="{content_type}"/>'
            types = self.parts["[Content_Types].xml"].decode()
            self.parts["[Content_Types].xml"] = types.replace("</Types>", line + "</Types>").encode()
        return number

    def insert(self, part: str, before: str, text: str) -> None:
        """Puts text into a part, before the first of some text in it."""
        old = self.parts[part].decode()
        assert before in old, (part, before)
        self.parts[part] = old.replace(before, text + before, 1).encode()

    def save(self, path: Path) -> Path:
        """Writes the file."""
        made: Path = rebuilt(self.path, path, self.parts)
        return made


def picture(remark: str) -> bytes:
    """A small .png picture with a remark in it, as text and packed."""
    def piece(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    pixels = zlib.compress(b"\0\x33\x66\x99")
    return (b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0))
            + piece(b"iTXt", b"Author\0\0\0\0\0" + remark.encode()) + piece(b"tEXt", b"By\0" + remark.encode("utf-16"))
            + piece(b"IDAT", pixels) + piece(b"IEND", b""))


def _plant_by_hand(graft: Graft) -> None:
    workbook, notes = "xl/workbook.xml", sheet_part(graft.path, NOTES)
    tests = sheet_part(graft.path, "Water tests")
    _plant_texts(graft, workbook, notes)
    _plant_properties(graft)
    _plant_links(graft, workbook, notes)
    _plant_pivots(graft, workbook, notes)
    _plant_drawings(graft, notes)
    graft.insert(tests, "<sheetData>", f"<!-- {COURT_XML} --><?remark {WALL}?>")
    graft.add("xl/calcChain.xml", f'<calcChain xmlns="{MAIN}"><c r="A1" i="1"/></calcChain>', workbook, "calcChain",
              EXCEL + "calcChain+xml")
    graft.add("xl/persons/person.xml", f'<personList><person displayName="{COURT_XML}" id="1"/></personList>', workbook,
              "person", "application/vnd.ms-excel.person+xml", OTHER_OFFICE)
    graft.add("xl/threadedComments/threadedComment1.xml", f"<ThreadedComments><t>{WALL}</t></ThreadedComments>", tests,
              "threadedComment", "application/vnd.ms-excel.threadedcomments+xml", OTHER_OFFICE)
    number = graft.add("xl/printerSettings/printerSettings1.bin", f"printer of {COURT}".encode("utf-16-le"), notes,
                       "printerSettings", EXCEL + "printerSettings")
    graft.insert(notes, "<headerFooter>", f'<pageSetup xmlns:q="{OFFICE}" paperSize="9" q:id="{number}"/>')
    graft.insert(notes, "<conditionalFormatting", '<scenarios><scenario name="' + WALL + '" user="' + COURT_XML
                 + '"><inputCells r="C2" val="4716"/></scenario></scenarios>')
    graft.add("xl/revisions/revisionHeaders.xml", f'<headers userName="{COURT_XML}"/>', workbook, "revisionHeaders",
              EXCEL + "revisionHeaders+xml")
    graft.add("xl/revisions/userNames.xml", f'<users><userInfo name="{BAY}"/></users>', workbook, "usernames",
              EXCEL + "userNames+xml")
    graft.add("xl/strange.xml", f"<strange>{POND}</strange>", workbook, "strangeThing", "application/strange+xml")
    graft.add("xl/vbaProject.bin", COURT.encode("utf-16-le"), workbook, "vbaProject",
              "application/vnd.ms-office.vbaProject", "http://schemas.microsoft.com/office/2006/relationships")


def _plant_texts(graft: Graft, workbook: str, notes: str) -> None:
    texts = (
        f"<si><t>{WALL}</t></si><si><r><t>Quillon</t></r><r><t xml:space=\"preserve\"> wall again</t></r></si>"
        f"<si><t>plain text</t><rPh sb=\"0\" eb=\"1\"><t>{COVE}</t></rPh></si><si><t>{COURT_XML}, unused</t></si>")
    graft.add("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}" count="3" uniqueCount="4">{texts}</sst>', workbook,
              "sharedStrings", EXCEL + "sharedStrings+xml")
    graft.insert(notes, "</sheetData>", "".join(
        f'<row r="{row}"><c r="A{row}" t="s"><v>{number}</v></c></row>' for row, number in ((60, 1), (62, 2), (64, 0))))


def _plant_properties(graft: Graft) -> None:
    app = graft.parts["docProps/app.xml"].decode()
    graft.parts["docProps/app.xml"] = app.replace("</Properties>", (
        f"<Company>{COURT_XML}</Company><Manager>{BAY}</Manager><TitlesOfParts>{WALL}</TitlesOfParts></Properties>")).encode()
    graft.add("docProps/custom.xml", CUSTOM.format(COURT_XML), "",
              "custom-properties", "application/vnd.openxmlformats-officedocument.custom-properties+xml")
    preview = b"\xff\xd8" + COURT.encode() + b"\xff\xd9"
    graft.add("docProps/thumbnail.jpeg", preview, "", "metadata/thumbnail", "image/jpeg", PACKAGE)
    graft.add("customXml/item1.xml", f"<job><client>{COURT_XML}</client></job>", "xl/workbook.xml", "customXml")
    graft.insert("xl/workbook.xml", "<bookViews>", (
        '<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"><mc:Choice '
        f'xmlns:x15="urn:x" Requires="x15"><x15:absPath url="C:\\Users\\{COURT_XML}\\"/></mc:Choice>'
        "</mc:AlternateContent>"))
    graft.insert("xl/workbook.xml", "<workbookPr", f'<fileSharing userName="{COURT_XML}"/>')


def _plant_links(graft: Graft, workbook: str, notes: str) -> None:
    book = (f'<externalLink xmlns="{MAIN}"><externalBook xmlns:r="{OFFICE}" r:id="rPlanted1"><sheetNames><sheetName '
            f'val="{WALL}"/></sheetNames><sheetDataSet><sheetData sheetId="0"><row r="1"><cell r="A1" t="str"><v>'
            f"{COURT_XML}</v></cell></row></sheetData></sheetDataSet></externalBook></externalLink>")
    number = graft.add("xl/externalLinks/externalLink1.xml", book, workbook, "externalLink", EXCEL + "externalLink+xml")
    graft.add(f"file:///C:/{COURT}.xlsx", "", "xl/externalLinks/externalLink1.xml", "externalLinkPath", external=True)
    graft.insert(workbook, "<definedNames>", (
        f'<externalReferences><externalReference xmlns:r="{OFFICE}" r:id="{number}"/></externalReferences>'))
    graft.insert(notes, "</sheetData>", (
        f'<row r="70"><c r="A70" t="str"><f>[1]Other!A1</f><v>{COURT_XML}</v></c>'
        '<c r="B70"><f>[1]Other!B1*2</f><v>8</v></c><c r="C70"><f>[1]!AMMONIA_FRACTION(7,20)</f><v>0.004</v></c>'
        "<c r=\"D70\"><f>'C:\\x\\tools.xlam'!BUCKET_LOAD(20)</f><v>0.4</v></c></row>"))
    connections = f'<connections xmlns="{MAIN}"><connection id="1" name="{WALL}"/></connections>'
    graft.add("xl/connections.xml", connections, workbook, "connections", EXCEL + "connections+xml")
    pumps = next(name for name, data in graft.parts.items() if name.startswith("xl/tables/") and b'"Pumps"' in data)
    graft.add("xl/queryTables/queryTable1.xml", f'<queryTable xmlns="{MAIN}" name="{WALL}"/>', pumps, "queryTable",
              EXCEL + "queryTable+xml")
    table = re.sub(r"<autoFilter[^>]*/>", "", graft.parts[pumps].decode())
    graft.parts[pumps] = table.replace("<tableColumns", (
        f'<autoFilter ref="A1:C4"><filterColumn colId="0"><filters><filter val="{COVE}"/></filters></filterColumn>'
        "</autoFilter><tableColumns"), 1).encode()


def _plant_pivots(graft: Graft, workbook: str, notes: str) -> None:
    cache = "xl/pivotCache/pivotCacheDefinition1.xml"
    number = graft.add(cache, f'<pivotCacheDefinition xmlns="{MAIN}"><s v="{WALL}"/></pivotCacheDefinition>', workbook,
                       "pivotCacheDefinition", EXCEL + "pivotCacheDefinition+xml")
    graft.add("xl/pivotCache/pivotCacheRecords1.xml", f'<pivotCacheRecords xmlns="{MAIN}"><r><s v="{COURT_XML}"/></r>'
              "</pivotCacheRecords>", cache, "pivotCacheRecords", EXCEL + "pivotCacheRecords+xml")
    graft.insert(workbook, "</workbook>", f'<pivotCaches><pivotCache cacheId="1" xmlns:r="{OFFICE}" r:id="{number}"/>'
                 "</pivotCaches>")
    pivot = f'<pivotTableDefinition xmlns="{MAIN}" name="{WALL}"><location ref="A80:B82"/></pivotTableDefinition>'
    graft.add("xl/pivotTables/pivotTable1.xml", pivot, notes, "pivotTable", EXCEL + "pivotTable+xml")
    graft.insert(notes, "</sheetData>", '<row r="81"><c r="A81"><v>4717</v></c><c r="B81"><v>4718</v></c></row>')


def _plant_drawings(graft: Graft, notes: str) -> None:
    drawing = next(name for name, data in graft.parts.items() if re.fullmatch(r"xl/drawings/drawing\d+\.xml", name)
                   and name.encode() in graft.parts[notes.replace("worksheets/", "worksheets/_rels/") + ".rels"])
    png = graft.add("xl/media/quillon-wall.png", picture(COURT), drawing, "image", "image/png")
    emf = graft.add("xl/media/image2.emf", COURT.encode("utf-16-le"), drawing, "image", "image/x-emf")
    end = re.search(r"</(?:\w+:)?wsDr>", graft.parts[drawing].decode())
    assert end is not None
    shown = ('<d:from><d:col>9</d:col><d:colOff>0</d:colOff><d:row>9</d:row><d:rowOff>0</d:rowOff></d:from>'
             '<d:ext cx="99" cy="99"/>')
    space = ('xmlns:d="http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing" '
             f'xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" xmlns:r="{OFFICE}"')
    geometry = '<d:spPr><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></d:spPr>'
    for number, (relation, described) in enumerate(((png, f"photo of {WALL}"), (emf, "plan")), 90):
        graft.insert(drawing, end[0], (
            f'<d:oneCellAnchor {space}>{shown}<d:pic><d:nvPicPr><d:cNvPr id="{number}" name="{WALL}" '
            f'descr="{described}"/><d:cNvPicPr/></d:nvPicPr><d:blipFill><a:blip r:embed="{relation}"/><a:stretch/>'
            f"</d:blipFill>{geometry}</d:pic><d:clientData/></d:oneCellAnchor>"))
    box = (f"<a:p><a:r><a:t>Box of Quillon's</a:t></a:r><a:r><a:t xml:space=\"preserve\"> Court {escape('& Söhne')}"
           "</a:t></a:r></a:p><a:p><a:r><a:t>a harmless line</a:t></a:r></a:p>")
    graft.insert(drawing, end[0], (
        f'<d:oneCellAnchor {space}>{shown}<d:sp><d:nvSpPr><d:cNvPr id="95" name="Box" title="{TANK} and {RAFT}"/>'
        f"<d:cNvSpPr/></d:nvSpPr>{geometry}<d:txBody><a:bodyPr/>{box}</d:txBody></d:sp><d:clientData/></d:oneCellAnchor>"))
    charts = [name for name in graft.parts if name.startswith("xl/charts/chart") and b"4</" in graft.parts[name]
              and NOTES.encode() in graft.parts[name]]
    chart = charts[0]
    text = graft.parts[chart].decode()
    prefix = "c:" if "<c:f>" in text else ""
    for kind, value in (("str", WALL), ("num", "4719")):
        ref = f"</{prefix}f>"
        at = text.index(ref, text.index(f"<{prefix}cat>" if kind == "str" else f"<{prefix}val>")) + len(ref)
        parent = "num" if text[:at].rindex(f"<{prefix}numRef>") > text[:at].rfind(f"<{prefix}strRef>") else "str"
        text = (f'{text[:at]}<{prefix}{parent}Cache><{prefix}ptCount val="1"/><{prefix}pt idx="0"><{prefix}v>{value}'
                f"</{prefix}v></{prefix}pt></{prefix}{parent}Cache>{text[at:]}")
    graft.parts[chart] = text.encode()
