"""The compressed container of [MS-OVBA] 2.4.1, in which macros lie in their streams."""

from __future__ import annotations

import struct

_CHUNK = 4096


class BadProject(ValueError):
    """The macros are not as the specification has them."""


def compressed(data: bytes) -> bytes:
    """The container with these bytes, which must be text: others may not fit."""
    out = bytearray(b"\x01")
    for start in range(0, len(data), _CHUNK):
        chunk = data[start:start + _CHUNK]
        body = _compressed_chunk(chunk)
        if len(body) > _CHUNK:
            if len(chunk) < _CHUNK:
                raise BadProject("the end of a macro cannot be compressed; it is hardly text")
            out += struct.pack("<H", 0x3000 | (_CHUNK - 1)) + chunk
        else:
            out += struct.pack("<H", 0xB000 | (len(body) - 1)) + body
    return bytes(out)


def _compressed_chunk(chunk: bytes) -> bytes:
    out = bytearray()
    seen: dict[bytes, list[int]] = {}  # where three bytes stood before
    position = 0
    while position < len(chunk):
        flags, tokens = 0, bytearray()
        for bit in range(8):
            if position >= len(chunk):
                break
            length_bits = _length_bits(position)
            most = min((1 << length_bits) + 2, len(chunk) - position)
            length, where = 0, 0
            for candidate in reversed(seen.get(chunk[position:position + 3], [])[-64:]):
                matched = 3
                while matched < most and chunk[candidate + matched] == chunk[position + matched]:
                    matched += 1
                if length < matched <= most:
                    length, where = matched, candidate
            step = max(length, 1)
            if length:
                flags |= 1 << bit
                tokens += struct.pack("<H", (position - where - 1) << length_bits | (length - 3))
            else:
                tokens.append(chunk[position])
            for passed in range(position, position + step):
                seen.setdefault(chunk[passed:passed + 3], []).append(passed)
            position += step
        out.append(flags)
        out += tokens
    return bytes(out)


def _length_bits(position: int) -> int:
    """How many of a copy token's 16 bits tell the length, where so much of the chunk is already there."""
    return 16 - max(4, (position - 1).bit_length() if position else 0)


def decompressed(data: bytes) -> bytes:
    """The bytes in a compressed container."""
    if data[:1] != b"\x01":
        raise BadProject("a compressed container does not begin with its signature")
    out = bytearray()
    position = 1
    while position + 2 <= len(data):
        (header,) = struct.unpack_from("<H", data, position)
        end = min(position + (header & 0x0FFF) + 3, len(data))
        position += 2
        start = len(out)
        if not header & 0x8000:
            out += data[position:end]
        while header & 0x8000 and position < end:
            flags = data[position]
            position += 1
            for bit in range(8):
                if position >= end:
                    break
                if flags >> bit & 1:
                    (token,) = struct.unpack_from("<H", data, position)
                    bits = _length_bits(len(out) - start)
                    back, length = (token >> bits) + 1, (token & (1 << bits) - 1) + 3
                    if back > len(out) - start:
                        raise BadProject("a compressed container points before its start")
                    for _ in range(length):
                        out.append(out[-back])
                    position += 2
                else:
                    out.append(data[position])
                    position += 1
        position = end
    return bytes(out)
