"""A small dim picture of a frame for the operator window."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame

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
