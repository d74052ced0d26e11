"""Correlated colour temperature and the distance from the Planckian locus.

Ohno's method, LEUKOS 10 (2014) 47-55, as colour-science works it out: distance in CIE 1960 u, v,
positive above the locus (ANSI C78.377). D65 lies at +0.0032, so 0 is no target for a display.
"""

from __future__ import annotations

import warnings

import numpy as np
from numpy.typing import ArrayLike

from readings.colorimetry.chromaticity import Floats, uv_of
from readings.colorimetry.library import load_colour

METHOD = "Ohno (LEUKOS 10, 2014)"
COLDEST, HOTTEST = 1000.0, 100_000.0
"""K: what is looked through for the nearest colour of a black body."""
FARTHEST = 0.05
"""Distance from the locus beyond which a correlated colour temperature is not stated (CIE 15:2018,
from memory)."""

NUDGE = 0.0005
"""Of x, y: as far as slopes are taken."""


def temperature(xy: ArrayLike) -> Floats:
    """CCT in K and Duv (..., 2) of chromaticities (..., 2).

    NaN where the nearest black body lies outside 1,000 to 100,000 K, or farther than 0.05.
    """
    load_colour()
    from colour.temperature import uv_to_CCT_Ohno2013

    point = np.asarray(xy, np.float64)
    uv = uv_of(point) * np.array([1.0, 2 / 3])
    flat = uv.reshape(-1, 2)
    found = np.full(flat.shape, np.nan)
    fine = np.isfinite(flat).all(-1) & (flat > 0).all(-1)
    if fine.any():
        with np.errstate(all="ignore"), warnings.catch_warnings():
            # colour-science warns of points at the ends of its table: those are cut below
            warnings.simplefilter("ignore")
            found[fine] = uv_to_CCT_Ohno2013(flat[fine])
    kelvin, away = found[:, 0], found[:, 1]
    lost = ~((kelvin > COLDEST) & (kelvin < HOTTEST) & (np.abs(away) <= FARTHEST))
    found[lost] = np.nan
    return found.reshape(point.shape)


def temperature_drawn(xy: ArrayLike, drawn: ArrayLike) -> tuple[Floats, Floats]:
    """CCT in K and Duv (n, 2) of chromaticities (n, 2), and (m, n, 2) of draws (m, n, 2) around.

    Ohno's method takes half a millisecond a point, so it is worked out at the points and a little
    beside them. From there 1 / CCT and Duv go on straight: good to 4 % of the change over 0.003 of
    x and y, to 8 % over 0.01.
    """
    point, draws = np.asarray(xy, np.float64), np.asarray(drawn, np.float64)
    found = temperature(point + NUDGE * np.array([[[0, 0]], [[1, 0]], [[0, 1]]]))
    slanted = np.stack([1 / found[..., 0], found[..., 1]], -1)
    slopes = np.stack([slanted[1] - slanted[0], slanted[2] - slanted[0]], -1) / NUDGE
    straight = slanted[0] + np.einsum("nij,mnj->mni", slopes, draws - point)
    with np.errstate(divide="ignore"):
        kelvin = np.where(straight[..., 0] > 0, 1 / straight[..., 0], np.nan)
    return found[0], np.stack([kelvin, straight[..., 1]], -1)
