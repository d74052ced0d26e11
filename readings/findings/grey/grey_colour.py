"""Colour of greys: balance of the channels, and differences from neutral with and without light.

A grey of the white point that is aimed at, D65 where no other was stated, is the target. The
difference against it has the error of luminance in it; that of chromaticity alone takes a neutral
grey of the luminance that was read.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats, xy_of, xyz_of
from readings.colorimetry.temperature import temperature_drawn
from readings.evidence.aim import matrix_of
from readings.evidence.distance import Distance, WithDraws, delta_e_2000_of, delta_e_itp_of
from readings.findings.grey.greys import Greys


class GreyColour:
    """What the colour of n greys amounts to; NaN where none was read, or at the meter's floor."""

    def __init__(self, greys: Greys) -> None:
        self.greys = greys
        lights, n = greys.lights, greys.count
        seen = lights.coloured[:n] & greys.clear
        self.xyz: Floats = np.where(seen[:, None], lights.xyz[:n], np.nan)
        self.drawn_xyz: Floats = lights.drawn_xyz[:, :n]
        self.xy, self.drawn_xy = xy_of(self.xyz), xy_of(self.drawn_xyz)

    @cached_property
    def counts_light(self) -> NDArray[np.bool_]:
        """(n,): greys that averages of luminance take: above black, up to white, and within what
        the display can give where the signal is absolute."""
        greys = self.greys
        counts = greys.comparable & (greys.values > 0) & (greys.values <= 1)
        if greys.transfer == "pq":
            counts &= greys.target <= greys.luminance.max()
        return counts

    @property
    def counts(self) -> NDArray[np.bool_]:
        """(n,): the same with a colour."""
        return self.counts_light & np.isfinite(self.xyz).all(-1)

    @cached_property
    def balance(self) -> Floats:
        """(n, 3) red, green, blue in percent of a neutral grey of the same luminance."""
        return self._balance(self.xyz)

    @cached_property
    def drawn_balance(self) -> Floats:
        """(m, n, 3) likewise."""
        return self._balance(self.drawn_xyz)

    def _balance(self, xyz: Floats) -> Floats:
        greys = self.greys
        inverse = np.linalg.inv(matrix_of(greys.signal.primaries, greys.aim.white_xy))
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray(100 * xyz @ inverse.T / xyz[..., 1:2])

    @cached_property
    def temperature(self) -> tuple[Floats, Floats]:
        """CCT in K and Duv (n, 2), and the same of the draws (m, n, 2)."""
        return temperature_drawn(self.xy, self.drawn_xy)

    @cached_property
    def total(self) -> tuple[Distance, Distance]:
        """CIEDE2000 and delta E ITP against the target, with the error of luminance.

        A grey that is bounded has no colour that could be read: it is taken as neutral.
        """
        greys = self.greys
        dark = greys.bounded[:, None]
        seen = WithDraws(
            np.where(dark, self._neutral(greys.taken), self.xyz),
            np.where(dark, self._neutral(greys.drawn_taken), self.drawn_xyz),
        )
        return self._distances(seen, WithDraws(greys.target_xyz, greys.drawn_target_xyz))

    @cached_property
    def alone(self) -> tuple[Distance, Distance]:
        """The same of chromaticity alone."""
        aim = WithDraws(self._neutral(self.xyz[:, 1]), self._neutral(self.drawn_xyz[..., 1]))
        return self._distances(WithDraws(self.xyz, self.drawn_xyz), aim)

    def _distances(self, seen: WithDraws, aim: WithDraws) -> tuple[Distance, Distance]:
        """CIEDE2000 is made for surface colours under one white, which HDR greys outshine."""
        greys = self.greys
        known = greys.lights.knows()
        lit = np.nan if greys.white is None or greys.transfer != "bt1886" else greys.white
        white = WithDraws(np.asarray(lit), greys.drawn_white)
        return (
            delta_e_2000_of(seen, aim, white, known=known, white_xy=greys.aim.white_xy),
            delta_e_itp_of(seen, aim, known=known),
        )

    def _neutral(self, luminance: Floats) -> Floats:
        """XYZ (..., 3) of greys of the white point aimed at, of luminances (...), cd/m2."""
        return np.asarray(luminance[..., None] * xyz_of(1.0, self.greys.aim.white_xy))
