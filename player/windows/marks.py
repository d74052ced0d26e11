"""Where the meter is pointed: marks on the operator's small picture, never on the display."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.kinds import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.spots import named_in

MOST = 50
"""Rings that can be told apart on a small picture; above, only the place asked for is marked."""

RING, WANTED, RIM = (96, 84, 48), (200, 150, 40), (0, 0, 0)
"""Dim amber, brighter for the place to read now; a black rim shows on white, too."""


@dataclass(frozen=True)
class Mark:
    """A measuring place, in shares of width and height from the top left corner."""

    x: float
    y: float
    wanted: bool
    """Whether it is the one to read now."""


def marks_of(pattern: Pattern, of: str, width: int, height: int) -> tuple[Mark, ...]:
    """The measuring places of a picture of so many pixels, the one that ``of`` names last."""
    canvas = Canvas(width, height)
    spots = pattern.spots(canvas)
    named = next(iter(spots)) if len(spots) == 1 else named_in(of, spots)
    marks = [
        Mark(float(spot.x / canvas.width), float(spot.y / canvas.height), name == named)
        for name, spot in spots.items()
        if len(spots) <= MOST or name == named
    ]
    return tuple(sorted(marks, key=lambda mark: mark.wanted))


def marked(picture: NDArray[np.uint8], marks: tuple[Mark, ...]) -> NDArray[np.uint8]:
    """A copy of a small picture (h, w, 3) with a ring about each place, and a dot in the wanted."""
    if not marks:
        return picture
    drawn = picture.copy()
    height, width = picture.shape[:2]
    radius = max(3.0, width / 90)
    y, x = np.ogrid[:height, :width]
    for mark in marks:
        size = radius * (1.6 if mark.wanted else 1)
        away = np.hypot(x + 0.5 - mark.x * width, y + 0.5 - mark.y * height)
        colour = WANTED if mark.wanted else RING
        drawn[abs(away - size) <= 2] = RIM
        drawn[abs(away - size) <= 1] = colour
        if mark.wanted:
            drawn[away <= 3] = RIM
            drawn[away <= 2] = colour
    return drawn
