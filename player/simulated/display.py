"""The simulated display: what light comes off the screen now.

    codes -> link -> response and primaries -> light asked of the channels, 0 to 1
          -> zoned backlight and panel, or pixels of their own light -> power limit
          -> settling in time, warm-up, the room's light -> XYZ at a spot

Time is a clock that only `wait` moves: nothing sleeps.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import exp

import numpy as np
from numpy.typing import NDArray

from patterns.frame import Frame
from patterns.primaries import PRIMARIES
from patterns.signal import Signal
from patterns.transfer import Bt1886
from player.simulated.backlight import Backlight
from player.simulated.files import SimulatedError
from player.simulated.grid import Grid, cells_of, grid_for
from player.simulated.parameters import DisplayParameters, Emissive, Zoned
from player.simulated.response import asked_by

Floats = NDArray[np.float64]
SDR = Signal(Bt1886(), PRIMARIES["bt709"], 8, "full")


@dataclass(frozen=True, eq=False)
class Picture:
    """The settled light of one frame."""

    grid: Grid
    xyz: Floats
    """(rows, columns, 3) of cells, Y in cd/m2, without the room's light."""
    white: float
    """What the power limit left of the mode's white, cd/m2."""


def picture_of(parameters: DisplayParameters, frame: Frame) -> Picture:
    """The settled light of a frame on a warm display. Raises SimulatedError."""
    source = parameters.light
    zones = (source.columns, source.rows) if isinstance(source, Zoned) else (0, 0)
    if frame.width < zones[0] or frame.height < zones[1]:
        raise SimulatedError(
            f"A picture of {frame.width}x{frame.height} pixels is too small for a display of "
            f"{zones[0]} x {zones[1]} zones."
        )
    grid = grid_for(frame.width, frame.height, *zones)
    asked = asked_by(parameters, frame.signal)
    means, peaks = cells_of(frame, grid, asked)
    mode = asked.response.white
    if isinstance(source, Zoned):
        channels, white = _through_panel(parameters, source, grid, mode, means, peaks)
    else:
        channels, white = _emitted(parameters, source, grid, mode, means)
    return Picture(grid, channels @ parameters.gamut.to_xyz.T, white)


def _emitted(
    parameters: DisplayParameters, source: Emissive, grid: Grid, mode: float, means: Floats
) -> tuple[Floats, float]:
    lit = float(parameters.gamut.to_xyz[1] @ grid.mean(means)) * mode / parameters.peak
    white = min(mode, parameters.power_limit(lit))
    return source.leakage + white * means, white


def _through_panel(
    parameters: DisplayParameters,
    source: Zoned,
    grid: Grid,
    mode: float,
    means: Floats,
    peaks: Floats,
) -> tuple[Floats, float]:
    backlight = Backlight(source, grid)
    drive = backlight.drive(means.max(axis=2), peaks, parameters.peak / mode)
    lit = float(drive.mean()) * mode / parameters.peak
    white = min(mode, parameters.power_limit(lit))
    behind = backlight.behind(drive)[:, :, np.newaxis] * (white / mode)
    # the panel opens as far as the light behind it needs; where that is too weak, fully
    wanted = np.divide(means, behind, out=np.zeros_like(means), where=behind > 0)
    opened = np.minimum(wanted, 1.0)
    closed = 1 / source.contrast
    tint = np.array(source.tint) / (parameters.gamut.to_xyz[1] @ np.array(source.tint))
    return mode * behind * (closed * tint + (1 - closed) * opened), white


