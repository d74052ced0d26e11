"""Marks beside the steps of a ladder: ticks at their edges and their numbers, in small figures.

They stand in strips along two borders, outside the steps. Geometry of our own; all its lengths
are multiples of one unit, the side of a dot of the figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import count, pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]

FIGURES = ("75557", "26227", "71747", "71317", "55711", "74717", "74757", "71222", "75757", "75717")
"""0 to 9: five lines of three dots, each an octal digit."""
TICK, GAP, TALL, FREE = 3, 1, 5, 2
"""From the steps outwards along x: tick, gap, figures, and what stays free at the border."""
DEPTH = {"x": TICK + GAP + TALL + FREE, "y": TICK + GAP + 4 * 4 - 1 + FREE}
"""Depth of a strip: under steps side by side, and beside stacked ones (four figures wide)."""


def unit_of(side: int) -> int:
    """Pixels of a unit on a canvas whose shorter side has so many."""
    return max(1, side // 270)


def strip(edges: Sequence[int], axis: Literal["x", "y"], unit: int, *, after: bool) -> Mask:
    """The strip after (below, right of) the steps or before them; True where there is a mark.

    ``edges`` are those of the steps along the axis, from 0 to its length in pixels. The mask is
    (depth, length) for x and (length, depth) for y.
    """
    length, depth = edges[-1], DEPTH[axis] * unit
    mask = np.zeros((depth, length) if axis == "x" else (length, depth), np.bool_)
    # along the axis, and from the steps outwards
    inner = slice(0, TICK * unit) if after else slice(depth - TICK * unit, depth)
    for start, end in _ticks(edges, unit):
        mask[(inner, slice(start, end)) if axis == "x" else (slice(start, end), inner)] = True
    for number in _numbered(edges, axis, unit):
        dots = figures(number, unit)
        high, wide = dots.shape
        along, out = (wide, high) if axis == "x" else (high, wide)
        if out + (TICK + GAP) * unit > depth:
            continue
        start = min(max((edges[number - 1] + edges[number] - along) // 2, 0), length - along)
        away = (TICK + GAP) * unit if after else depth - (TICK + GAP) * unit - out
        top, left = (away, start) if axis == "x" else (start, away)
        mask[top : top + high, left : left + wide] |= dots
    return mask


def figures(number: int, unit: int) -> Mask:
    """A number in figures of 3 by 5 dots, a dot apart."""
    lines = [
        [digit >> place & 1 for text in str(number) for digit in [int(FIGURES[int(text)][line])]
         for place in (2, 1, 0, 3)]
        for line in range(TALL)
    ]  # fmt: skip
    dots = np.array(lines, np.bool_)[:, :-1]
    return np.repeat(np.repeat(dots, unit, axis=0), unit, axis=1)


def _ticks(edges: Sequence[int], unit: int) -> Iterator[tuple[int, int]]:
    """Start and end of each tick along the axis; none where steps are narrower than four."""
    thick = max(1, unit // 2)
    if min(end - start for start, end in pairwise(edges)) < 4 * thick:
        return
    for edge in edges:
        start = min(max(edge - thick // 2, 0), edges[-1] - thick)
        yield start, start + thick


def _numbered(edges: Sequence[int], axis: Literal["x", "y"], unit: int) -> range:
    """The steps that have their numbers: all, or every 2nd, 5th, 10th ... from the first."""
    steps = len(edges) - 1
    along = (4 * len(str(steps)) - 1 if axis == "x" else TALL) + 2 * GAP
    strides = (base * 10**tens for tens in count() for base in (1, 2, 5))
    stride = next(each for each in strides if each * edges[-1] >= steps * along * unit)
    return range(1, steps + 1, stride)
