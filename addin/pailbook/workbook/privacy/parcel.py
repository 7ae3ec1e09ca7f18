"""The parts of a workbook on their way into a client's copy: each is taken along for a reason, or left behind.

Only what can be reached from the workbook over a kind of relation that is known to be safe gets into the copy; what
is referred to and left behind takes the element that refers to it along.
"""

from __future__ import annotations

import posixpath
from collections import deque
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lxml import etree

from pailbook.workbook.contents import Workbook
from pailbook.workbook.privacy.removed import Removed

TAKEN = frozenset({  # kinds of relation, by the last word of their type
    "worksheet", "chartsheet", "styles", "theme", "sharedStrings", "sheetMetadata", "table", "drawing", "chart",
    "chartEx", "chartStyle", "chartColorStyle", "chartUserShapes", "image",
})
LEFT = {
    "calcChain": "", "printerSettings": "printer settings", "comments": "comments",
    "threadedComment": "threaded comments", "person": "the list of people who commented", "vmlDrawing": "drawn notes",
    "externalLink": "links to other workbooks", "externalLinkPath": "links to other workbooks",
    "hyperlink": "links out of the workbook", "connections": "data connections", "queryTable": "query tables",
    "pivotTable": "pivot tables", "pivotCacheDefinition": "pivot caches", "pivotCacheRecords": "pivot caches",
    "slicer": "slicers", "slicerCache": "slicers", "timeline": "time lines", "timelineCache": "time lines",
    "customXml": "custom XML", "xmlMaps": "XML maps", "tableSingleCells": "XML maps",
    "customProperty": "custom properties of sheets", "custom-properties": "custom document properties",
    "extended-properties": "application properties (company, manager, sheet titles)",
    "core-properties": "document properties (author, last author, keywords and so on)",
    "thumbnail": "the preview picture",
    "revisionHeaders": "revision logs", "revisionLog": "revision logs", "usernames": "names of people who shared it",
    "vbaProject": "macros", "control": "form controls", "ctrlProp": "form controls", "oleObject": "embedded objects",
    "package": "embedded files", "externalData": "embedded files", "volatileDependencies": "links to live data",
    "dialogsheet": "dialog sheets", "xlMacrosheet": "macro sheets", "classificationlabels": "a sensitivity label",
}
SAFE_PICTURES = (".png", ".jpg", ".jpeg")  # their remarks can be taken out
_BY_ELEMENT = frozenset({"worksheet", "chartsheet", "drawing", "chart", "chartEx", "chartUserShapes", "image", "table"})
_ON_SHEET = frozenset({"drawing", "chart", "chartEx", "chartUserShapes", "table"})
_FORMULAS = ("f", "formula", "formula1", "formula2", "calculatedColumnFormula")
_LINKS = ("hlinkClick", "hlinkHover", "hlinkMouseOver")


@dataclass(frozen=True)
class Relation:
    """What one part has to do with another."""

    id: str
    type: str
    target: str  # a part, or an address outside
    external: bool

    @property
    def kind(self) -> str:
        """The last word of its type."""
        return self.type.rsplit("/", 1)[-1]


