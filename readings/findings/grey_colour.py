"""Colour of greys: balance of the channels, and differences from D65 with and without the light.

A D65 grey is the target. The difference against it has the error of luminance in it; that of
chromaticity alone takes a D65 grey of the luminance that was read.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import D65, Floats, xy_of, xyz_of
from readings.colorimetry.difference import ictcp_of, lab_of
from readings.colorimetry.temperature import temperature_drawn
from readings.colorimetry.volume import ITP_SCALE
from readings.findings.greys import Greys
from readings.lights import Lights


@dataclass(frozen=True, eq=False)
class Distances:
    """Differences (...) of readings, the same of each draw (m, ...), and how far draws lie off."""

    value: Floats
    drawn: Floats
    apart: Floats

    def spread(self, lights: Lights) -> Floats | None:
        """Expanded uncertainty (...); None where it is not known."""
        return lights.spread_of_distance(self.value, self.drawn, self.apart)

    def mean(self, counts: NDArray[np.intp]) -> Distances:
        """Their average over some of the greys."""
        return Distances(
            np.asarray(self.value[counts].mean()),
            self.drawn[:, counts].mean(-1),
            self.apart[:, counts].mean(-1),
        )


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
        counts = greys.clear & (greys.values > 0) & (greys.values <= 1)
        if greys.transfer == "pq":
            counts &= greys.target <= greys.luminance.max()
        return counts

    @property
    def counts(self) -> NDArray[np.bool_]:
        """(n,): the same with a colour."""
        return self.counts_light & np.isfinite(self.xyz).all(-1)

    @cached_property
    def balance(self) -> Floats:
        """(n, 3) red, green, blue in percent of a D65 grey of the same luminance."""
        return self._balance(self.xyz)

    @cached_property
    def drawn_balance(self) -> Floats:
        """(m, n, 3) likewise."""
        return self._balance(self.drawn_xyz)

    def _balance(self, xyz: Floats) -> Floats:
        inverse = np.linalg.inv(self.greys.signal.primaries.matrix)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray(100 * xyz @ inverse.T / xyz[..., 1:2])

    @cached_property
    def temperature(self) -> tuple[Floats, Floats]:
        """CCT in K and Duv (n, 2), and the same of the draws (m, n, 2)."""
        return temperature_drawn(self.xy, self.drawn_xy)

    def total(self) -> tuple[Distances, Distances]:
        """CIEDE2000 and delta E ITP against the target, with the error of luminance."""
        return self._total

    def alone(self) -> tuple[Distances, Distances]:
        """The same of chromaticity alone."""
        return self._alone

    @cached_property
    def _total(self) -> tuple[Distances, Distances]:
        greys = self.greys
        return self._distances(greys.target_xyz, greys.drawn_target_xyz)

    @cached_property
    def _alone(self) -> tuple[Distances, Distances]:
        return self._distances(_d65(self.xyz[:, 1]), _d65(self.drawn_xyz[..., 1]))

    def _distances(self, target: Floats, drawn_target: Floats) -> tuple[Distances, Distances]:
        return self._in_lab(target, drawn_target), self._in_itp(target, drawn_target)

    def _in_lab(self, target: Floats, drawn_target: Floats) -> Distances:
        white, drawn_white = self._white()
        if white is None or drawn_white is None:
            return self._nothing()
        seen, aim = lab_of(self.xyz, white), lab_of(target, white)
        drawn, drawn_aim = self._drawn_lab, lab_of(drawn_target, drawn_white)
        return Distances(
            _ciede(seen, aim),
            _ciede(drawn, drawn_aim),
            _ciede(aim + (drawn - drawn_aim), np.broadcast_to(seen, drawn.shape)),
        )

    def _in_itp(self, target: Floats, drawn_target: Floats) -> Distances:
        off = _itp(self.xyz) - _itp(target)
        drawn_off = self._drawn_itp - _itp(drawn_target)
        return Distances(_length(off), _length(drawn_off), _length(drawn_off - off))

    @cached_property
    def _drawn_lab(self) -> Floats:
        _, white = self._white()
        return self._nothing().drawn if white is None else lab_of(self.drawn_xyz, white)

    @cached_property
    def _drawn_itp(self) -> Floats:
        return _itp(self.drawn_xyz)

    def _nothing(self) -> Distances:
        nothing = np.full(self.greys.count, np.nan)
        drawn = np.full(self.greys.drawn.shape, np.nan)
        return Distances(nothing, drawn, drawn)

    def _white(self) -> tuple[Floats | None, Floats | None]:
        """The white of L*a*b* (3,), and that of the draws (m, 1, 3); None for PQ and HLG.

        CIEDE2000 is made for surface colours under one white, which HDR greys outshine.
        """
        greys = self.greys
        if greys.transfer != "bt1886" or greys.white is None:
            return None, None
        drawn = np.where(greys.drawn_white > 0, greys.drawn_white, greys.white)
        return _d65(np.array(greys.white)), _d65(drawn[:, None])


def _d65(luminance: Floats) -> Floats:
    """XYZ (..., 3) of D65 greys of luminances (...), cd/m2."""
    return np.asarray(luminance[..., None] * xyz_of(1.0, D65))


def _itp(xyz: Floats) -> Floats:
    """(..., 3) in units of delta E ITP (Rec. ITU-R BT.2124-0, second-hand)."""
    return np.asarray(ictcp_of(xyz) * ITP_SCALE)


def _length(off: Floats) -> Floats:
    return np.asarray(np.sqrt((off**2).sum(-1)))


def _ciede(first: Floats, second: Floats) -> Floats:
    from colour.difference import delta_E_CIE2000

    return np.asarray(delta_E_CIE2000(first, second), np.float64)
