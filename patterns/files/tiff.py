"""16-bit RGB TIFF, in strips packed with deflate after horizontal differencing.

TIFF 6.0 (1992-06-03), sections 8 and 14; deflate from TIFF Technical Note 2 (2002). TIFF has no
tag for PQ or HLG, so the signal and the container rule stand as text in ImageDescription.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np

from patterns.files.base import Item, sampled_room
from patterns.files.container import container16, container_rule, container_text
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal

STRIP = 48
"""Rows in a strip: many periods divide it, and then strips are alike."""


class TiffFormat:
    """TIFF, for players and programs that do not read 16-bit PNG."""

    suffix = ".tiff"
    states_light = False
    summary = "16-bit RGB stills for programs without 16-bit PNG; the signal as a description"

    def rule(self, signal: Signal) -> str:
        return container_rule(signal)

    def room(self, item: Item) -> int:
        return 2 * sampled_room(item.frame) + STRIP * 6 * item.frame.width

    def write(self, item: Item, path: Path) -> None:
        with path.open("xb") as file:
            write_tiff(item.frame, file, item.label)


def write_tiff(frame: Frame, file: BinaryIO, title: str = "") -> None:
    """Write the frame as TIFF to a file open for writing (and seekable).

    Raises:
        PatternError: a code of the frame is larger than its bit depth holds.
    """
    from tifffile import TiffWriter

    words = [_ascii(title), container_text(frame.signal)]
    with TiffWriter(file, byteorder="<") as writer:
        writer.write(
            _strips(container16(frame)),
            shape=(frame.height, frame.width, 3),
            dtype=np.uint16,
            photometric="rgb",
            compression="zlib",
            predictor=True,
            rowsperstrip=STRIP,
            description="; ".join(word for word in words if word),
            software="Litfield",
            metadata=None,
        )


def _strips(frame: Frame) -> Iterator[bytes]:
    """Packed strips from the top; strips of the same rows are packed once."""
    from isal import isal_zlib

    rows = frame.rows.copy()
    rows[:, 1:] -= frame.rows[:, :-1]
    rows = rows.astype("<u2", copy=False)
    done: dict[bytes, bytes] = {}
    for top in range(0, frame.height, STRIP):
        order = frame.order[top : top + STRIP]
        key = order.tobytes()
        if key not in done:
            done[key] = isal_zlib.compress(rows[order].tobytes(), 1)
        yield done[key]


def _ascii(text: str) -> str:
    """The text in the ASCII that the tag holds; other signs become question marks."""
    return "".join(each if each.isascii() and each.isprintable() else "?" for each in text)
