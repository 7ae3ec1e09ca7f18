"""A sheet's cells in its tree: what they hold, and how they are emptied, filled and moved."""

from __future__ import annotations

from bisect import bisect_left
from copy import deepcopy
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lxml import etree
from openpyxl.formula.translate import Translator
from openpyxl.utils.cell import coordinate_to_tuple

from pailbook.hosts.areas import address_of
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.workbook.contents import Workbook
from pailbook.workbook.privacy.parcel import local
from pailbook.workbook.recalc import load_model
from pailbook.workbook.splice import Place, xml_text
from pailbook.workbook.worksheet import Worksheet


class Known:
    """What the source's cells hold and show."""

    def __init__(self, book: Workbook) -> None:
        self.book, self.contents, self._stored = book, book.contents(), book.stored_values()

    def value(self, title: str, place: Place) -> Any:
        """What a cell shows; computed where it holds a formula whose value the file lacks."""
        address = address_of(place)
        content = self.contents.get(title, {}).get(address)
        if not isinstance(content, FormulaCell) or (title, address) in self._stored:
            return self._stored.get((title, address), content)
        return self._computed.get((title, address))

    @cached_property
    def _computed(self) -> Any:
        return load_model(self.book).calculate().values


@dataclass
class Payload:
    """A cell's value on its way to another place."""

    kind: str | None
    children: list[Any]
    content: Any
    style: str | None


