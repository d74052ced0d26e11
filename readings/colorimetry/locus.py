"""Whether a chromaticity can be light at all: the spectral locus of CIE 1931 (CIE 15:2018)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.library import load_colour

ROOM = 0.002
"""How far outside a point may lie and still be an error of reading, in x, y."""
_TRIANGLE = np.array([[0.170, 0.797], [0.131, 0.046], [0.708, 0.292]])
"""Primaries of Rec. ITU-R BT.2020 on the locus, so that what lies within them is light."""


def may_be_light(xy: ArrayLike, room: ArrayLike = 0.0) -> NDArray[np.bool_]:
    """(n,) for x, y (n, 2): whether each can be read of what the spectral locus encloses.

    Args:
        xy: CIE 1931.
        room: () or (n,), by how much x and y may each be misread; never less than `ROOM`.
    """
    point = np.asarray(xy, np.float64).reshape(-1, 2)
    inside = _within(point, _TRIANGLE)
    if not inside.all():
        # the locus only where it decides: colour-science takes a second to import
        corner = np.sqrt(2) * np.asarray(room, np.float64)  # both of them, at right angles
        inside = inside | _near_or_within(point, _locus(), np.maximum(corner, ROOM))
    return inside


def _locus() -> Floats:
    load_colour()
    from colour.colorimetry import MSDS_CMFS

    values = MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].values
    total = values.sum(-1, keepdims=True)
    return np.asarray((values / total)[total[:, 0] > 1e-3, :2], np.float64)


def _within(point: Floats, corners: Floats) -> NDArray[np.bool_]:
    """Whether points (n, 2) lie within a polygon (m, 2): by crossings to the right."""
    x, y = point[:, 0, None], point[:, 1, None]
    (x1, y1), (x2, y2) = corners.T, np.roll(corners, -1, 0).T
    spans = (y1 > y) != (y2 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        crosses = x < x1 + (y - y1) / (y2 - y1) * (x2 - x1)
    return np.asarray((spans & crosses).sum(-1) % 2 == 1)


def _near_or_within(point: Floats, corners: Floats, room: Floats) -> NDArray[np.bool_]:
    steps = np.roll(corners, -1, 0) - corners
    lengths = np.maximum((steps**2).sum(-1), 1e-30)
    way = ((point[:, None] - corners) * steps).sum(-1) / lengths
    nearest = corners + np.clip(way, 0, 1)[..., None] * steps
    apart = np.hypot(*np.moveaxis(point[:, None] - nearest, -1, 0)).min(-1)
    return np.asarray(_within(point, corners) | (apart <= room))
