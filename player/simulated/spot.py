"""The cells under a round spot, and how much each counts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from player.simulated.grid import Grid

Floats = NDArray[np.float64]
Window = tuple[slice, slice]
"""Rows and columns of cells."""
EVERYTHING: Window = (slice(None), slice(None))


@dataclass(frozen=True, eq=False)
class Spot:
    """The part of a grid that a spot touches."""

    window: Window
    weights: Floats
    """(rows, columns) of the window; they sum to 1."""


@lru_cache(maxsize=64)
def spot_on(grid: Grid, x: float, y: float, diameter: float) -> Spot:
    """A round spot with an edge one cell soft; at least the cell in its middle.

    `x` and `y` are shares of width and height from the top left, `diameter` is in picture heights.
    """
    xs, ys = grid.centres
    across = xs - x * grid.width / grid.height
    down = ys - y
    cell = 1 / grid.shape[0]
    reach = diameter / 2 + cell / 2
    window = _near(down, reach), _near(across, reach)
    distance = np.hypot(across[window[1]], down[window[0], np.newaxis])
    weights = np.clip((diameter / 2 - distance) / cell + 0.5, 0.0, 1.0)
    if not weights.any():
        weights[np.unravel_index(distance.argmin(), distance.shape)] = 1.0
    weights *= np.multiply.outer(grid.heights[window[0]], grid.widths[window[1]])
    return Spot(window, weights / weights.sum())


def _near(places: Floats, reach: float) -> slice:
    """The stretch of rising `places` within `reach` of 0, or the one that is nearest."""
    first, last = np.searchsorted(places, (-reach, reach))
    nearest = int(np.abs(places).argmin())
    return slice(min(int(first), nearest), max(int(last), nearest + 1))
