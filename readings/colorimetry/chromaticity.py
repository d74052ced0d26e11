"""Luminance and chromaticity to XYZ and back, and CIE 1976 u', v' (CIE 15:2018)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

D65 = (0.3127, 0.3290)
"""x, y of the white of BT.709, BT.2020, BT.2100 and SMPTE EG 432-1."""


def xyz_of(luminance: ArrayLike, xy: ArrayLike) -> Floats:
    """XYZ (..., 3), Y in cd/m2, of luminances (...) in cd/m2 and chromaticities (..., 2), y > 0."""
    light = np.asarray(luminance, np.float64)
    point = np.asarray(xy, np.float64)
    x, y = point[..., 0], point[..., 1]
    return np.stack([x / y * light, np.broadcast_to(light, y.shape), (1 - x - y) / y * light], -1)


def xy_of(xyz: ArrayLike) -> Floats:
    """x, y (..., 2) of XYZ (..., 3); NaN where there is no light."""
    light = np.asarray(xyz, np.float64)
    total = light.sum(-1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(total > 0, light[..., :2] / total, np.nan)


def uv_of(xy: ArrayLike) -> Floats:
    """CIE 1976 u', v' (..., 2) of x, y (..., 2): u' = 4x / (-2x + 12y + 3), v' = 9y / (...)."""
    point = np.asarray(xy, np.float64)
    below = -2 * point[..., :1] + 12 * point[..., 1:] + 3
    return np.asarray(point * np.array([4.0, 9.0]) / below)


def uv_distance(first: ArrayLike, second: ArrayLike) -> Floats:
    """Distance (...) of two chromaticities x, y (..., 2) in u', v'."""
    apart = uv_of(first) - uv_of(second)
    return np.hypot(apart[..., 0], apart[..., 1])
