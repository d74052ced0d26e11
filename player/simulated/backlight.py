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

from player.simulated.grid import Grid
from player.simulated.parameters import Zoned

Floats = NDArray[np.float64]
Halos = list[tuple[float, Floats, Floats]]
ROUNDS = 3
"""How often the processor looks at what arrives and drives the zones harder."""


@dataclass(frozen=True, eq=False)
class Backlight:
    """The backlight of one picture size."""

    zoned: Zoned
    grid: Grid

    def drive(self, means: Floats, peaks: Floats, headroom: float) -> Floats:
        """Drive (zone rows, zone columns), 0 to `headroom`; 1 is the mode's white when all are on.

        Args:
            means: light asked of each cell, mean over its pixels and largest of its channels
                (rows, columns), 0 to 1.
            peaks: the same of the brightest pixel.
            headroom: 1 or more; what the LEDs can give above the mode's white.
        """
        if not self.zoned.dimming:
            return np.ones((self.zoned.rows, self.zoned.columns))
        most, mean = self._by_zone(means, peaks)
        content = self.zoned.brightest * most + (1 - self.zoned.brightest) * mean
        drive = np.maximum(np.power(content, self.zoned.lift), self.zoned.lowest)
        for _ in range(ROUNDS):
            arriving = spread(drive, self._to_zones)
            # up, never down: a zone between bright ones may have light to spare
            short = np.divide(content, arriving, out=np.ones_like(content), where=arriving > 0)
            drive = np.minimum(drive * np.maximum(short, 1.0), headroom)
        return drive

    def behind(self, drive: Floats) -> Floats:
        """Light behind the panel (rows, columns) of cells; linear in `drive`."""
        return spread(drive, self._to_cells)

    def _by_zone(self, means: Floats, peaks: Floats) -> tuple[Floats, Floats]:
        """Largest and mean (zone rows, zone columns) of cells (rows, columns)."""
        across, down = self.grid.zone_xs[:-1], self.grid.zone_ys[:-1]
        most = np.maximum.reduceat(np.maximum.reduceat(peaks, across, axis=1), down, axis=0)
        sizes = np.multiply.outer(self.grid.heights, self.grid.widths).astype(np.float64)
        light = np.add.reduceat(np.add.reduceat(means * sizes, across, axis=1), down, axis=0)
        size = np.add.reduceat(np.add.reduceat(sizes, across, axis=1), down, axis=0)
        return most, light / size

    @cached_property
    def _centres(self) -> tuple[Floats, Floats]:
        """x and y of the zones' centres, in picture heights."""
        aspect = self.grid.width / self.grid.height
        across = (np.arange(self.zoned.columns) + 0.5) / self.zoned.columns * aspect
        return across, (np.arange(self.zoned.rows) + 0.5) / self.zoned.rows

    @cached_property
    def _to_zones(self) -> Halos:
        return self._halos(*self._centres)

    @cached_property
    def _to_cells(self) -> Halos:
        return self._halos(*self.grid.centres)

    def _halos(self, xs: Floats, ys: Floats) -> Halos:
        across, down = self._centres
        return [
            (
                halo.share,
                _kernel(ys, down, halo.radius / 100),
                _kernel(xs, across, halo.radius / 100),
            )
            for halo in self.zoned.halos
        ]


def spread(drive: Floats, halos: Halos) -> Floats:
    """What arrives of the zones' light at the places that `halos` were made for."""
    arriving = [share * (down @ drive @ across.T) for share, down, across in halos]
    total: Floats = np.sum(arriving, axis=0)
    return total


def _kernel(places: Floats, sources: Floats, radius: float) -> Floats:
    """(places, sources) shares of light; each row sums to 1."""
    squares = ((places[:, np.newaxis] - sources) / radius) ** 2
    # the nearest source counts as 1: a narrow halo far from all sources is not 0 / 0
    shares = np.exp(-(squares - squares.min(axis=1, keepdims=True)) / 2)
    normal: Floats = shares / shares.sum(axis=1, keepdims=True)
    return normal
