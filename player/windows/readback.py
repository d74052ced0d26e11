"""Whether the back buffer holds a frame: every pixel compared, as integers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from player.outputs.base import Guard

Packed = NDArray[np.uint32]
"""One pixel a number: red in the lowest bits, then green, then blue."""

_BLOCK = 128  # picture rows compared at a time: small enough to stay in a processor's cache


def packed_rows(frame: Frame, bits: int) -> Packed:
    """The frame's distinct rows (k, width) as one number a pixel, at 8 or 10 bits a channel."""
    rows = frame.rows.astype(np.uint32)
    packed: Packed = (
        rows[..., 0] | rows[..., 1] << np.uint32(bits) | rows[..., 2] << np.uint32(2 * bits)
    )
    return packed


def compare(got: Packed, frame: Frame, bits: int, covered: int = 0) -> Guard:
    """Compare what was read back with the frame.

    Args:
        got: (height, width) as read from the back buffer, top row first; bits above the three
            channels are ignored.
        frame: what should be there.
        bits: 8 or 10 a channel.
        covered: rows at the bottom that the operator strip covers; they are not compared, and
            the guard says `altered` for them.
    """
    if got.shape != (frame.height, frame.width):
        height, width = got.shape
        return Guard(
            "altered",
            f"the back buffer has {width}x{height} pixels, the frame {frame.width}x{frame.height}",
        )
    rows = packed_rows(frame, bits)
    used = np.uint32((1 << (3 * bits)) - 1)
    seen = frame.height - covered
    if not _alike(got, rows | (got[0, 0] & ~used), frame, seen):
        wrong, first = _differences(got, rows, frame, seen, used)
        if first is not None:
            return _altered(got, frame, bits, wrong, first)
    if covered:
        return Guard(
            "altered",
            f"the operator strip covers the bottom {covered} of {frame.height} rows; "
            "all pixels above it are right",
        )
    return Guard(
        "verified", f"all {frame.width * frame.height} pixels of the back buffer are right"
    )


def _alike(got: Packed, rows: Packed, frame: Frame, seen: int) -> bool:
    """Whether all is as it should be, spare bits too: the usual case, and the quickest way."""
    for start, length, row in frame.runs():
        if not (got[start : min(start + length, seen)] == rows[row]).all():
            return False
    return True


def _differences(
    got: Packed, rows: Packed, frame: Frame, seen: int, used: np.uint32
) -> tuple[int, tuple[int, int] | None]:
    """Number of wrong pixels, and x and y of the first."""
    wrong = 0
    first: tuple[int, int] | None = None
    for top in range(0, seen, _BLOCK):
        end = min(top + _BLOCK, seen)
        differ = (got[top:end] & used) != rows[frame.order[top:end]]
        count = int(np.count_nonzero(differ))
        if count and first is None:
            y, x = (int(each) for each in np.unravel_index(int(differ.argmax()), differ.shape))
            first = (x, top + y)
        wrong += count
    return wrong, first


def _altered(got: Packed, frame: Frame, bits: int, wrong: int, first: tuple[int, int]) -> Guard:
    x, y = first
    there = tuple((int(got[y, x]) >> (bits * channel)) & ((1 << bits) - 1) for channel in range(3))
    meant = tuple(int(code) for code in frame.rows[frame.order[y], x])
    return Guard(
        "altered",
        f"{wrong} of {frame.width * frame.height} pixels are wrong; the first is at x {x}, y {y}: "
        f"code {there} instead of {meant}",
    )
