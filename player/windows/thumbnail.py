"""A small dim picture of a frame for the operator window, with marks where the meter is pointed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.kinds import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.spots import named_in

BRIGHTEST = 90
"""White of the thumbnail, of 255: the room stays dark whatever the display shows."""


def thumbnail(frame: Frame, width: int, height: int) -> NDArray[np.uint8]:
    """The frame within ``width`` x ``height`` pixels, (h, w, 3) uint8, each pixel an average.

    The signal's levels are shown as they are, without its transfer: a picture to recognise, not
    to judge.
    """
    scale = min(width / frame.width, height / frame.height, 1)
    wide, high = max(1, round(frame.width * scale)), max(1, round(frame.height * scale))
    columns = np.linspace(0, frame.width, wide + 1).astype(int)
    lines = np.linspace(0, frame.height, high + 1).astype(int)
    sums = np.add.reduceat(frame.rows, columns[:-1], axis=1, dtype=np.float32)
    rows = sums / np.diff(columns)[None, :, None].astype(np.float32)
    # how much of each line of the thumbnail is which row: a frame has few rows, and many lines
    shares = np.zeros((high, len(rows)), np.float32)
    line_of = np.repeat(np.arange(high), np.diff(lines))
    np.add.at(shares, (line_of, frame.order), 1)
    shares /= np.diff(lines)[:, None]
    picture = (shares @ rows.reshape(len(rows), -1)).reshape(high, wide, 3)
    quantiser = frame.signal.quantiser
    light = (picture - quantiser.black) / (quantiser.white - quantiser.black)
    shown: NDArray[np.uint8] = (np.clip(light, 0, 1) * BRIGHTEST + 0.5).astype(np.uint8)
    return shown


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
