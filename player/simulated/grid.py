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

from patterns.areas import split
from patterns.frame import Frame

MOST_COLUMNS, MOST_ROWS = 480, 270
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


@lru_cache(maxsize=16)
def grid_for(width: int, height: int, columns: int = 0, rows: int = 0) -> Grid:
    """The grid of a picture in pixels, with a backlight of columns x rows zones or none."""
    xs, zone_xs = _edges(width, MOST_COLUMNS, columns)
    ys, zone_ys = _edges(height, MOST_ROWS, rows)
    return Grid(width, height, xs, ys, zone_xs, zone_ys)


def _edges(side: int, most: int, zones: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    between = split(side, zones) if zones else []
    edges = np.unique([*split(side, min(side, most)), *between]).astype(np.intp)
    return edges, np.searchsorted(edges, between).astype(np.intp)


def cells_of(frame: Frame, grid: Grid, light: Light) -> tuple[Floats, Floats]:
    """Means (rows, columns, 3) and largest channel (rows, columns) of each cell."""
    sums, peaks = _across(frame.rows, grid.xs, light)
    sums = sums / grid.widths[:, np.newaxis]
    # picture rows that are alike within one row of cells count as one, with its height as weight
    order = frame.order
    starts = np.concatenate(([True], order[1:] != order[:-1]))
    starts[grid.ys[:-1]] = True
    tops = np.flatnonzero(starts)
    lengths = np.diff(tops, append=grid.height)
    first = np.searchsorted(tops, grid.ys[:-1])
    weighted = sums[order[tops]] * lengths[:, np.newaxis, np.newaxis]
    means = np.add.reduceat(weighted, first, axis=0) / grid.heights[:, np.newaxis, np.newaxis]
    return means, np.maximum.reduceat(peaks[order[tops]], first, axis=0)


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
