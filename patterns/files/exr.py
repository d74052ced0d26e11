"""OpenEXR of the intended light: what the codes mean, in cd/m2, without any transfer.

OpenEXR file layout, openexr.com "OpenEXR File Layout" (from memory; read back with FFmpeg):
single part, scan lines, three channels of 32-bit float, ZIP in blocks of 16 lines. R, G and B are
linear light of the signal's own primaries, which the attribute ``chromaticities`` names;
``whiteLuminance`` is 1, since R = G = B = 1 means 1 cd/m2.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from patterns.files.base import Item, sampled_room
from patterns.files.container import signal_text
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal

MAGIC, VERSION = 20_000_630, 2
BLOCK = 16
"""Scan lines that ZIP compresses together."""
ZIP, FLOAT, INCREASING_Y = 3, 2, 0
KEPT = 64
"""Compressed blocks that are kept, since most blocks of a pattern are alike."""


class ExrFormat:
    """OpenEXR, for programs that compare pictures in absolute light."""

    suffix = ".exr"
    states_light = False
    summary = "OpenEXR stills of the intended light in cd/m2, 32-bit float, for programs"

    def rule(self, signal: Signal) -> str:
        return f"linear light in cd/m2, primaries {signal.primaries.name}, 32-bit float"

    def room(self, item: Item) -> int:
        return 2 * sampled_room(item.frame)

    def write(self, item: Item, path: Path) -> None:
        with path.open("xb") as file:
            write_exr(item.frame, file, item.label)


def write_exr(frame: Frame, file: BinaryIO, title: str = "") -> None:
    """Write the light of the frame as OpenEXR to a file open for writing (and seekable)."""
    file.write(_header(frame, title))
    blocks = -(-frame.height // BLOCK)
    table = file.tell()
    file.write(bytes(8 * blocks))
    offsets = []
    for top, data in _blocks(frame):
        offsets.append(file.tell())
        file.write(struct.pack("<ii", top, len(data)))
        file.write(data)
    file.seek(table)
    file.write(struct.pack(f"<{blocks}Q", *offsets))


def _header(frame: Frame, title: str) -> bytes:
    channels = b"".join(
        name + b"\0" + struct.pack("<iB3xii", FLOAT, 0, 1, 1) for name in (b"B", b"G", b"R")
    )
    window = struct.pack("<4i", 0, 0, frame.width - 1, frame.height - 1)
    space = frame.signal.primaries
    points = [space.red, space.green, space.blue, space.white]
    places = [float(each) for point in points for each in point]
    attributes = [
        (b"channels", b"chlist", channels + b"\0"),
        (b"chromaticities", b"chromaticities", struct.pack("<8f", *places)),
        (b"comments", b"string", _words(frame.signal, title).encode()),
        (b"compression", b"compression", bytes([ZIP])),
        (b"dataWindow", b"box2i", window),
        (b"displayWindow", b"box2i", window),
        (b"lineOrder", b"lineOrder", bytes([INCREASING_Y])),
        (b"pixelAspectRatio", b"float", struct.pack("<f", 1)),
        (b"screenWindowCenter", b"v2f", struct.pack("<2f", 0, 0)),
        (b"screenWindowWidth", b"float", struct.pack("<f", 1)),
        (b"software", b"string", b"Litfield"),
        (b"whiteLuminance", b"float", struct.pack("<f", 1)),
    ]
    parts = [struct.pack("<2i", MAGIC, VERSION)]
    parts += [
        name + b"\0" + kind + b"\0" + struct.pack("<i", len(value)) + value
        for name, kind, value in attributes
    ]
    return b"".join([*parts, b"\0"])


def _words(signal: Signal, title: str) -> str:
    comment = f"R, G, B in cd/m2; from codes: {signal_text(signal)}"
    return f"{title}; {comment}" if title else comment


def _blocks(frame: Frame) -> Iterator[tuple[int, bytes]]:
    """First line and content of each block; blocks of the same rows are made once."""
    done: dict[bytes, bytes] = {}
    for top in range(0, frame.height, BLOCK):
        order = frame.order[top : top + BLOCK]
        key = order.tobytes()
        if key not in done:
            if len(done) == KEPT:
                done.clear()
            done[key] = _packed(frame, order)
        yield top, done[key]


def _packed(frame: Frame, order: NDArray[np.uint16]) -> bytes:
    from isal import isal_zlib

    used, lines = np.unique(order, return_inverse=True)
    light = frame.signal.light(frame.rows[used]).astype("<f4")
    # each line has all of B, then all of G, then all of R
    planes = np.ascontiguousarray(light[..., ::-1].transpose(0, 2, 1))[lines]
    raw = planes.view(np.uint8).ravel()
    # ZIP's filter: bytes in even places, then those in odd ones, as differences about 128
    split = np.concatenate([raw[0::2], raw[1::2]])
    split[1:] -= split[:-1].copy()
    split[1:] += np.uint8(128)
    packed: bytes = isal_zlib.compress(split.tobytes(), 1)
    # a block that would grow is kept as it is, without the filter
    return packed if len(packed) < raw.size else raw.tobytes()
