"""Curves of light against distance or time: where they fall to a half, when they are settled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from readings.colorimetry.chromaticity import Floats

NO_LIGHT = 1e-12
"""cd/m2 that stand for no light where a logarithm is taken."""


def half_distance(distance: ArrayLike, light: ArrayLike, *, straight: bool = False) -> Floats:
    """Where light falls to half of what it is at the first distance.

    Args:
        distance: (n,) rising.
        light: (..., n) cd/m2.
        straight: straight lines between the points, instead of straight lines of its logarithm
            (which an exponential fall follows exactly).

    Returns:
        (...) in the unit of distance; NaN where it never falls so far.
    """
    places = np.asarray(distance, np.float64)
    curve = np.maximum(np.asarray(light, np.float64), NO_LIGHT)
    half = curve[..., :1] / 2
    below = curve <= half
    after = np.argmax(below, -1)[..., None]
    high = np.take_along_axis(curve, np.maximum(after - 1, 0), -1)
    low = np.take_along_axis(curve, after, -1)
    if not straight:
        high, low, half = np.log(high), np.log(low), np.log(half)
    with np.errstate(invalid="ignore", divide="ignore"):
        way = np.where(high > low, (high - half) / (high - low), 0.0)[..., 0]
    after = after[..., 0]
    start, end = places[np.maximum(after - 1, 0)], places[after]
    return np.asarray(np.where(below.any(-1), start + way * (end - start), np.nan))


def settled_from(values: Sequence[float], share: float) -> int:
    """Index of the first value from which on all lie within a share of the last one.

    Args:
        values: at least one, in order of time.
        share: 0.02 for 2 %.
    """
    last = values[-1]
    first = len(values) - 1
    while first and abs(values[first - 1] - last) <= share * abs(last):
        first -= 1
    return first
