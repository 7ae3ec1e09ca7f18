"""The copy's file: its parts as bytes, what is in them searched once more, and all of it written anew."""

from __future__ import annotations

import posixpath
import re
import zipfile
from pathlib import Path
from urllib.parse import unquote
from xml.sax.saxutils import escape, quoteattr

from lxml import etree

from pailbook.files import replacing
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.parts import unescaped
from pailbook.workbook.privacy.parcel import Parcel
from pailbook.workbook.privacy.scrub import all_text
from pailbook.workbook.privacy.words import Words, together

_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MAIN = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
_CORE = "application/vnd.openxmlformats-package.core-properties+xml"
_TIME = (2026, 1, 1, 0, 0, 0)
_SURE = 6  # bytes of a name that do not stand in a picture by chance


def files(parcel: Parcel, title: str, words: Words) -> dict[str, bytes]:
    """The copy's parts by name: what was taken along, and a directory, relations and properties made anew."""
    names = _names(parcel, words)
    main = names[parcel.book.workbook_part]
    made = {}
    for part, root in parcel.roots.items():
        made[names[part]] = etree.tostring(root, encoding="UTF-8", xml_declaration=True, standalone=True)
    for part, data in parcel.pictures.items():
        made[names[part]] = data
    for part, relations in parcel.relations.items():
        if part in parcel.roots and relations:
            folder, name = posixpath.split(names[part])
            made[posixpath.join(folder, "_rels", f"{name}.rels")] = _relations(
                [(relation.id, relation.type, "/" + names[relation.target]) for relation in relations])
    made["docProps/core.xml"] = (
        f'{_HEAD}<cp:coreProperties xmlns:cp="{_PACKAGE}/metadata/core-properties" '
        f'xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>{escape(title)}</dc:title></cp:coreProperties>').encode()
    office = next(relation.type for relation in parcel.relations_of("") if relation.kind == "officeDocument")
    made["_rels/.rels"] = _relations([
        ("rId1", office, "/" + main),
        ("rId2", f"{_PACKAGE}/relationships/metadata/core-properties", "/docProps/core.xml")])
    made["[Content_Types].xml"] = _content_types(parcel, names, main)
    return dict(sorted(made.items(), key=lambda item: (item[0] != "[Content_Types].xml", item[0])))


def _names(parcel: Parcel, words: Words) -> dict[str, str]:
    """What each part is called in the copy: as before, unless its name names others."""
    found = {}
    for number, part in enumerate([*parcel.roots, *parcel.pictures], 1):
        folder, name = posixpath.split(part)
        renamed = posixpath.join(folder, f"part{number}{posixpath.splitext(name)[1]}")
        found[part] = renamed if words.found(unquote(name)) else part
    return found


def _relations(items: list[tuple[str, str, str]]) -> bytes:
    lines = "".join(f"<Relationship Id={quoteattr(id)} Type={quoteattr(kind)} Target={quoteattr(target)}/>"
                    for id, kind, target in items)
    return f'{_HEAD}<Relationships xmlns="{_PACKAGE}/relationships">{lines}</Relationships>'.encode()


def _content_types(parcel: Parcel, names: dict[str, str], main: str) -> bytes:
    endings = {posixpath.splitext(part)[1].lower() for part in parcel.pictures}
    defaults = {"rels": "application/vnd.openxmlformats-package.relationships+xml", "xml": "application/xml",
                **{ending[1:]: parcel.kinds.get(ending, f"image/{ending[1:]}") for ending in sorted(endings)}}
    own = {names[part]: parcel.kinds[part] for part in parcel.roots if part in parcel.kinds}
    own = {**own, main: _MAIN, "docProps/core.xml": _CORE}
    lines = [f"<Default Extension={quoteattr(ending)} ContentType={quoteattr(kind)}/>"
             for ending, kind in defaults.items()]
    lines += [f"<Override PartName={quoteattr('/' + part)} ContentType={quoteattr(kind)}/>"
              for part, kind in sorted(own.items())]
    return f'{_HEAD}<Types xmlns="{_PACKAGE}/content-types">{"".join(lines)}</Types>'.encode()


def verify(made: dict[str, bytes], words: Words, source: Path) -> None:
    """Search every part once more, in each way in which a text may be written.

    Raises
    ------
    WorkbookError
        When a name or text of others is left.
    """
    for part, data in made.items():
        left = words.found(unquote(posixpath.basename(part)))
        if not left:
            left = _left_in_xml(data, words) if part.endswith((".xml", ".rels")) else _left_in_bytes(data, words)
        if left:
            raise WorkbookError(f"{source}: {left!r}, which is about somebody else, could not be taken out of the part "
                                f"{part}; nothing was written. Take it out by hand, then share again")


def _left_in_xml(data: bytes, words: Words) -> str:
    root = etree.fromstring(data, etree.XMLParser(huge_tree=True, resolve_entities=False))
    text = all_text(root)
    split = root.iter("{*}si", "{*}is", "{*}p")  # whose words may be split between elements
    joined = together("".join(str(piece) for piece in element.itertext()) for element in split)
    for form in {text, unescaped(text), unquote(text) if "%" in text else "", joined}:
        if left := words.found(form):
            return left
    return ""


def _left_in_bytes(data: bytes, words: Words) -> str:
    """A name in something that is not XML; names so short that they may stand there by chance are not searched for."""
    texts = [data.decode("utf-8", "ignore"), data.decode("latin-1")]
    texts += [data[start:].decode(form, "ignore") for start in (0, 1) for form in ("utf-16-le", "utf-16-be")]
    runs = (re.findall(rf"[^\x00-\x1f\x7f-\x9f\ufffd]{{{_SURE},}}", text) for text in texts)
    return next((left for text in runs if (left := words.found_long(together(text), _SURE))), "")


def write(made: dict[str, bytes], target: Path) -> None:
    """The file, in full or not at all; one that is there is never replaced.

    Raises
    ------
    WorkbookError
        When it cannot be written.
    """
    with replacing(target, error=WorkbookError) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in made.items():
            entry = zipfile.ZipInfo(name, _TIME)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            out.writestr(entry, data)
