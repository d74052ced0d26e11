"""The boxes of an mp4 file that the muxer cannot write: read, changed, written back.

ISO/IEC 14496-12 (boxes; ``mdcv`` and ``clli`` in the visual sample entry, clause 12.1) and
14496-15 (``hvcC``), from memory. All of them lie in ``moov``, which stands last in the file, so
that no chunk offset changes.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from patterns.files.light import Light, chromaticity_units
from patterns.video.content import whole
from patterns.video.levels import Level
from patterns.video.nal import PTL_AT, TIER_BIT, kind_of, with_level

HOLDERS = (b"moov", b"trak", b"mdia", b"minf", b"stbl")
ENTRY_FIELDS = 78
"""Bytes of a visual sample entry before its boxes."""
LIST_FIELDS = 8
"""Bytes of ``stsd`` before its entries."""
RECORD_LEVEL_AT, RECORD_ARRAYS_AT = 12, 22
"""Of the decoder configuration record: general_level_idc, and numOfArrays."""

Change = Callable[[bytes], bytes]


def box(name: bytes, content: bytes) -> bytes:
    """One box."""
    return struct.pack(">I4s", 8 + len(content), name) + content


def boxes(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Names and contents of the boxes in some bytes.

    Raises:
        ValueError: they are not whole boxes.
    """
    at = 0
    while at < len(data):
        if at + 8 > len(data):
            raise ValueError("a box is cut off")
        size, name = struct.unpack_from(">I4s", data, at)
        head = 8
        if size == 1 and at + 16 <= len(data):
            size, head = struct.unpack_from(">Q", data, at + 8)[0], 16
        if size < head or at + size > len(data):
            raise ValueError(f"box {name.decode('latin-1')} is cut off")
        yield name, data[at + head : at + size]
        at += size


def top_level(file: BinaryIO) -> list[tuple[bytes, int, int]]:
    """Name, place and size of the boxes of a whole file.

    Raises:
        ValueError: the file ends within a box.
    """
    end = file.seek(0, 2)
    at, found = 0, []
    while at < end:
        file.seek(at)
        head = file.read(16)
        size, name = struct.unpack(">I4s", head[:8].ljust(8, b"\0"))
        if size == 1 and len(head) == 16:
            size = struct.unpack(">Q", head[8:])[0]
        if size < 8 or at + size > end:
            raise ValueError("the file is cut off")
        found.append((name, at, size))
        at += size
    return found


def finish(path: Path, level: Level, light: Light | None) -> None:
    """State level and tier in the sample entry of an ``hvc1`` file, and the light of an HDR10 one.

    Raises:
        ValueError: the file is not whole, or its ``moov`` is not last.
        OSError: as the operating system has it.
    """
    with path.open("r+b") as file:
        parts = top_level(file)
        name, at, size = parts[-1]
        if name != b"moov" or {each for each, _, _ in parts} != {b"ftyp", b"free", b"mdat", name}:
            raise ValueError("the file is not as the muxer writes it")
        file.seek(at)
        moov = file.read(size)
        file.seek(at)
        file.write(_rebuilt(moov, lambda entry: _entry(entry, level, light)))
        file.truncate()


def _rebuilt(data: bytes, change: Change) -> bytes:
    """The boxes anew, with the content of every ``hvc1`` sample entry changed."""
    out = []
    for name, content in boxes(data):
        made = content
        if name in HOLDERS:
            made = _rebuilt(content, change)
        elif name == b"stsd":
            entries = boxes(content[LIST_FIELDS:])
            made = content[:LIST_FIELDS] + b"".join(
                box(kind, change(entry) if kind == b"hvc1" else entry) for kind, entry in entries
            )
        out.append(box(name, made))
    return b"".join(out)


def _entry(content: bytes, level: Level, light: Light | None) -> bytes:
    out = [content[:ENTRY_FIELDS]]
    for name, inner in boxes(content[ENTRY_FIELDS:]):
        out.append(box(name, _record(inner, level) if name == b"hvcC" else inner))
        if name == b"colr" and light is not None:
            out += [mdcv(light), clli(light)]
    return b"".join(out)


def _record(record: bytes, level: Level) -> bytes:
    """The decoder configuration record with level and tier, there and in its parameter sets."""
    head = bytearray(record[: RECORD_ARRAYS_AT + 1])
    head[1] = head[1] & ~TIER_BIT | (TIER_BIT if level.high else 0)
    head[RECORD_LEVEL_AT] = level.idc
    out, at = [bytes(head)], len(head)
    for _ in range(head[RECORD_ARRAYS_AT]):
        _, count = struct.unpack_from(">BH", record, at)
        out.append(record[at : at + 3])
        at += 3
        for _ in range(count):
            (size,) = struct.unpack_from(">H", record, at)
            unit = record[at + 2 : at + 2 + size]
            at += 2 + size
            if kind_of(unit) in PTL_AT:
                unit = with_level(unit, level.idc, high=level.high)
            out.append(struct.pack(">H", len(unit)) + unit)
    return b"".join(out)


def mdcv(light: Light) -> bytes:
    """Mastering display colour volume: G, B, R, white in 0.00002; luminances in 0.0001 cd/m2."""
    space = light.primaries
    points = (space.green, space.blue, space.red, space.white)
    places = [each for point in points for each in chromaticity_units(point)]
    return box(b"mdcv", struct.pack(">8H2I", *places, light.max_mastering, light.min_mastering))


def clli(light: Light) -> bytes:
    """Content light level: MaxCLL and MaxFALL in whole cd/m2."""
    return box(b"clli", struct.pack(">2H", whole(light.max_cll), whole(light.max_fall)))
