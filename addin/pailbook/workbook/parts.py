"""A workbook as its file has it: its sheets, defined names and texts, found through the parts' relations."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping
from functools import cached_property
from typing import Any, NamedTuple

from lxml import etree

from pailbook.workbook.archive import Archive

CURRENT_ENGINE = b"191029"  # the calcId of current programs; an older one makes them compute a file anew on opening

_RELATIONSHIP = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_CALCULATION = re.compile(rb"<(?:[\w.-]+:)?calcPr\b[^<>]*>")
_BEFORE_CALCULATION = ("definedNames", "externalReferences", "functionGroups", "sheets")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")


class DefinedName(NamedTuple):
    """A name for cells or for a formula."""

    name: str
    text: str  # what it stands for: a formula without its equals sign
    sheet: str | None  # the sheet that it belongs to; None: the workbook
    hidden: bool


class Package(Archive):
    """A workbook's parts. Every method and property may raise WorkbookError for a file that is not in order."""

    def xml(self, part: str) -> Any:
        """A part's root element. WorkbookError when it is not well-formed or declares a document type."""
        return self.parsed(part, self.read(part))

    def parsed(self, part: str, data: bytes) -> Any:
        """The root element of a part's content, which may be one that is not in the file yet; raises as `xml` does."""
        if re.search(rb"<\s*!\s*(DOCTYPE|ENTITY)", data.replace(b"\0", b"")):  # zeros: it may be UTF-16
            raise self.error(f"declares a document type in the part {part}, which a workbook must not")
        parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True)
        try:
            root = etree.fromstring(data, parser)
        except etree.XMLSyntaxError as reason:
            why = " ".join(str(reason).split())
            raise self.error(f"is damaged: the part {part} is not well-formed ({why})") from None
        return root

    def related(self, part: str) -> dict[str, tuple[str, str]]:
        """The kind (its last word) and the part of each relation of a part, by the relation's id."""
        folder, name = posixpath.split(part)
        found = {}
        for relation in self.xml(posixpath.join(folder, "_rels", f"{name}.rels")).iter(_RELATIONSHIP):
            if relation.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, relation.get("Target", "")))
                found[relation.get("Id", "")] = (relation.get("Type", "").rsplit("/", 1)[-1], target.lstrip("/"))
        return found

    @cached_property
    def workbook_part(self) -> str:
        """The part that lists the sheets."""
        if "_rels/.rels" not in self:
            raise self.error("is not an .xlsx workbook")
        part = next((part for kind, part in self.related("").values() if kind == "officeDocument"), "")
        if not part.endswith(".xml") or etree.QName(self.xml(part)).localname != "workbook":
            raise self.error("is not an .xlsx workbook")
        return part

    @cached_property
    def _workbook(self) -> Any:
        return self.xml(self.workbook_part)

    @cached_property
    def _tabs(self) -> list[tuple[str, str | None]]:
        """Every sheet's title and, of those that hold cells, its part."""
        parts = self.related(self.workbook_part)
        found: list[tuple[str, str | None]] = []
        for tab in self._workbook.iterfind("{*}sheets/{*}sheet"):
            relation = next((value for key, value in tab.attrib.items() if key.endswith("}id")), "")
            kind, part = parts.get(relation, ("", ""))
            if part not in self:
                raise self.error(f"is damaged: it lacks the part of the sheet {tab.get('name')!r}")
            found.append((tab.get("name", ""), part if kind == "worksheet" else None))
        return found

    @cached_property
    def sheets(self) -> dict[str, str]:
        """The part of each sheet that holds cells, by title, in the workbook's order."""
        return {title: part for title, part in self._tabs if part}

    @cached_property
    def names(self) -> tuple[DefinedName, ...]:
        """The defined names, built-in ones included."""
        found = []
        for name in self._workbook.iterfind("{*}definedNames/{*}definedName"):
            place = name.get("localSheetId")
            if place is not None and not (re.fullmatch("[0-9]{1,5}", place) and int(place) < len(self._tabs)):
                raise self.error(f"is damaged: the name {name.get('name')} belongs to a sheet that does not exist")
            sheet = self._tabs[int(place)][0] if place else None
            found.append(DefinedName(name.get("name", ""), name.text or "", sheet, name.get("hidden") in ("1", "true")))
        return tuple(found)

    @cached_property
    def from_1904(self) -> bool:
        """Whether its dates count from 1904 instead of 1900."""
        properties = self._workbook.find("{*}workbookPr")
        return properties is not None and properties.get("date1904") in ("1", "true")

    @cached_property
    def texts(self) -> list[str]:
        """The texts that cells share, in the order of their numbers."""
        part = next((part for kind, part in self.related(self.workbook_part).values() if kind == "sharedStrings"), None)
        if part is None:
            return []
        return [
            unescaped("".join(t.text or "" for t in item.iterfind("{*}t")) or
                      "".join(t.text or "" for t in item.iterfind("{*}r/{*}t")))
            for item in self.xml(part).iterfind("{*}si")
        ]

    def calculation(self, *, anew: bool) -> dict[str, bytes]:
        """The workbook part made to say that a program must compute all formulas on opening the file, or need not."""
        data = self.read(self.workbook_part)
        wanted = {b"fullCalcOnLoad": b"1"} if anew else {b"calcId": CURRENT_ENGINE, b"fullCalcOnLoad": None}
        if found := _CALCULATION.search(data):
            return {self.workbook_part: data[:found.start()] + with_attributes(found[0], wanted) + data[found.end():]}
        prefix = f"{self._workbook.prefix}:".encode() if self._workbook.prefix else b""
        before = next(tag for tag in _BEFORE_CALCULATION if self._workbook.find(f"{{*}}{tag}") is not None).encode()
        place = re.search(rb"</%b\s*>|<%b\b[^<>]*/>" % ((prefix + before,) * 2), data)
        if place is None:
            raise self.error(f"is damaged in the part {self.workbook_part}")
        tag = with_attributes(b"<" + prefix + b"calcPr/>", wanted)
        return {self.workbook_part: data[:place.end()] + tag + data[place.end():]}


def with_attributes(tag: bytes, wanted: Mapping[bytes, bytes | None]) -> bytes:
    """A start tag with attributes set or, where the value is None, taken out; the rest of it stays as written."""
    for name, value in wanted.items():
        new = b"" if value is None else b" %b=\"%b\"" % (name, value)
        tag, count = re.subn(rb"\s+%b\s*=\s*(?:\"[^\"]*\"|'[^']*')" % name, new, tag, count=1)
        if not count and value is not None:
            end = -2 if tag.endswith(b"/>") else -1
            tag = tag[:end].rstrip() + new + tag[end:]
    return tag


def unescaped(text: str) -> str:
    """A text of the file with its _xHHHH_ escapes, which stand for characters that XML cannot hold, resolved."""
    if "_x" not in text:
        return text
    characters = _ESCAPE.sub(lambda match: chr(int(match[1], 16)), text)
    return characters.encode("utf-16", "surrogatepass").decode("utf-16", "replace")  # halves make one, or none
