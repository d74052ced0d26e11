"""The picture on a coarse grid: exact area means of what each pixel asks for.

Cells are whole pixels, at most 480 x 270 of them, cut once more where zones of the backlight meet
so that each cell lies in one zone. Only the distinct rows of a frame are worked through.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from patterns.picture.canvas import split
from patterns.picture.frame import Frame

MOST_COLUMNS, MOST_ROWS = 480, 270
EVEN = (1.0, 1.0)
"""Widths of the first and the last zone of an axis where all are alike."""
AT_ONCE = 2_000_000
"""Pixels worked through at a time, to bound the memory."""

Floats = NDArray[np.float64]
Light = Callable[[NDArray[np.uint16]], Floats]
"""Codes (n, 3) to what the display's channels are asked for (n, 3)."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Where the cells of a picture lie. Edges are in pixels, from 0 to the side's length."""

    width: int
    height: int
    xs: NDArray[np.intp]
    """Edges of the cell columns, rising, n + 1 of them."""
    ys: NDArray[np.intp]
    """Edges of the cell rows."""
    zone_xs: NDArray[np.intp]
    """Index into `xs` of the edges of the zones; empty without zones."""
    zone_ys: NDArray[np.intp]

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of cells."""
        return len(self.ys) - 1, len(self.xs) - 1

    @property
    def widths(self) -> NDArray[np.intp]:
        """Pixels across each cell column."""
        return np.diff(self.xs)

    @property
    def heights(self) -> NDArray[np.intp]:
        """Pixels down each cell row."""
        return np.diff(self.ys)

    @property
    def centres(self) -> tuple[Floats, Floats]:
        """x of the cell columns and y of the cell rows, in picture heights."""
        return (
            (self.xs[:-1] + self.xs[1:]) / (2 * self.height),
            (self.ys[:-1] + self.ys[1:]) / (2 * self.height),
        )

    def mean(self, cells: Floats) -> Floats:
        """Mean over the picture of cells (rows, columns, ...): shape (...)."""
        down = np.tensordot(self.heights, cells, axes=(0, 0))
        mean: Floats = np.tensordot(self.widths, down, axes=(0, 0)) / (self.width * self.height)
        return mean


@dataclass(frozen=True, eq=False)
class Cells:
    """What a frame asks of the cells of a grid, each distinct row of cells kept once."""

    means: Floats
    """(k, columns, 3) means of the channels' light, 0 to 1."""
    peaks: Floats
    """(k, columns) largest channel of the brightest pixel, 0 to 1."""
    order: NDArray[np.intp]
    """(rows,) index of each row of cells into these."""


@lru_cache(maxsize=16)
def grid_for(
    width: int,
    height: int,
    columns: int = 0,
    rows: int = 0,
    across: tuple[float, float] = EVEN,
    down: tuple[float, float] = EVEN,
) -> Grid:
    """The grid of a picture in pixels, with a backlight of columns x rows zones or none.

    `across` and `down` are the widths of the first and the last zone of their axis, in zones of
    the usual pitch.
    """
    xs, zone_xs = _edges(width, MOST_COLUMNS, columns, across)
    ys, zone_ys = _edges(height, MOST_ROWS, rows, down)
    return Grid(width, height, xs, ys, zone_xs, zone_ys)


def zone_edges(zones: int, ends: tuple[float, float] = EVEN) -> Floats:
    """Edges (zones + 1,) of the zones of an axis, as shares of its length, rising from 0 to 1."""
    widths = np.ones(zones)
    if zones > 1:
        widths[0], widths[-1] = ends
    edges: Floats = np.concatenate(([0.0], np.cumsum(widths))) / widths.sum()
    return edges


def _edges(
    side: int, most: int, zones: int, ends: tuple[float, float]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    if not zones or ends == EVEN:
        between = split(side, zones) if zones else []
    else:
        between = np.floor(zone_edges(zones, ends) * side + 0.5).astype(int).tolist()
    edges = np.unique([*split(side, min(side, most)), *between]).astype(np.intp)
    return edges, np.searchsorted(edges, between).astype(np.intp)


def cells_of(frame: Frame, grid: Grid, light: Light) -> Cells:
    """What a frame asks of each cell."""
    sums, peaks = _across(frame.rows, grid.xs, light)
    sums = sums / grid.widths[:, np.newaxis]
    # picture rows that are alike within one row of cells count as one, with its height as weight
    order = frame.order
    starts = np.concatenate(([True], order[1:] != order[:-1]))
    starts[grid.ys[:-1]] = True
    tops = np.flatnonzero(starts)
    lengths = np.diff(tops, append=grid.height)
    first = np.searchsorted(tops, grid.ys[:-1])
    counts = np.diff(first, append=len(tops))
    # most rows of cells hold one row of the frame throughout, many of them the same one
    keys = np.where(counts == 1, order[tops[first]], len(frame.rows) + np.arange(len(first)))
    _, chosen, places = np.unique(keys, return_index=True, return_inverse=True)
    counts = counts[chosen]
    begin = np.cumsum(counts) - counts
    parts = np.repeat(first[chosen] - begin, counts) + np.arange(counts.sum())
    rows = order[tops[parts]]
    weighted = sums[rows] * lengths[parts, np.newaxis, np.newaxis]
    means = np.add.reduceat(weighted, begin, axis=0) / grid.heights[chosen, np.newaxis, np.newaxis]
    return Cells(means, np.maximum.reduceat(peaks[rows], begin, axis=0), places)


def _across(rows: NDArray[np.uint16], xs: NDArray[np.intp], light: Light) -> tuple[Floats, Floats]:
    """Sums (k, columns, 3) and largest channel (k, columns) over the cells of each row."""
    count, width, _ = rows.shape
    sums = np.empty((count, len(xs) - 1, 3))
    peaks = np.empty((count, len(xs) - 1))
    step = max(1, AT_ONCE // width)
    for top in range(0, count, step):
        part = rows[top : top + step]
        # stretches of one colour within one cell
        starts = np.ones((len(part), width), bool)
        starts[:, 1:] = (part[:, 1:] != part[:, :-1]).any(axis=2)
        starts[:, xs[:-1]] = True
        at = np.flatnonzero(starts)
        asked = light(part.reshape(-1, 3)[at])
        cells = (np.arange(len(part))[:, np.newaxis] * width + xs[:-1]).ravel()
        first = np.searchsorted(at, cells)
        lengths = np.diff(at, append=part.shape[0] * width)
        shape = (len(part), len(xs) - 1)
        summed = np.add.reduceat(asked * lengths[:, np.newaxis], first, axis=0)
        sums[top : top + step] = summed.reshape(*shape, 3)
        peaks[top : top + step] = np.maximum.reduceat(asked.max(axis=1), first).reshape(shape)
    return sums, peaks
