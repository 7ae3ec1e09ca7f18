"""Compound files ([MS-CFB]): named streams in storages, the form in which a workbook keeps its macros.

Read whole and written whole, in version 3 with sectors of 512 bytes. The parts of a path are joined by "/".
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

_MAGIC = bytes.fromhex("D0CF11E0A1B11AE1")
_SECTOR, _MINI, _CUTOFF = 512, 64, 4096
_FREE, _END, _FAT, _NONE = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD, 0xFFFFFFFF
_STORAGE, _STREAM, _ROOT = 1, 2, 5
_IN_HEADER = 109  # sectors of the allocation table that the header can name
_HEADER = struct.Struct("<8s16s5H6x9I")
_ENTRY = struct.Struct("<64sHBB3I16sI8s8sIQ")


class BadCompound(ValueError):
    """The bytes are not a compound file, or one that is damaged or too large."""


def read(data: bytes) -> dict[str, bytes]:
    """The streams by path.

    Raises
    ------
    BadCompound
        When a part cannot be followed.
    """
    try:
        return dict(_streams(data))
    except (struct.error, IndexError, RecursionError, UnicodeDecodeError) as reason:
        raise BadCompound(f"a compound file is damaged: {reason}") from None


def _streams(data: bytes) -> Iterator[tuple[str, bytes]]:
    header = _HEADER.unpack_from(data)
    if header[0] != _MAGIC:
        raise BadCompound("this is not a compound file")
    size = 1 << header[5]
    fat_count, first_directory, _, cutoff, first_mini, mini_count = header[8:14]
    if fat_count > _IN_HEADER:
        raise BadCompound("this compound file is larger than macros are")

    def sector(number: int) -> bytes:
        return data[(number + 1) * size:(number + 2) * size]

    table = [entry for number in struct.unpack_from(f"<{fat_count}I", data, _HEADER.size)
             for entry in struct.unpack(f"<{size // 4}I", sector(number))]

    def chain(first: int, links: list[int]) -> Iterator[int]:
        steps = 0
        while first not in (_END, _FREE):
            yield first
            first, steps = links[first], steps + 1
            if steps > len(links):
                raise BadCompound("a compound file is damaged: a chain of sectors has no end")

    directory = b"".join(map(sector, chain(first_directory, table)))
    entries = [_ENTRY.unpack_from(directory, start) for start in range(0, len(directory), _ENTRY.size)]
    minis = [entry for number in (chain(first_mini, table) if mini_count else ())
             for entry in struct.unpack(f"<{size // 4}I", sector(number))]
    small = b"".join(map(sector, chain(entries[0][11], table)))

    def content(first: int, length: int) -> bytes:
        if length >= cutoff:
            return b"".join(map(sector, chain(first, table)))[:length]
        return b"".join(small[n * _MINI:(n + 1) * _MINI] for n in (chain(first, minis) if length else ()))[:length]

    def walk(number: int, path: str) -> Iterator[tuple[str, bytes]]:
        if number == _NONE:
            return
        name, name_size, kind, _, left, right, child, *_, first, length = entries[number]
        yield from walk(left, path)
        text = path + name[:name_size - 2].decode("utf-16-le")
        if kind == _STREAM:
            yield text, content(first, length & 0xFFFFFFFF)
        else:
            yield from walk(child, text + "/")
        yield from walk(right, path)

    yield from walk(entries[0][6], "")


@dataclass
class _Node:
    name: str
    kind: int
    data: bytes = b""
    children: dict[str, _Node] = field(default_factory=dict)
    links: list[int] = field(default_factory=lambda: [_NONE, _NONE, _NONE])  # left, right, child
    black: bool = True
    first: int = 0


def write(streams: Mapping[str, bytes]) -> bytes:
    """A compound file with these streams, by path."""
    root = _Node("Root Entry", _ROOT)
    for path, data in streams.items():
        *storages, name = path.split("/")
        node = root
        for storage in storages:
            node = node.children.setdefault(storage, _Node(storage, _STORAGE))
        node.children[name] = _Node(name, _STREAM, data)
    nodes = [root]
    _enter(root, nodes)
    sectors: list[bytes] = []
    table: list[int] = []

    def store(data: bytes) -> int:
        """Appends a chain of sectors and gives its first, or the end mark for nothing."""
        if not data:
            return _END
        first = len(sectors)
        pieces = [data[i:i + _SECTOR].ljust(_SECTOR, b"\0") for i in range(0, len(data), _SECTOR)]
        sectors.extend(pieces)
        table.extend([*range(first + 1, first + len(pieces)), _END])
        return first

    small, minis = bytearray(), list[int]()
    for node in nodes:
        if node.kind == _STREAM and len(node.data) >= _CUTOFF:
            node.first = store(node.data)
        elif node.kind == _STREAM:
            count = -(-len(node.data) // _MINI)
            node.first = len(minis) if count else _END
            minis.extend([*range(len(minis) + 1, len(minis) + count), _END][:count])
            small += node.data.ljust(count * _MINI, b"\0")
    root.data = bytes(small)
    root.first = store(root.data)
    mini_first = store(_numbers(minis))
    mini_count = -(-len(minis) * 4 // _SECTOR)
    directory = b"".join(map(_entry, nodes))
    directory += _entry(None) * (-len(nodes) % (_SECTOR // _ENTRY.size))
    directory_first = store(directory)
    fat_count = 1
    while (len(table) + fat_count) * 4 > fat_count * _SECTOR:
        fat_count += 1
    if fat_count > _IN_HEADER:
        raise BadCompound("too much for one compound file")
    fat_first = len(table)
    table.extend([_FAT] * fat_count)
    sectors.append(_numbers(table))
    header = _HEADER.pack(_MAGIC, bytes(16), 0x3E, 3, 0xFFFE, 9, 6, 0, fat_count, directory_first, 0, _CUTOFF,
                          mini_first, mini_count, _END, 0)
    header += struct.pack(f"<{fat_count}I", *range(fat_first, fat_first + fat_count)).ljust(4 * _IN_HEADER, b"\xff")
    return header + b"".join(sectors)


def _numbers(values: list[int]) -> bytes:
    """Numbers as whole sectors, the rest of the last one marked as free."""
    data = struct.pack(f"<{len(values)}I", *values)
    return data + b"\xff" * (-len(data) % _SECTOR)


def _enter(storage: _Node, nodes: list[_Node]) -> None:
    """The children appended to the list, each storage's as a red-black tree in the order that the format asks for."""
    children = sorted(storage.children.values(), key=lambda node: (len(node.name), node.name.upper()))
    places = range(len(nodes), len(nodes) + len(children))
    nodes.extend(children)
    deepest = len(children).bit_length()
    full = len(children) + 1 == 1 << deepest

    def tree(low: int, high: int, depth: int) -> int:
        if low >= high:
            return _NONE
        middle = (low + high) // 2
        node = children[middle]
        node.black = full or depth < deepest
        node.links[:2] = tree(low, middle, depth + 1), tree(middle + 1, high, depth + 1)
        return places[middle]

    storage.links[2] = tree(0, len(children), 1)
    for child in children:
        if child.kind == _STORAGE:
            _enter(child, nodes)


def _entry(node: _Node | None) -> bytes:
    if node is None:
        return _ENTRY.pack(b"", 0, 0, 0, _NONE, _NONE, _NONE, b"", 0, b"", b"", 0, 0)
    name = (node.name + "\0").encode("utf-16-le")
    length = 0 if node.kind == _STORAGE else len(node.data)
    return _ENTRY.pack(name, len(name), node.kind, node.black, *node.links, b"", 0, b"", b"", node.first, length)