class Parcel:
    """Parts by name, XML ones as trees; relations by part."""

    def __init__(self, book: Workbook, removed: Removed) -> None:
        self.book, self.removed = book, removed
        self.roots: dict[str, Any] = {}
        self._trees: dict[str, Any] = {}
        self.pictures: dict[str, bytes] = {}
        self.relations: dict[str, list[Relation]] = {}

    @cached_property
    def kinds(self) -> dict[str, str]:
        """The content type of each part that has one of its own, and of each ending, which begins with a dot."""
        found = {}
        for item in self.book.xml("[Content_Types].xml"):
            if isinstance(item.tag, str):
                name = item.get("PartName", "").lstrip("/") or "." + item.get("Extension", "").lower()
                found[name] = item.get("ContentType", "")
        return found

    def tree(self, part: str) -> Any:
        """An XML part's tree, without remarks; the one that goes into the copy if the part does."""
        if part not in self._trees:
            root = self._trees[part] = self.book.xml(part)
            etree.strip_tags(root, etree.Comment, etree.ProcessingInstruction)
        return self._trees[part]

    def formulas(self, part: str) -> str:
        """All formulas of a part and of the drawings, charts and tables on it."""
        waiting, seen, found = [part], {part}, []
        while waiting:
            one = waiting.pop()
            found += [element.text for name in _FORMULAS for element in self.tree(one).iter(f"{{*}}{name}")
                      if element.text]
            for relation in self.relations_of(one):
                if self._may_go(relation) and relation.kind in _ON_SHEET and relation.target not in seen:
                    seen.add(relation.target)
                    waiting.append(relation.target)
        return "\n".join(found)

    def relations_of(self, part: str) -> list[Relation]:
        """The relations that the file gives a part."""
        folder, name = posixpath.split(part)
        path = posixpath.join(folder, "_rels", f"{name}.rels")
        if path not in self.book:
            return []
        found = []
        for item in self.book.xml(path).iter("{*}Relationship"):
            external, target = item.get("TargetMode") == "External", item.get("Target", "")
            if not external:
                target = posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/")
            found.append(Relation(item.get("Id", ""), item.get("Type", ""), target, external))
        return found

    def fill(self, dropped: set[str]) -> None:
        """Take along all that may be, from the workbook's part on; parts in `dropped` are left behind."""
        waiting, seen = deque([self.book.workbook_part]), {self.book.workbook_part}
        while waiting:
            part = waiting.popleft()
            if part.lower().endswith(SAFE_PICTURES):
                self.pictures[part] = self.book.read(part)
                continue
            root = self.roots[part] = self.tree(part)
            self.relations[part] = []
            for relation in self.relations_of(part):
                if relation.target in dropped and not relation.external:
                    drop_references(root, relation.id)
                elif self._may_go(relation):
                    self.relations[part].append(relation)
                    if relation.target not in seen:
                        seen.add(relation.target)
                        waiting.append(relation.target)
                else:
                    self._tell(relation)
                    drop_references(root, relation.id)
        for relation in self.relations_of(""):
            if relation.kind != "officeDocument":
                self._tell(relation)

    def _may_go(self, relation: Relation) -> bool:
        if relation.external or relation.kind not in TAKEN or relation.target not in self.book:
            return False
        return relation.kind != "image" or relation.target.lower().endswith(SAFE_PICTURES)

    def _tell(self, relation: Relation) -> None:
        if relation.kind == "image":
            what = f"pictures in a format that cannot be cleaned ({posixpath.splitext(relation.target)[1] or 'linked'})"
        else:
            what = LEFT.get(relation.kind, f"a part of an unknown kind ({relation.kind})")
        if what:
            self.removed.things[what] += 1

    def parts_of_kind(self, *kinds: str) -> list[str]:
        """The parts taken along that some part refers to with one of these kinds of relation, each once."""
        found = (r.target for relations in self.relations.values() for r in relations if r.kind in kinds)
        return [part for part in dict.fromkeys(found) if part in self.roots or part in self.pictures]

    def leave(self, target: str) -> None:
        """Leave behind a part, and what refers to it."""
        for source, relations in self.relations.items():
            for relation in [relation for relation in relations if relation.target == target]:
                drop_references(self.roots[source], relation.id)
                relations.remove(relation)

    def prune(self) -> None:
        """Leave behind what nothing refers to any more."""
        reached, waiting = {self.book.workbook_part}, [self.book.workbook_part]
        while waiting:
            part = waiting.pop()
            used = {value for element in self.roots[part].iter(etree.Element) for value in element.attrib.values()} \
                if part in self.roots else set()
            kept = [r for r in self.relations.get(part, []) if r.id in used or r.kind not in _BY_ELEMENT]
            if part in self.relations:
                self.relations[part] = kept
            for relation in kept:
                if relation.target not in reached:
                    reached.add(relation.target)
                    waiting.append(relation.target)
        self.roots = {part: root for part, root in self.roots.items() if part in reached}
        self.pictures = {part: data for part, data in self.pictures.items() if part in reached}


def local(element: Any) -> str:
    """An element's name without its namespace."""
    return etree.QName(element).localname


def drop(element: Any) -> None:
    """Take an element out, and those around it that are empty then."""
    while (parent := element.getparent()) is not None:
        parent.remove(element)
        if len(parent):
            if "count" in parent.attrib:
                parent.set("count", str(len(parent)))
            return
        if parent.getparent() is None or (parent.text or "").strip() or local(parent) == "sheetData":
            return
        element = parent


def drop_references(root: Any, relation: str) -> None:
    """Take out the elements that refer to a relation."""
    for element in list(root.iter(etree.Element)):
        keys = [key for key, value in element.attrib.items()
                if value == relation and key.startswith("{") and key.split("}")[0].endswith("/relationships")]
        if not keys:
            continue
        if local(element) == "pageSetup":  # only the printer's own settings go
            for key in keys:
                del element.attrib[key]
            continue
        around = list(element.iterancestors())
        drop(_outermost(element, around))


def _outermost(element: Any, around: list[Any]) -> Any:
    """The element to take out with one that refers to what is not there."""
    if local(element) in _LINKS:
        return element
    for name in ("ext", "AlternateContent"):
        if found := next((item for item in around if local(item) == name), None):
            return found
    if around and local(around[-1]) in ("wsDr", "userShapes") and len(around) > 1:
        return around[-2]  # the anchor in a drawing
    return element
