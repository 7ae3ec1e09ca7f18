"""Charts, drawings, tables and pictures without what they keep about others."""

from __future__ import annotations

import struct
from typing import Any

from pailbook.workbook.privacy.parcel import Parcel, drop, local
from pailbook.workbook.privacy.scrub import scrub_tree
from pailbook.workbook.privacy.words import Words, together

_CACHES = ("numCache", "strCache", "multiLvlStrCache", "dlblRangeCache")
_SHOWS_OTHERS = ("slicer", "timeslicer", "cameraTool")  # what stands on a drawing for a part that is gone
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_REMARKS = (b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"tIME", b"caBX")
_JPEG_KEPT = {0xE0: b"JFIF", 0xE2: b"ICC_PROFILE", 0xEE: b"Adobe"}  # size, colour profile, colour transform


def scrub_objects(parcel: Parcel, words: Words) -> None:
    """Clean the parts taken along that are neither sheets nor the workbook's own."""
    removed = parcel.removed
    for part in parcel.parts_of_kind("chart", "chartEx"):
        root = parcel.roots[part]
        caches = [element for element in root.iter("{*}*") if local(element) in _CACHES
                  or (local(element) == "lvl" and local(element.getparent()) in ("strDim", "numDim"))]
        for cache in caches:
            cache.getparent().remove(cache)
        if caches:
            removed.things["values stored in charts"] += 1
        if any(local(element) in ("numLit", "strLit") for element in root.iter("{*}*")):
            removed.notes.append("check the charts: one shows numbers that are in no cell")
    for part in parcel.parts_of_kind("drawing", "chartUserShapes"):
        _scrub_drawing(parcel, part)
    for part in parcel.parts_of_kind("table"):
        _scrub_table(parcel, part, words)
    sheets = set(parcel.book.sheets.values()) | {parcel.book.workbook_part}
    texts = set(parcel.parts_of_kind("sharedStrings"))
    for part, root in parcel.roots.items():
        if part not in sheets | texts and (count := scrub_tree(root, words)):
            removed.things["texts in charts, drawings, descriptions of pictures and styles"] += count
    for part in parcel.pictures:
        parcel.pictures[part] = without_remarks(parcel.pictures[part])
    if parcel.parts_of_kind("image"):
        removed.notes.append("check the pictures: words within a picture cannot be found")


def _scrub_drawing(parcel: Parcel, part: str) -> None:
    root = parcel.roots[part]
    for element in list(root.iter("{*}*")):
        if local(element) in _SHOWS_OTHERS:
            above = list(element.iterancestors())
            if len(above) > 1 and above[-2].getparent() is not None:
                parcel.removed.things["slicers and pictures of cells"] += 1
                drop(above[-2])
        elif element.get("textlink"):  # a shape that shows a cell, as it was
            for text in element.iter("{*}t"):
                text.text = ""


def _scrub_table(parcel: Parcel, part: str, words: Words) -> None:
    root = parcel.roots[part]
    names = [root.get("name", ""), root.get("displayName", ""),
             *(column.get("name", "") for column in root.iter("{*}tableColumn"))]
    if words.found(together(names)):
        parcel.leave(part)
        parcel.removed.things["tables whose names or headings name others; their cells stay"] += 1
        del parcel.roots[part]
        return
    for name in ("tableType", "connectionId", "comment", "insertRow", "insertRowShift"):
        root.attrib.pop(name, None)
    for element in list(root.iter("{*}*")):
        name = local(element)
        if name in ("filterColumn", "sortState", "xmlColumnPr"):
            element.getparent().remove(element)
        elif name == "tableColumn":
            for attribute in ("uniqueName", "queryTableFieldId"):
                element.attrib.pop(attribute, None)
        elif name in ("calculatedColumnFormula", "totalsRowFormula") and words.found(element.text or ""):
            element.getparent().remove(element)


def without_remarks(data: bytes) -> bytes:
    """A .png or .jpg picture without texts, places, names of programs and people; as it is where it is neither."""
    if data.startswith(_PNG):
        return _png(data)
    return _jpeg(data) if data.startswith(b"\xff\xd8") else data


def _png(data: bytes) -> bytes:
    parts, at = [_PNG], len(_PNG)
    while at + 12 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        if kind not in _PNG_REMARKS:
            parts.append(data[at:at + 12 + length])
        at += 12 + length
        if kind == b"IEND":
            break
    return b"".join(parts)


def _jpeg(data: bytes) -> bytes:
    parts, at = [data[:2]], 2
    while at + 4 <= len(data) and data[at] == 0xFF and data[at + 1] != 0xDA:
        marker, length = data[at + 1], struct.unpack_from(">H", data, at + 2)[0]
        is_remark = marker == 0xFE or 0xE0 <= marker <= 0xEF
        if not is_remark or data[at + 4:at + 4 + length].startswith(_JPEG_KEPT.get(marker, b"\0no such")):
            parts.append(data[at:at + 2 + length])
        at += 2 + length
    end = data.rfind(b"\xff\xd9")
    return b"".join([*parts, data[at:end + 2 if end > at else None]])


def cleared_pivots(parcel: Parcel, sheet: str) -> list[str]:
    """The ranges that pivot tables fill on a sheet, whose cells hold sums over others."""
    found = []
    for relation in parcel.relations_of(sheet):
        if relation.kind == "pivotTable" and relation.target in parcel.book:
            root: Any = parcel.book.xml(relation.target)
            found += [element.get("ref", "") for element in root.iter("{*}location")]
    return [ref for ref in found if ref]
