"""Correlated colour temperature and the distance from the Planckian locus.

Ohno's method, LEUKOS 10 (2014) 47-55, as colour-science works it out: distance in CIE 1960 u, v,
positive above the locus (ANSI C78.377). D65 lies at +0.0032, so 0 is no target for a display.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from readings.colorimetry.chromaticity import Floats, uv_of

METHOD = "Ohno (LEUKOS 10, 2014)"
COLDEST, HOTTEST = 1000.0, 100_000.0
"""K: what is looked through for the nearest colour of a black body."""
FARTHEST = 0.05
"""Distance from the locus beyond which a correlated colour temperature is not stated (CIE 15)."""


def temperature(xy: ArrayLike) -> Floats:
    """CCT in K and Duv (..., 2) of chromaticities (..., 2).

    NaN where the nearest black body lies outside 1,000 to 100,000 K, or farther than 0.05.
    """
    from colour.temperature import uv_to_CCT_Ohno2013

    point = np.asarray(xy, np.float64)
    uv = uv_of(point) * np.array([1.0, 2 / 3])
    flat = uv.reshape(-1, 2)
    found = np.full(flat.shape, np.nan)
    fine = np.isfinite(flat).all(-1) & (flat > 0).all(-1)
    if fine.any():
        with np.errstate(all="ignore"):
            found[fine] = uv_to_CCT_Ohno2013(flat[fine])
    kelvin, away = found[:, 0], found[:, 1]
    lost = ~((kelvin > COLDEST) & (kelvin < HOTTEST) & (np.abs(away) <= FARTHEST))
    found[lost] = np.nan
    return found.reshape(point.shape)
