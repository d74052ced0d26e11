"""MaxCLL and MaxFALL over all frames of a clip (CTA-861.3-A annex, from memory).

For every pixel the largest of R, G and B in linear light, cd/m2. MaxCLL is the largest of all
pixels of all frames, MaxFALL the largest mean of a frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

import numpy as np

from patterns.files.light import UNIT, Light
from patterns.frame import Frame
from patterns.signal import Signal


def light_levels(frame: Frame) -> tuple[float, float]:
    """Largest max(R, G, B) of a frame in linear light, and its mean over the frame, cd/m2.

    For PQ, whose channels go by one curve each: the largest code is the largest light.
    """
    codes = np.arange(1 << frame.signal.bits)
    curve = frame.signal.light(np.stack([codes] * 3, axis=-1))[:, 0]
    largest = frame.rows.max(axis=2)
    weights = np.bincount(frame.order, minlength=len(frame.rows))
    total = float(curve[largest].sum(axis=1) @ weights)
    return float(curve[largest.max()]), total / (frame.width * frame.height)


def light_of_levels(levels: Iterable[tuple[float, float]], signal: Signal) -> Light | None:
    """Static metadata of frames shown as one, from :func:`light_levels` of each.

    None for transfers other than PQ, and where there is no light.
    """
    max_cll = max_fall = 0.0
    for most, mean in levels:
        max_cll, max_fall = max(max_cll, most), max(max_fall, mean)
    cll, fall = (int(UNIT * each + 0.5) for each in (max_cll, max_fall))
    if signal.transfer.name != "pq" or cll == 0:
        return None
    # as with stills: 0 would read as unknown, and the display stated shows every code
    return Light(signal.primaries, cll, max(fall, 1), ceil(cll / UNIT) * UNIT)


def light_over(frames: Iterable[Frame], signal: Signal) -> Light | None:
    """Static metadata of PQ frames shown as one, such as all pictures of a set."""
    if signal.transfer.name != "pq":
        return None
    return light_of_levels(map(light_levels, frames), signal)


def whole(units: int) -> int:
    """Units of 0.0001 cd/m2 in the whole cd/m2 of video metadata; at least 1, not unknown."""
    return max((2 * units + UNIT) // (2 * UNIT), 1)
