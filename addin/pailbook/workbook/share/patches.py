"""Parts of a workbook's file added and taken out, with all that mentions them; every other byte stays."""

from __future__ import annotations

import posixpath
import re
from xml.sax.saxutils import quoteattr, unescape

from lxml import etree

from pailbook.workbook.contents import Workbook
from pailbook.workbook.parts import with_attributes

TYPES = "[Content_Types].xml"
_STRICT = b"http://purl.oclc.org/ooxml/"
_RELATIONS = {False: "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
              True: "http://purl.oclc.org/ooxml/officeDocument/relationships"}
_WORKSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_PROPERTIES = "{http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes}"


class Patches:
    """The changes to a file, collected: the new content of parts by name, None for a part that goes."""

    def __init__(self, book: Workbook) -> None:
        self.book = book
        self.changed: dict[str, bytes | None] = {}
        book.xml(TYPES)  # in order, since from here on it is patched as bytes
        self.strict = _STRICT in book.read(book.workbook_part)[:4000]
        self._sheets = sum(1 for _ in book.xml(book.workbook_part).iterfind("{*}sheets/{*}sheet"))

    def read(self, part: str) -> bytes:
        """A part as it will be."""
        content = self.changed.get(part)
        return self.book.read(part) if content is None else content

    def free_title(self, wanted: str) -> str:
        """The title, with a number behind it where a sheet of the workbook has it."""
        taken = {tab.get("name", "").casefold() for tab in self.book.xml(self.book.workbook_part).iterfind(
            "{*}sheets/{*}sheet")}
        titles = [wanted, *(f"{wanted} {i}" for i in range(2, len(taken) + 3))]
        return next(title for title in titles if title.casefold() not in taken)

    def add_sheet(self, title: str, content: bytes, print_area: str = "") -> None:
        """A sheet behind all others."""
        workbook, folder = self.book.workbook_part, posixpath.dirname(self.book.workbook_part)
        number = next(i for i in range(self._sheets + 1, 100_000)
                      if (part := f"{folder}/worksheets/sheet{i}.xml".lstrip("/")) not in self.book
                      and part not in self.changed)
        part = f"{folder}/worksheets/sheet{number}.xml".lstrip("/")
        self.changed[part] = content
        self._insert(TYPES, b"Types", f'<Override PartName="/{part}" ContentType="{_WORKSHEET}"/>')
        relation = self._relate(workbook, "worksheet", posixpath.relpath(part, folder or "."))
        ids = [int(found) for found in re.findall(rb'\ssheetId\s*=\s*["\'](\d+)', self.read(workbook))]
        self._insert(workbook, b"sheets", f'<sheet xmlns:r="{_RELATIONS[self.strict]}" name={quoteattr(title)} '
                                          f'sheetId="{max(ids, default=0) + 1}" r:id="{relation}"/>')
        if print_area:
            self._name("_xlnm.Print_Area", f"'{title}'!{print_area}", self._sheets)
        self._sheets += 1
        self._list_title(title)

    def remove(self, part: str, owner: str) -> None:
        """A part, its own relations, and the relation of its owner to it."""
        folder, name = posixpath.split(part)
        for gone in (part, posixpath.join(folder, "_rels", f"{name}.rels")):
            if gone in self.book:
                self.changed[gone] = None
        self._drop(TYPES, rb"Override", rb"PartName", b"/" + part.encode())
        for relation, (_, target) in self.book.related(owner).items():
            if target == part:
                self._drop(_relations_of(owner), rb"Relationship", rb"Id", relation.encode())

    def retype(self, part: str, kind: str) -> None:
        """Another content type for a part."""
        found = _tag(rb"Override", rb"PartName", b"/" + part.encode()).search(data := self.read(TYPES))
        if found:
            tag = with_attributes(found[0], {b"ContentType": kind.encode()})
            self.changed[TYPES] = data[:found.start()] + tag + data[found.end():]

    def drop_default(self, kind: str) -> None:
        """The rule that gives parts of some ending that content type."""
        self._drop(TYPES, rb"Default", rb"ContentType", kind.encode())

    def drop_from_workbook(self, tag: bytes, attribute: bytes, value: bytes) -> None:
        """An empty element of the workbook's part, by one of its attributes."""
        self._drop(self.book.workbook_part, tag, attribute, value)

    def _drop(self, part: str, tag: bytes, attribute: bytes, value: bytes) -> None:
        self.changed[part] = _tag(tag, attribute, value).sub(b"", self.read(part))

    def _relate(self, owner: str, kind: str, target: str) -> str:
        part = _relations_of(owner)
        taken = set(re.findall(rb'\sId\s*=\s*["\']([^"\']*)', self.read(part)))
        relation = next(name for i in range(1, 100_000) if (name := f"rIdPlain{i}").encode() not in taken)
        self._insert(part, b"Relationships", f'<Relationship Id="{relation}" Type="{_RELATIONS[self.strict]}/{kind}" '
                                             f'Target="{target}"/>')
        return relation

    def _insert(self, part: str, element: bytes, new: str) -> None:
        """An element, of the same prefix, at the end of the one that is named."""
        data = self.read(part)
        end = re.search(rb"</((?:[\w.-]+:)?)%b\s*>" % element, data)
        if end is None:
            raise self.book.error(f"is damaged in the part {part}")
        tag = b"<" + end[1] + new.encode()[1:]
        self.changed[part] = data[:end.start()] + tag + data[end.start():]

    def _name(self, name: str, text: str, place: int) -> None:
        part = self.book.workbook_part
        new = f'<definedName name="{name}" localSheetId="{place}">{text}</definedName>'
        data = self.read(part)
        if re.search(rb"</(?:[\w.-]+:)?definedNames\s*>", data):
            prefix = re.search(rb"</((?:[\w.-]+:)?)definedNames", data)
            if prefix and not prefix[1]:
                self._insert(part, b"definedNames", new)
            return
        end = max((found.end() for tag in (b"sheets", b"functionGroups", b"externalReferences")
                   if (found := re.search(rb"</%b\s*>" % tag, data))), default=0)
        if end:
            self.changed[part] = data[:end] + f"<definedNames>{new}</definedNames>".encode() + data[end:]

    def _list_title(self, title: str) -> None:
        """The title in the list of titles that some programs keep in the file's properties."""
        part = next((part for kind, part in self.book.related("").values() if kind == "extended-properties"), "")
        if part not in self.book:
            return
        root = self.book.parsed(part, self.read(part))
        pairs, titles = root.find("{*}HeadingPairs/{*}vector"), root.find("{*}TitlesOfParts/{*}vector")
        if pairs is None or titles is None or len(pairs) < 2:
            return
        count = pairs[1].find("{*}i4")
        if count is None or not (count.text or "").isdigit():
            return
        place = int(count.text or "0")
        new = etree.Element(f"{_PROPERTIES}lpstr")
        new.text = title
        titles.insert(place, new)
        titles.set("size", str(len(titles)))
        count.text = str(place + 1)
        self.changed[part] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def text_of_xml(written: bytes) -> str:
    """The text of an element, as its bytes have it."""
    return unescape(written.decode(), {"&quot;": '"', "&apos;": "'"})


def _relations_of(part: str) -> str:
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def _tag(tag: bytes, attribute: bytes, value: bytes) -> re.Pattern[bytes]:
    """The element, empty, whose attribute has that value."""
    return re.compile(rb"<(?:[\w.-]+:)?%b\b[^<>]*?[\s:]%b\s*=\s*[\"']%b[\"'][^<>]*?(?:/>|>\s*</(?:[\w.-]+:)?%b\s*>)"
                      % (tag, attribute, re.escape(value), tag))