class SimulatedDisplay:
    """A display with a picture on it and a clock.

    Args:
        parameters: what it is made of.
        seconds_on: how long it has been on already; long enough to be warm unless said.
    """

    def __init__(self, parameters: DisplayParameters, *, seconds_on: float = 36_000) -> None:
        self._parameters = parameters
        self._seconds_on = seconds_on
        self._since_change = 0.0
        self._frame: Frame | None = None
        self._before: Picture | None = None
        self._now: Picture | None = None

    @property
    def name(self) -> str:
        """The display's name."""
        return self._parameters.name

    @property
    def dimming(self) -> bool:
        """Whether the backlight follows the picture; False where there is none to do so."""
        source = self._parameters.light
        return isinstance(source, Zoned) and source.dimming

    @dimming.setter
    def dimming(self, wanted: bool) -> None:
        """Switch the dimming, as in the display's menu. Raises SimulatedError without zones."""
        source = self._parameters.light
        if not isinstance(source, Zoned):
            raise SimulatedError(f"The display {self.name!r} has no zones to dim.")
        light = source.model_copy(update={"dimming": wanted})
        self._parameters = self._parameters.model_copy(update={"light": light})
        frame, self._frame = self._frame, None
        if frame is not None:
            self.show(frame)

    def show(self, frame: Frame) -> None:
        """Put a frame on the screen; its light settles as time goes on.

        Raises SimulatedError where the frame has fewer pixels than the backlight zones.
        """
        if frame is self._frame and self._now is not None:
            return  # the same picture again changes nothing on the screen
        picture = picture_of(self._parameters, frame)
        before = self._settled_so_far()
        if before is not None and before.grid is not picture.grid:
            before = None  # another picture size: the link drops out, and the screen was dark
        self._before, self._now, self._frame = before, picture, frame
        self._since_change = 0.0

    def blackout(self) -> None:
        """Show black, in the size of the last frame."""
        last = self._frame
        signal, width, height = (last.signal, last.width, last.height) if last else (SDR, 480, 270)
        rows = np.full((1, width, 3), signal.quantiser.black, np.uint16)
        self.show(Frame(rows, np.zeros(height, np.uint16), signal))

    def wait(self, seconds: float) -> None:
        """Let time pass, 0 s or more."""
        if not 0 <= seconds < float("inf"):
            raise SimulatedError(f"Time goes on by 0 s or more, not by {seconds} s.")
        self._seconds_on += seconds
        self._since_change += seconds

    def light_at(self, x: float, y: float, diameter: float) -> Floats:
        """XYZ (3,) in cd/m2 of a round spot now.

        Args:
            x: centre, share of the width from the left, 0 to 1.
            y: centre, share of the height from the top, 0 to 1.
            diameter: percent of the picture's height.
        """
        if not (0 <= x <= 1 and 0 <= y <= 1):
            raise SimulatedError(f"A spot at {x}, {y} does not lie on the screen (0 to 1).")
        now = self._settled_so_far()
        if now is None:
            return self._room
        weights = _spot(now.grid, x, y, diameter / 100)
        return np.tensordot(weights, now.xyz, axes=2) * self._warmth + self._room

    def mean_light(self) -> Floats:
        """Mean XYZ (3,) of the whole screen now, cd/m2."""
        now = self._settled_so_far()
        if now is None:
            return self._room
        return now.grid.mean(now.xyz) * self._warmth + self._room

    @cached_property
    def _room(self) -> Floats:
        x, y = 0.3127, 0.3290
        return self._parameters.reflected * np.array([x / y, 1.0, (1 - x - y) / y])

    @property
    def _warmth(self) -> float:
        time = self._parameters.time
        return 1 - (1 - time.cold) * exp(-self._seconds_on / time.warm_up)

    def _settled_so_far(self) -> Picture | None:
        """The light now: the new picture, with what is left of the one before."""
        if self._now is None:
            return None
        settle = self._parameters.time.settle
        left = exp(-self._since_change / settle) if settle else 0.0
        if left < 1e-9:
            return self._now
        before = self._before.xyz if self._before else 0.0
        return Picture(
            self._now.grid, self._now.xyz + left * (before - self._now.xyz), self._now.white
        )


def _spot(grid: Grid, x: float, y: float, diameter: float) -> Floats:
    """Weights (rows, columns) of a round spot with an edge one cell soft; they sum to 1."""
    xs, ys = grid.centres
    across = xs - x * grid.width / grid.height
    down = ys - y
    distance = np.hypot(across, down[:, np.newaxis])
    cell = 1 / grid.shape[0]
    weights = np.clip((diameter / 2 - distance) / cell + 0.5, 0.0, 1.0)
    if not weights.any():
        weights[np.unravel_index(distance.argmin(), distance.shape)] = 1.0
    weights *= np.multiply.outer(grid.heights, grid.widths)
    normal: Floats = weights / weights.sum()
    return normal
