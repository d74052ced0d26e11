"""What a display makes of a frame: how hard the zones are driven, and the settled light.

Both are worked out when they are asked for. The zones' drive comes from the few distinct rows of
cells; the light needs all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.simulated.backlight import Backlight
from player.simulated.files import SimulatedError
from player.simulated.grid import Cells, Grid, cells_of, grid_for
from player.simulated.menu import AS_FOUND, Menu
from player.simulated.parameters import DisplayParameters, Emissive
from player.simulated.response import Asked, asked_by
from player.simulated.spot import EVERYTHING, Window
from player.simulated.zoned import Zoned

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Picture:
    """One frame on a warm display."""

    parameters: DisplayParameters
    grid: Grid
    cells: Cells
    mode: float
    """White of the picture mode, cd/m2."""
    backlight: Backlight | None

    @cached_property
    def wanted(self) -> Floats | None:
        """Drive (rows, columns) that the zones go to; 1 is the mode's white. None without zones."""
        if self.backlight is None:
            return None
        return self.backlight.drive(self.cells, self.parameters.peak / self.mode)

    def light(self, drive: Floats | None, window: Window = EVERYTHING) -> Floats:
        """The light with the zones driven so, and the panel opened to match.

        Returns:
            XYZ (rows, columns, 3) of the window's cells, cd/m2, without the room's light.
        """
        means = self.cells.means[self.cells.order[window[0]], window[1]]
        if self.backlight is None or drive is None:
            channels = self._emitted(means)
        else:
            channels = self._through_panel(means, self.backlight, drive, window)
        light: Floats = channels @ self.parameters.gamut.to_xyz.T
        return light

    def _emitted(self, means: Floats) -> Floats:
        source = self.parameters.light
        leakage = source.leakage if isinstance(source, Emissive) else 0.0
        every = self.grid.mean(self.cells.means[self.cells.order])
        return leakage + self._white(float(self.parameters.gamut.to_xyz[1] @ every)) * means

    def _through_panel(
        self, means: Floats, backlight: Backlight, drive: Floats, window: Window
    ) -> Floats:
        white = self._white(backlight.mean(drive))
        behind = backlight.behind(drive, window)[:, :, np.newaxis] * (white / self.mode)
        # the panel opens as far as the light behind it needs; where that is too weak, fully
        passing = np.minimum(means, behind)
        closed = 1 / backlight.zoned.contrast
        tint = np.array(backlight.zoned.tint)
        tint /= self.parameters.gamut.to_xyz[1] @ tint
        light: Floats = behind * (self.mode * closed * tint) + self.mode * (1 - closed) * passing
        return light

    def _white(self, lit: float) -> float:
        """What the power limit leaves of the mode's white, cd/m2; `lit` in shares of that white."""
        return min(self.mode, self.parameters.power_limit(lit * self.mode / self.parameters.peak))


class Maker:
    """Makes pictures of frames; keeps what does not depend on the frame from one to the next."""

    def __init__(self, parameters: DisplayParameters, menu: Menu = AS_FOUND) -> None:
        self._parameters = parameters
        self._menu = menu
        self._answer: tuple[Signal, Asked] | None = None
        self._backlight: Backlight | None = None

    def picture(self, frame: Frame) -> Picture:
        """Raises SimulatedError where the frame has fewer pixels than the backlight zones."""
        source = self._parameters.light
        grid = _grid(frame, source)
        if isinstance(source, Zoned) and (
            self._backlight is None or self._backlight.grid is not grid
        ):
            self._backlight = Backlight(source, grid)
        asked = self._asked(frame.signal)
        cells = cells_of(frame, grid, asked)
        mode = asked.response.white * self._menu.light
        mode = min(mode, self._parameters.peak)
        return Picture(self._parameters, grid, cells, mode, self._backlight)

    def _asked(self, signal: Signal) -> Asked:
        if self._answer is None or self._answer[0] is not signal:
            self._answer = signal, asked_by(self._parameters, signal, self._menu)
        return self._answer[1]


def _grid(frame: Frame, source: Zoned | Emissive) -> Grid:
    if isinstance(source, Emissive):
        return grid_for(frame.width, frame.height)
    columns, rows = source.columns, source.rows
    if frame.width >= columns and frame.height >= rows:
        grid = grid_for(frame.width, frame.height, columns, rows, source.across, source.down)
        if (np.diff(grid.zone_xs) > 0).all() and (np.diff(grid.zone_ys) > 0).all():
            return grid
    raise SimulatedError(
        f"A picture of {frame.width}x{frame.height} pixels is too small for a display of "
        f"{columns} x {rows} zones."
    )
