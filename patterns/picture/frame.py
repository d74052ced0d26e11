"""A frame: the exact code values of one instant, as its distinct rows and their order."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.signal.signal import Codes, Signal

Rows = NDArray[np.uint16]


@dataclass(frozen=True, eq=False)
class Frame:
    """Distinct rows, and the order they are stacked in.

    Args:
        rows: (k, width, 3) uint16, codes of R, G, B; no two rows alike.
        order: (height,) index of each picture row into ``rows``, top first.
        signal: what the codes mean.
        inks: codes of the levels by name, as mixed: ``{"level": (502, 502, 502)}``.
        facts: what is true of this frame and worth keeping: its real area, what was clipped.
    """

    rows: Rows
    order: NDArray[np.uint16]
    signal: Signal
    inks: Mapping[str, Codes] = field(default_factory=dict)
    facts: Mapping[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.rows.ndim != 3 or self.rows.shape[2] != 3 or self.rows.dtype != np.uint16:
            raise PatternError("The rows of a frame are uint16 of shape (k, width, 3).")
        if self.order.ndim != 1 or self.order.dtype != np.uint16 or len(self.order) == 0:
            raise PatternError("The order of a frame's rows is uint16 of shape (height,).")
        if int(self.order.max()) >= len(self.rows):
            raise PatternError("A frame's order names a row that is not there.")
        self.rows.setflags(write=False)
        self.order.setflags(write=False)

    @property
    def width(self) -> int:
        """Pixels in a row."""
        return int(self.rows.shape[1])

    @property
    def height(self) -> int:
        """Rows in the picture."""
        return len(self.order)

    def pixels(self) -> Rows:
        """The whole image, (height, width, 3) uint16. Large: 50 MB at 3840x2160."""
        return self.rows[self.order]

    @cached_property
    def sha256(self) -> str:
        """SHA-256 of the picture, row by row: of the SHA-256 digests of its rows, top first.

        Each row is hashed as R, G, B in little-endian 16 bits, left to right; the 32-byte digests
        are joined in picture order and hashed again. So the hash belongs to the pixels alone, and
        rows that are alike are hashed once.
        """
        digests = [
            hashlib.sha256(row.astype("<u2", copy=False).tobytes()).digest() for row in self.rows
        ]
        return hashlib.sha256(b"".join([digests[row] for row in self.order.tolist()])).hexdigest()

    def runs(self) -> list[tuple[int, int, int]]:
        """Stretches of one row: (first picture row, number of rows, index into ``rows``)."""
        edges = np.flatnonzero(np.diff(self.order.astype(np.int32))) + 1
        starts = [0, *edges.tolist()]
        ends = [*edges.tolist(), self.height]
        return [(a, b - a, int(self.order[a])) for a, b in zip(starts, ends, strict=True)]

    @cached_property
    def census(self) -> tuple[NDArray[np.uint16], NDArray[np.int64]]:
        """Distinct colours (n, 3) and the number of pixels of each (n,)."""
        weights = np.bincount(self.order, minlength=len(self.rows))
        red, green, blue = (self.rows[..., channel] for channel in range(3))
        if np.array_equal(red, green) and np.array_equal(red, blue):
            keys, counts = _counted(np.ascontiguousarray(red), weights)
            return np.stack([keys] * 3, axis=-1).astype(np.uint16), counts
        keys, counts = _counted(self.rows.astype(np.uint64) @ _PLACES, weights)
        colours = np.stack([(keys >> shift) & np.uint64(0xFFFF) for shift in _SHIFTS], axis=-1)
        return colours.astype(np.uint16), counts

    @cached_property
    def mean_level(self) -> float:
        """Mean of the signal E' over pixels and channels, percent; exact sums, one division."""
        colours, counts = self.census
        quantiser = self.signal.quantiser
        total = int((colours.astype(np.int64).sum(axis=1) * counts).sum())
        samples = 3 * self.width * self.height
        span = quantiser.white - quantiser.black
        return 100 * (total - samples * quantiser.black) / (samples * span)

    @cached_property
    def lit_area(self) -> float:
        """Share of pixels with any channel above reference black, percent."""
        colours, counts = self.census
        lit = counts[colours.max(axis=1) > self.signal.quantiser.black].sum()
        return 100 * int(lit) / (self.width * self.height)

    @cached_property
    def max_cll(self) -> float:
        """Largest max(R, G, B) in linear light, cd/m2 (MaxCLL of CTA-861.3-A, from memory)."""
        return float(self._brightest_channel().max())

    @cached_property
    def max_fall(self) -> float:
        """Mean over the frame of max(R, G, B) in linear light, cd/m2 (MaxFALL)."""
        _, counts = self.census
        brightest = self._brightest_channel()
        mean = float(brightest @ counts) / (self.width * self.height)
        return min(mean, float(brightest.max()))  # a sum of equals may end a hair above them

    def _brightest_channel(self) -> NDArray[np.float64]:
        colours, _ = self.census
        brightest: NDArray[np.float64] = self.signal.light(colours).max(axis=1)
        return brightest


_SHIFTS = (np.uint64(32), np.uint64(16), np.uint64(0))
_PLACES = np.array([1 << int(shift) for shift in _SHIFTS], np.uint64)


def _counted(
    values: NDArray[np.unsignedinteger], weights: NDArray[np.integer]
) -> tuple[NDArray[np.unsignedinteger], NDArray[np.int64]]:
    """Distinct values of rows (k, width), and how often each stands in a picture of those rows.

    ``weights`` (k,) says how many rows of the picture each row makes. Most rows are a few stretches
    of one colour, so stretches are counted, not pixels.
    """
    begins = np.ones(values.shape, bool)
    np.not_equal(values[:, 1:], values[:, :-1], out=begins[:, 1:])
    starts = np.flatnonzero(begins)
    lengths = np.diff(starts, append=values.size) * weights[starts // values.shape[1]]
    stretches = values.ravel()[starts]
    # counts stay below 2**53, where sums of floats are exact
    if values.dtype == np.uint16:
        totals = np.bincount(stretches, lengths.astype(np.float64))
        used = np.flatnonzero(totals)
        return used.astype(np.uint16), totals[used].astype(np.int64)
    keys, places = np.unique(stretches, return_inverse=True)
    return keys, np.bincount(places, lengths.astype(np.float64)).astype(np.int64)


def distinct_rows(rows: Rows) -> tuple[Rows, NDArray[np.uint16]]:
    """Keep each distinct row once, in order of first appearance, and say where each goes."""
    seen: dict[bytes, int] = {}
    kept: list[int] = []
    order = np.empty(len(rows), np.uint16)
    for index, row in enumerate(rows):
        key = row.tobytes()
        if key not in seen:
            seen[key] = len(kept)
            kept.append(index)
        order[index] = seen[key]
    # a picture of thousands of rows is large: no copy where none is needed
    distinct = rows if len(kept) == len(rows) else rows[kept]
    return np.ascontiguousarray(distinct), order


def alike(one: Frame, other: Frame) -> bool:
    """Whether two frames of one pattern have the same codes (as far as their rows tell)."""
    return (
        one.rows.shape == other.rows.shape
        and np.array_equal(one.order, other.order)
        and np.array_equal(one.rows, other.rows)
    )
