"""Files that are not what they seem, made from a sound workbook."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable

from files import MAIN

Make = Callable[[bytes], bytes]
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # [MS-CFB] 2.2: how a compound file begins


def changed(data: bytes, changes: dict[str, bytes | None]) -> bytes:
    """The workbook with parts exchanged, added or, for None, taken out."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = changes.get(name, old.read(name))
            if content is not None:
                new.writestr(name, content)
        for name, content in changes.items():
            if name not in old.namelist() and content is not None:
                new.writestr(name, content)
    return made.getvalue()


def part(data: bytes, name: str) -> bytes:
    """A part of the workbook."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        return book.read(name)


def flipped(data: bytes) -> bytes:
    """A byte of the workbook's part exchanged for another."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        entry = book.getinfo("xl/workbook.xml")
    spoilt = bytearray(data)
    spoilt[entry.header_offset + 30 + len(entry.filename) + entry.compress_size // 2] ^= 0xFF
    return bytes(spoilt)


def open_document(data: bytes) -> bytes:
    """An empty sheet as an .ods file has it (OpenDocument 1.3, part 2: packages)."""
    made = io.BytesIO()
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    with zipfile.ZipFile(made, "w") as out:
        out.writestr("mimetype", kind)
        out.writestr("content.xml", '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:'
                                    'office:1.0"><office:body/></office:document-content>')
        out.writestr("META-INF/manifest.xml", f'<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:'
                     f'xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
                     "</manifest:manifest>")
    return made.getvalue()


def with_document_type(name: str) -> Make:
    """Entities that grow tenfold in each of nine steps, in a part of the workbook."""
    steps = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 10))
    entities = f'<!DOCTYPE x [<!ENTITY e0 "aaaaaaaaaa">{steps}]>'.encode()

    def make(data: bytes) -> bytes:
        old = part(data, name)
        end = old.index(b"?>") + 2 if old.startswith(b"<?xml") else 0
        return changed(data, {name: old[:end] + entities + old[end:]})

    return make


def outside(data: bytes) -> bytes:
    """An entity that names a file of the machine."""
    old = part(data, "xl/workbook.xml")
    end = old.index(b"?>") + 2 if old.startswith(b"<?xml") else 0
    return changed(data, {"xl/workbook.xml": old[:end] + b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]>'
                          + old[end:]})


def bomb(data: bytes) -> bytes:
    """A part of 100 MB of blanks, packed into a thousandth."""
    return changed(data, {"xl/media/picture.png": bytes(100 << 20)})


def lying_bomb(data: bytes) -> bytes:
    """A part of 300 MB that says of itself that it has 100 bytes."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = b"".join([*(packer.compress(bytes(1 << 20)) for _ in range(300)), packer.flush()])
    name = b"xl/workbook.xml"
    with zipfile.ZipFile(io.BytesIO(data)) as old:
        rest = {entry: old.read(entry) for entry in old.namelist() if entry != name.decode()}
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for entry, content in rest.items():
            out.writestr(entry, content)
    sound = made.getvalue()
    end = sound.rindex(b"PK\5\6")
    count, start = struct.unpack_from("<H4xI", sound, end + 10)
    sizes = struct.pack("<III", 0, len(packed), 100)
    local = b"PK\3\4" + struct.pack("<HHHHH", 20, 0, 8, 0, 33) + sizes + struct.pack("<HH", len(name), 0) + name
    entry_of = b"PK\1\2" + struct.pack("<HHHHHH", 20, 20, 0, 8, 0, 33) + sizes + struct.pack(
        "<HHHHHII", len(name), 0, 0, 0, 0, 0, start) + name
    directory = sound[start:end] + entry_of
    last = b"PK\5\6" + struct.pack("<HHHHIIH", 0, 0, count + 1, count + 1, len(directory), start + len(local + packed),
                                   0)
    return sound[:start] + local + packed + directory + last


def named(name: str) -> Make:
    """The workbook with a part of that name too."""
    return lambda data: changed(data, {name: b"x"})


def nested(data: bytes) -> bytes:
    """A workbook's part whose elements stand a hundred thousand deep in each other."""
    depth = 100_000
    return changed(data, {"xl/workbook.xml": f'<workbook xmlns="{MAIN}">'.encode() + b"<a>" * depth + b"</a>" * depth
                          + b"</workbook>"})


def no_cells(data: bytes) -> bytes:
    """A sheet's part cut off in the middle."""
    sheet = part(data, "xl/worksheets/sheet1.xml")
    return changed(data, {"xl/worksheets/sheet1.xml": sheet[: len(sheet) // 2]})


# What it is, how it is made, and what the message says of it.
NO_WORKBOOKS: dict[str, tuple[Make, str]] = {
    "empty": (lambda data: b"", "is not an .xlsx workbook"),
    "text": (lambda data: b"date,ph\n2026-05-01,7.0\n", "is not an .xlsx workbook"),
    "noise": (lambda data: bytes(range(256)) * 20, "is not an .xlsx workbook"),
    "cut off": (lambda data: data[: len(data) // 2], "is cut off or damaged"),
    "cut off at the end": (lambda data: data[:-10], "is cut off or damaged"),
    "zeros in the middle": (
        lambda data: data[: len(data) // 3] + bytes(len(data) // 3) + data[len(data) // 3 * 2:], "damaged"),
    "a flipped byte": (flipped, "damaged in the part xl/workbook.xml"),
    "an old .xls": (lambda data: OLE + bytes(3000), "is an old .xls file"),
    "a password": (lambda data: OLE + bytes(900) + "EncryptedPackage".encode("utf-16-le") + bytes(99),
                   "is protected by a password"),
    "an .ods": (open_document, "is not an .xlsx workbook"),
    "any zip": (lambda data: changed(open_document(data), {"content.xml": None}), "is not an .xlsx workbook"),
    "an empty zip": (lambda data: b"PK\5\6" + bytes(18), "is not an .xlsx workbook"),
    "a bomb": (bomb, "would unpack to 10"),
    "a bomb that lies": (lying_bomb, "damaged in the part xl/workbook.xml"),
    "entities in the workbook": (with_document_type("xl/workbook.xml"), "declares a document type"),
    "entities in a sheet": (with_document_type("xl/worksheets/sheet1.xml"), "declares a document type"),
    "entities in the relations": (with_document_type("xl/_rels/workbook.xml.rels"), "declares a document type"),
    "an entity from outside": (outside, "declares a document type"),
    "a part above its folder": (named("../../evil.xml"), "unsafe name"),
    "a part with a root": (named("/etc/evil.xml"), "unsafe name"),
    "a part on a drive": (named("C:/evil.xml"), "unsafe name"),
    "a part with backslashes": (named(r"xl\..\..\evil.xml"), "unsafe name"),
    "a part on a share": (named(r"\\server\share\evil.xml"), "unsafe name"),
    "deep elements": (nested, ""),
    "a sheet cut off": (no_cells, "is not well-formed"),
}
