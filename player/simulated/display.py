"""The simulated display: what light comes off the screen now.

    codes -> link -> response and primaries -> light asked of the channels, 0 to 1
          -> zoned backlight and panel, or pixels of their own light -> power limit
          -> settling in time, warm-up, the room's light -> XYZ at a spot

Time is a clock that only `wait` moves: nothing sleeps.
"""

from __future__ import annotations

from functools import cached_property
from math import exp

import numpy as np
from numpy.typing import NDArray

from patterns.control import Control
from patterns.picture.frame import Frame
from patterns.signal.primaries import PRIMARIES
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886
from player.simulated.fading import NOTHING, Afterglow, Showing, lagged
from player.simulated.files import SimulatedError
from player.simulated.grid import Grid
from player.simulated.menu import Menu
from player.simulated.parameters import DisplayParameters
from player.simulated.picture import Maker, Picture
from player.simulated.spot import EVERYTHING, Window, spot_on
from player.simulated.zoned import Zoned

Floats = NDArray[np.float64]
SDR = Signal(Bt1886(), PRIMARIES["bt709"], 8, "full")


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
        self._menu = Menu(tuple(parameters.controls))
        self._maker = Maker(parameters, self._menu)
        self._frame: Frame | None = None
        self._now: Picture | None = None
        self._before = Afterglow()
        self._drive_before: Floats | None = None

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
        self._show_anew()

    @property
    def controls(self) -> tuple[Control, ...]:
        """What its menu has, in the menu's order; may be none."""
        return tuple(each.control for each in self._parameters.controls)

    @property
    def menu(self) -> dict[str, float]:
        """What each control reads now, by name."""
        return self._menu.values

    def turn(self, name: str, value: float) -> None:
        """Bring a control to a value, as in the display's menu; the light settles from there.

        Raises SimulatedError where there is no such control, or it never reads such a value.
        """
        try:
            self._menu = self._menu.turned(name, value)
        except ValueError as error:
            raise SimulatedError(str(error)) from error
        self._show_anew()

    def show(self, frame: Frame) -> None:
        """Put a frame on the screen; its light settles as time goes on.

        Raises SimulatedError where the frame has fewer pixels than the backlight zones.
        """
        if frame is self._frame and self._now is not None:
            return  # the same picture again changes nothing on the screen
        picture = self._maker.picture(frame)
        if self._now is not None and self._now.grid is picture.grid:
            showing = Showing(self._now, self._drive(self._now))
            self._before.give_way(showing, self._left)
            self._drive_before = showing.drive
        else:
            # another picture size: the link drops out, and the screen was dark
            self._before, self._drive_before = Afterglow(), None
        self._now, self._frame = picture, frame
        self._since_change = 0.0

    def _show_anew(self) -> None:
        """The same frame on the display as it is set now."""
        self._maker = Maker(self._parameters, self._menu)
        frame, self._frame = self._frame, None
        if frame is not None:
            self.show(frame)

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
        if self._now is None:
            return self._room
        spot = spot_on(self._now.grid, x, y, diameter / 100)
        light = self._light(self._now, spot.window)
        return np.tensordot(spot.weights, light, axes=2) * self._warmth + self._room

    def mean_light(self) -> Floats:
        """Mean XYZ (3,) of the whole screen now, cd/m2."""
        if self._now is None:
            return self._room
        return self._now.grid.mean(self._light(self._now)) * self._warmth + self._room

    def light_map(self) -> tuple[Grid, Floats]:
        """The light of the whole screen now, for pictures of it.

        Returns:
            The grid of cells, at most 480 x 270 and the edges of the zones, and their XYZ
            (rows, columns, 3) in cd/m2. Raises SimulatedError before anything is shown.
        """
        if self._now is None:
            raise SimulatedError(f"Nothing has been shown on the display {self.name!r} yet.")
        return self._now.grid, self._light(self._now) * self._warmth + self._room

    def zone_light(self) -> Floats:
        """How hard each zone of the backlight is driven now: what an eye sees light up behind.

        With the zones' lag (`rise`, `fall`), without the panel's settling, the warm-up and the
        power limit. For long crawls of a box: it does not work out the light of the screen.

        Returns:
            (rows, columns) float64, the top left zone first: 0 is dark, 1 the picture mode's
            white when all zones are on, and up to `peak` / `white` of the mode for small bright
            parts. All 0 before anything is shown. A copy.

        Raises:
            SimulatedError: the display has no zones (`emissive`).
        """
        source = self._parameters.light
        if not isinstance(source, Zoned):
            raise SimulatedError(f"The display {self.name!r} has no zones.")
        drive = None if self._now is None else self._drive(self._now)
        return np.zeros((source.rows, source.columns)) if drive is None else drive.copy()

    @cached_property
    def _room(self) -> Floats:
        x, y = 0.3127, 0.3290
        return self._parameters.reflected * np.array([x / y, 1.0, (1 - x - y) / y])

    @property
    def _warmth(self) -> float:
        time = self._parameters.time
        return 1 - (1 - time.cold) * exp(-self._seconds_on / time.warm_up)

    @property
    def _left(self) -> float:
        """Share of the light at the change of picture that is still there."""
        settle = self._parameters.time.settle
        return exp(-self._since_change / settle) if settle else 0.0

    def _drive(self, now: Picture) -> Floats | None:
        """How hard the zones are driven now, (rows, columns); None without zones."""
        source = self._parameters.light
        if now.wanted is None or not isinstance(source, Zoned):
            return None
        return lagged(self._drive_before, now.wanted, self._since_change, source.rise, source.fall)

    def _light(self, now: Picture, window: Window = EVERYTHING) -> Floats:
        """XYZ (rows, columns, 3) now: the new picture, with what is left of those before."""
        light = Showing(now, self._drive(now)).light(window)
        left = self._left
        if left < NOTHING:
            return light
        before = self._before.light(window)
        return light + left * ((0.0 if before is None else before) - light)
