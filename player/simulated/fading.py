"""What is left of earlier pictures while a new one settles, and zones that lag behind.

Light goes over exponentially, so that what is seen of the past is a sum of earlier pictures, each
with its share. The sum is kept as its parts: where nobody looks at the light, as when only the
zones are asked for in a long crawl of a box, it is never worked out.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from player.simulated.picture import Picture
from player.simulated.spot import EVERYTHING, Window

Floats = NDArray[np.float64]
NOTHING = 1e-9
"""A share of light below this is none."""
MOST_ROWS = 4_000
"""Rows of cells of earlier pictures that are kept, about 50 MB, before they are summed up."""
FEW_PICTURES = 32
"""Earlier pictures that a spot is worked out for one by one; more are summed up first."""


@dataclass(frozen=True, eq=False)
class Showing:
    """A picture with its zones at one instant."""

    picture: Picture
    drive: Floats | None

    def light(self, window: Window = EVERYTHING) -> Floats:
        """XYZ (rows, columns, 3) of cells, cd/m2, without the room's light."""
        return self.picture.light(self.drive, window)


class Afterglow:
    """Light that was on the screen when the picture changed; nothing at first."""

    def __init__(self) -> None:
        self._parts: list[tuple[float, Showing]] = []
        self._rest: Floats | None = None
        """XYZ (rows, columns, 3) of what has been summed up."""

    def give_way(self, showing: Showing, left: float) -> None:
        """`showing` gives way to another picture, with a share `left` (0 to 1) of this in it."""
        parts = [(share * left, earlier) for share, earlier in self._parts]
        self._parts = [(share, earlier) for share, earlier in parts if share > NOTHING]
        self._parts.append((1 - left, showing))
        if self._rest is not None:
            self._rest = self._rest * left if left > NOTHING else None
        if sum(len(earlier.picture.cells.means) for _, earlier in self._parts) > MOST_ROWS:
            self.light()

    def light(self, window: Window = EVERYTHING) -> Floats | None:
        """XYZ (rows, columns, 3) of a window's cells at that change; None where it was dark."""
        if window is EVERYTHING or len(self._parts) > FEW_PICTURES:
            self._rest, self._parts = self._sum(EVERYTHING), []
        return self._sum(window)

    def _sum(self, window: Window) -> Floats | None:
        total = None if self._rest is None else self._rest[window]
        for share, earlier in self._parts:
            part = share * earlier.light(window)
            total = part if total is None else total + part
        return total


def lagged(
    start: Floats | None, wanted: Floats, seconds: float, rise: float, fall: float
) -> Floats:
    """Zones on their way from `start` (None: dark) to `wanted`, `seconds` after the change.

    `rise` and `fall` are time constants in s. Where nothing is left of the way, `wanted` itself
    is given back.
    """
    up, down = (exp(-seconds / constant) if constant else 0.0 for constant in (rise, fall))
    if max(up, down) < NOTHING:
        return wanted
    start = np.zeros_like(wanted) if start is None else start
    return wanted + np.where(wanted > start, up, down) * (start - wanted)
