"""What an adjustment aims at: points that are read, the light wanted of each, and their errors.

A point is a grey or a colour. Its *drives* are three numbers, red, green and blue: signal values
that would give its light on a display that is on the mark. In drives a gain, an offset, a point of
a multi-point control and most others move the display by nearly the same for each click.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Point:
    """A grey or a colour that is read on the way.

    Args:
        label: for people, `70 %` or `magenta`.
        signal: E' of red, green and blue, 0 to 1.
    """

    label: str
    signal: tuple[float, float, float]

    @property
    def grey(self) -> bool:
        """Whether it is a grey."""
        return len(set(self.signal)) == 1
