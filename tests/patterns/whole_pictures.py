"""Frames from whole pictures, as tests have them."""

from __future__ import annotations

import numpy as np

from patterns.picture.frame import Frame, Rows, distinct_rows
from patterns.signal.signal import Signal


def frame_of(pixels: Rows, signal: Signal) -> Frame:
    """The frame of an image (height, width, 3) uint16; rows that are alike are kept once."""
    rows, order = distinct_rows(np.ascontiguousarray(pixels))
    return Frame(rows, order, signal)
