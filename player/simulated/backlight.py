"""A backlight of zones: how hard each is driven, and what light arrives behind the panel.

The light of a zone spreads as a sum of round Gaussian halos. A Gaussian over x and y is a product
of one over x and one over y, so that the light behind all cells is a product of three small
matrices. Each halo is scaled so that all zones fully on give 1 everywhere: a uniform white is
uniform.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from player.simulated.grid import Cells, Grid, zone_edges
from player.simulated.spot import EVERYTHING, Window
from player.simulated.zoned import Zoned

Floats = NDArray[np.float64]
Halos = list[tuple[float, Floats, Floats]]
ROUNDS = 3
"""How often the processor looks at what arrives and drives the zones harder."""


@dataclass(frozen=True, eq=False)
class Backlight:
    """The backlight of one picture size."""

    zoned: Zoned
    grid: Grid

    def drive(self, cells: Cells, headroom: float) -> Floats:
        """Drive (zone rows, zone columns), 0 to `headroom`; 1 is the mode's white when all are on.

        Args:
            cells: light asked of each cell, 0 to 1.
            headroom: 1 or more; what the LEDs can give above the mode's white.
        """
        if not self.zoned.dimming:
            return np.ones((self.zoned.rows, self.zoned.columns))
        most, mean = self._by_zone(cells)
        content = self.zoned.brightest * most + (1 - self.zoned.brightest) * mean
        content[content < self.zoned.threshold] = 0.0
        drive = np.maximum(np.power(content, self.zoned.lift), self.zoned.lowest)
        for _ in range(ROUNDS):
            arriving = spread(drive, self._to_zones)
            # up, never down: a zone between bright ones may have light to spare
            short = np.divide(content, arriving, out=np.ones_like(content), where=arriving > 0)
            drive = np.minimum(drive * np.maximum(short, 1.0), headroom)
        return drive

    def behind(self, drive: Floats, window: Window = EVERYTHING) -> Floats:
        """Light behind the panel (rows, columns) of a window's cells; linear in `drive`."""
        rows, columns = window
        return spread(
            drive, [(share, down[rows], across[columns]) for share, down, across in self._to_cells]
        )

    def mean(self, drive: Floats) -> float:
        """Mean drive over the area of the screen: a narrower zone counts for less."""
        return float(np.diff(self._down) @ drive @ np.diff(self._across))

    def _by_zone(self, cells: Cells) -> tuple[Floats, Floats]:
        """Largest and mean (zone rows, zone columns) of the cells' largest channels."""
        grid = self.grid
        across, down = grid.zone_xs[:-1], grid.zone_ys[:-1]
        peaks = np.maximum.reduceat(cells.peaks, across, axis=1)
        most = np.maximum.reduceat(peaks[cells.order], down, axis=0)
        sums = np.add.reduceat(cells.means.max(axis=2) * grid.widths, across, axis=1)
        light = np.add.reduceat(sums[cells.order] * grid.heights[:, np.newaxis], down, axis=0)
        size = np.multiply.outer(
            np.add.reduceat(grid.heights, down), np.add.reduceat(grid.widths, across)
        )
        return most, light / size

    @cached_property
    def _across(self) -> Floats:
        """Edges of the columns, shares of the width."""
        return zone_edges(self.zoned.columns, self.zoned.across)

    @cached_property
    def _down(self) -> Floats:
        """Edges of the rows, shares of the height."""
        return zone_edges(self.zoned.rows, self.zoned.down)

    @cached_property
    def _to_zones(self) -> Halos:
        return self._halos(_middles(self._across) * self._aspect, _middles(self._down))

    @cached_property
    def _to_cells(self) -> Halos:
        return self._halos(*self.grid.centres)

    @property
    def _aspect(self) -> float:
        return self.grid.width / self.grid.height

    def _halos(self, xs: Floats, ys: Floats) -> Halos:
        """How the zones' light arrives at places, in picture heights."""
        across = self._across * self._aspect
        return [
            (
                halo.share,
                _kernel(ys, self._down, halo.radius / 100),
                _kernel(xs, across, halo.radius / 100),
            )
            for halo in self.zoned.halos
        ]


def _middles(edges: Floats) -> Floats:
    return (edges[:-1] + edges[1:]) / 2


def spread(drive: Floats, halos: Halos) -> Floats:
    """What arrives of the zones' light at the places that `halos` were made for."""
    arriving = [share * (down @ drive @ across.T) for share, down, across in halos]
    total: Floats = np.sum(arriving, axis=0)
    return total


def _kernel(places: Floats, edges: Floats, radius: float) -> Floats:
    """(places, zones) shares of light; each row sums to 1. A narrower zone has fewer LEDs."""
    squares = ((places[:, np.newaxis] - _middles(edges)) / radius) ** 2
    # the nearest source counts as 1: a narrow halo far from all sources is not 0 / 0
    shares = np.exp(-(squares - squares.min(axis=1, keepdims=True)) / 2) * np.diff(edges)
    normal: Floats = shares / shares.sum(axis=1, keepdims=True)
    return normal
