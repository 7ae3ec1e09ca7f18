"""The macros of a workbook ([MS-OVBA]): their text read from and written into xl/vbaProject.bin.

Only source text is kept: what a program compiled for itself is dropped, as the specification asks of writers.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping

from pailbook.hosts.excel import compound
from pailbook.hosts.excel.compression import BadProject as BadProject
from pailbook.hosts.excel.compression import compressed, decompressed

CODE_PAGE = "cp1252"
_NO_CACHE = bytes.fromhex("CC61FFFF000100")  # [MS-OVBA] 2.3.4.1
_MODULES, _MODULE_NAME, _MODULE_NAME_UNICODE, _STREAM_NAME, _OFFSET = 0x000F, 0x0019, 0x0047, 0x001A, 0x0031
_COOKIE, _MODULE_END, _END, _CODE_PAGE_RECORD, _VERSION = 0x0013, 0x002B, 0x0010, 0x0003, 0x0009


def modules(data: bytes) -> dict[str, str]:
    """The text of every module by its name, in the project's order."""
    streams = compound.read(data)
    found, name, stream = {}, "", ""
    for kind, value in _records(decompressed(streams["VBA/dir"])):
        if kind == _MODULE_NAME:
            name = stream = value.decode(CODE_PAGE)
        elif kind == _STREAM_NAME:
            stream = value.decode(CODE_PAGE)
        elif kind == _OFFSET:
            (offset,) = struct.unpack("<I", value)
            found[name] = decompressed(streams[f"VBA/{stream}"][offset:]).decode(CODE_PAGE)
    return found


def with_modules(data: bytes, texts: Mapping[str, str], name: str) -> bytes:
    """The project under that name, with these modules replaced or added, and nothing compiled.

    Raises
    ------
    BadProject
        When the project is not as the specification has it.
    """
    streams = compound.read(data)
    present = modules(data)
    added = [module for module in texts if module not in present]
    records = list(_records(decompressed(streams["VBA/dir"])))
    code_page = next((value for kind, value in records if kind == _CODE_PAGE_RECORD), b"")
    if code_page != struct.pack("<H", int(CODE_PAGE.removeprefix("cp"))):
        raise BadProject("the macros of the template are not in the code page 1252")
    result = {"PROJECT": _project(streams["PROJECT"].decode(CODE_PAGE), added, name).encode(CODE_PAGE)}
    result["PROJECTwm"] = streams["PROJECTwm"][:-2] + b"".join(
        module.encode(CODE_PAGE) + b"\0" + (module + "\0").encode("utf-16-le") for module in added
    ) + b"\0\0"
    result["VBA/_VBA_PROJECT"] = _NO_CACHE
    result["VBA/dir"] = compressed(_directory(records, added, name))
    for module, text in (present | dict(texts)).items():
        result[f"VBA/{module}"] = compressed(text.encode(CODE_PAGE))
    return compound.write(result)


def _records(data: bytes) -> Iterator[tuple[int, bytes]]:
    """The records of the stream `dir`; the one for the version is longer than it says."""
    position = 0
    while position + 6 <= len(data):
        kind, size = struct.unpack_from("<HI", data, position)
        if kind == _VERSION:
            size = 6
        yield kind, data[position + 6:position + 6 + size]
        position += 6 + size


def _directory(records: list[tuple[int, bytes]], added: list[str], name: str) -> bytes:
    out = bytearray()

    def put(kind: int, value: bytes, size: int | None = None) -> None:
        nonlocal out
        out += struct.pack("<HI", kind, len(value) if size is None else size) + value

    for kind, value in records:
        if kind == _MODULES:
            value = struct.pack("<H", struct.unpack("<H", value)[0] + len(added))
        elif kind == 0x0004:  # the project's name
            value = name.encode(CODE_PAGE)
        elif kind == _OFFSET:
            value = bytes(4)
        elif kind == _COOKIE:
            value = b"\xff\xff"
        elif kind == _END:
            # What 2.3.4.2.3.2 asks of a module: names, no description, where its text begins, no help, and its kind.
            for module in added:
                text, wide = module.encode(CODE_PAGE), module.encode("utf-16-le")
                for part in ((_MODULE_NAME, text), (_MODULE_NAME_UNICODE, wide), (_STREAM_NAME, text), (0x0032, wide),
                             (0x001C, b""), (0x0048, b""), (_OFFSET, bytes(4)), (0x001E, bytes(4)),
                             (0x002C, b"\xff\xff"), (0x0021, b""), (_MODULE_END, b"")):
                    put(*part)
        put(kind, value, 4 if kind == _VERSION else None)
    return bytes(out)


def _project(text: str, added: list[str], name: str) -> str:
    """The stream PROJECT with the new modules listed; how windows stood is dropped."""
    lines = text.partition("[Workspace]")[0].rstrip().split("\r\n")
    at = next(i for i, line in enumerate(lines) if line.startswith("Name="))
    lines[at] = f'Name="{name}"'
    lines[at:at] = [f"Module={module}" for module in added]
    return "\r\n".join(lines) + "\r\n"
