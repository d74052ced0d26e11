"""How even a screen is: the figures of sampled uniformity.

IDMS: ICDM Information Display Measurements Standard, an edition before v1.3.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from readings.colorimetry.chromaticity import Floats, uv_of


def non_uniformity(luminance: ArrayLike) -> Floats:
    """N in % (...) of luminances (..., n): 100 % (1 - Lmin / Lmax), IDMS 8.1; NaN without light."""
    light = np.asarray(luminance, np.float64)
    highest = light.max(-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(highest > 0, 100 * (1 - light.min(-1) / highest), np.nan))


def largest_uv(xy: ArrayLike) -> Floats:
    """Largest distance (...) in u', v' over all pairs of chromaticities x, y (..., n, 2).

    IDMS 8.1: 10 pairs of 5 points, 36 of 9.
    """
    return largest_apart(uv_of(xy))


def largest_apart(points: ArrayLike) -> Floats:
    """Largest distance (...) over all pairs of points (..., n, 2)."""
    flat = np.asarray(points, np.float64)
    farthest = np.zeros(flat.shape[:-2])
    for first in range(flat.shape[-2] - 1):
        apart = flat[..., first + 1 :, :] - flat[..., first : first + 1, :]
        farthest = np.maximum(farthest, np.hypot(apart[..., 0], apart[..., 1]).max(-1))
    return np.asarray(farthest)