class Grid:
    """A sheet of the copy."""

    def __init__(self, sheet: Worksheet, known: Known, root: Any, locked: list[bool]) -> None:
        """Read the sheet's tree; `locked`: whether cells of each style are locked, by the style's number."""
        self.title, self.sheet, self.known, self.root, self._locked = sheet.title, sheet, known, root, locked
        self.is_protected = root.find("{*}sheetProtection") is not None
        self.space = etree.QName(root).namespace
        self.data = root.find("{*}sheetData")
        self.rows: dict[int, Any] = {}
        self.cells: dict[Place, Any] = {}
        self.content: dict[Place, Any] = {coordinate_to_tuple(address): content for address, content
                                          in known.contents[sheet.title].items() if content != ""}
        number = 0
        for row in self.data.iterfind("{*}row"):
            number = int(row.get("r", number + 1))
            row.set("r", str(number))
            self.rows[number] = row
            column = 0
            for cell in row.iterfind("{*}c"):
                column = coordinate_to_tuple(cell.get("r"))[1] if cell.get("r") else column + 1
                cell.set("r", address_of((number, column)))
                self.cells[number, column] = cell

    def address(self, place: Place) -> str:
        """Such as Fish!B4."""
        return f"{self.title}!{address_of(place)}"

    def is_locked(self, place: Place) -> bool:
        """Whether a cell's look locks it once the sheet is protected."""
        style = int(self.cells[place].get("s", 0))
        return self._locked[style] if style < len(self._locked) else True

    def typed(self, place: Place) -> Any:
        """What a user typed; None for a blank and for a formula."""
        content = self.content.get(place)
        return None if isinstance(content, FormulaCell) else content

    def formula(self, place: Place) -> str:
        """A formula's text without its equals sign."""
        content = self.content.get(place)
        return content.text.removeprefix("=") if isinstance(content, FormulaCell) else ""

    def clear(self, place: Place) -> None:
        """Empty a cell; its look stays."""
        cell = self.cells.get(place)
        if cell is not None:
            self._unshare(cell)
            for child in list(cell):
                cell.remove(child)
            for name in ("t", "vm", "cm"):
                cell.attrib.pop(name, None)
        self.content.pop(place, None)

    def taken(self, place: Place) -> Payload | None:
        """A cell's value, taken out of it; a formula's value in place of the formula."""
        content = self.content.get(place)
        if content is None:
            return None
        cell = self.cells[place]
        style = cell.get("s")
        if isinstance(content, FormulaCell):
            value = self.known.value(self.title, place)
            self.clear(place)
            return None if value is None or value == "" else self._payload(value, style)
        found = Payload(cell.get("t"), [deepcopy(child) for child in cell], content, style)
        self.clear(place)
        return found

    def put(self, place: Place, value: Any) -> None:
        """Fill a cell; its look is its own, or the value's where it had none."""
        new = value if isinstance(value, Payload) else self._payload(value, None)
        cell = self.cells.get(place)
        if cell is None:
            cell = self._new_cell(place)
            if new.style:
                cell.set("s", new.style)
        self.clear(place)
        if new.kind:
            cell.set("t", new.kind)
        cell.extend(new.children)
        self.content[place] = new.content

    def put_formula(self, place: Place, text: str) -> None:
        """Give a cell a formula, without its equals sign."""
        self.clear(place)
        cell = self.cells[place] if place in self.cells else self._new_cell(place)
        etree.SubElement(cell, self._tag("f")).text = text
        self.content[place] = FormulaCell(text)

    def change_formula(self, place: Place, text: str) -> None:
        """Give a formula another text; it stays what it is, an array formula for instance."""
        self._unshare(self.cells[place])
        element = self.cells[place].find("{*}f")
        if element.get("t") == "shared":
            for name in ("t", "si"):
                del element.attrib[name]
        element.text = text
        content = self.content[place]
        self.content[place] = FormulaCell(text, content.array)

    def moved_formula(self, source: Place, target: Place) -> str:
        """The formula of one cell as it reads in another."""
        moved = Translator("=" + self.formula(source), address_of(source)).translate_formula(address_of(target))
        return str(moved).removeprefix("=")

    def drop_caches(self) -> None:
        """Take out what formulas showed when the file was last computed."""
        for area, _ in self.sheet.arrays:
            for place in area.cells() if area.size < 1_000_000 else ():
                if (cell := self.cells.get(place)) is not None and cell.find("{*}f") is None:
                    self.clear(place)
        for cell in self.cells.values():
            cell.attrib.pop("vm", None)
            if cell.find("{*}f") is not None:
                for child in [child for child in cell if local(child) != "f"]:
                    cell.remove(child)
                cell.attrib.pop("t", None)

    def _unshare(self, cell: Any) -> None:
        """Where other cells share this one's formula, give each its own text."""
        formula = cell.find("{*}f")
        if formula is None or formula.get("t") != "shared" or not formula.text:
            return
        group = formula.get("si")
        for place, other in self.cells.items():
            shared = other.find("{*}f")
            if shared is not None and shared.get("t") == "shared" and shared.get("si") == group:
                shared.text = self.formula(place)
                for name in ("t", "si", "ref"):
                    shared.attrib.pop(name, None)

    def _payload(self, value: Any, style: str | None) -> Payload:
        kind, text = None, ""
        if isinstance(value, str):
            inline = etree.Element(self._tag("is"))
            t = etree.SubElement(inline, self._tag("t"))
            t.text = etree.fromstring(b"<t>" + xml_text(value) + b"</t>").text
            t.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
            return Payload("inlineStr", [inline], value, style)
        if isinstance(value, bool):
            kind, text = "b", str(int(value))
        elif isinstance(value, ErrorValue):
            kind, text = "e", value.code
        else:
            text = repr(float(value)).removesuffix(".0")
        element = etree.Element(self._tag("v"))
        element.text = text
        return Payload(kind, [element], value, style)

    def _tag(self, name: str) -> str:
        return f"{{{self.space}}}{name}"

    def _new_cell(self, place: Place) -> Any:
        row = self.rows.get(place[0])
        if row is None:
            numbers = sorted(self.rows)
            row = etree.Element(self._tag("row"), {"r": str(place[0])})
            self.data.insert(bisect_left(numbers, place[0]), row)
            self.rows[place[0]] = row
        if "spans" in row.attrib:
            del row.attrib["spans"]
        columns = [coordinate_to_tuple(str(cell.get("r")))[1] for cell in row.iterfind("{*}c")]
        cell = self.cells[place] = etree.Element(self._tag("c"), r=address_of(place))
        row.insert(bisect_left(columns, place[1]), cell)
        return cell


def locked_styles(styles: Any) -> list[bool]:
    """Whether cells of each style are locked, by the style's number."""
    found = []
    for style in styles.iterfind("{*}cellXfs/{*}xf"):
        protection = style.find("{*}protection")
        found.append(protection is None or protection.get("locked") not in ("0", "false"))
    return found
