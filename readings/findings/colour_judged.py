"""Patches against what their codes stand for: differences of colour, and draws of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from readings.aim import aimed_xyz
from readings.colorimetry.chromaticity import D65, Floats, xy_of, xyz_of
from readings.colorimetry.difference import (
    delta_e_2000,
    delta_e_itp,
    ictcp_of,
    lightness_chroma_hue,
)
from readings.colorimetry.volume import ITP_SCALE
from readings.draws import DRAWS
from readings.evidence import Measured
from readings.findings.basis import Basis
from readings.lights import Lights, lights_of, nearness
from readings.shown import signal_of, values_of

MOST = 15_000
"""Patches times draws that are worked out: of a large chart, every so manieth draw."""
TINY = 1e-4
"""Below it a difference of lightness, chroma or hue is none."""
Measures = tuple[Floats, Floats | None]
"""A number for each patch, and its expanded uncertainty."""


@dataclass(frozen=True, eq=False)
class Distance:
    """A colour difference of n patches."""

    each: Floats
    """(n,)"""
    drawn: Floats
    """(m, n), from draws."""
    apart: Floats
    """(m, n): how far each draw lies from the reading."""

    def of(self, which: NDArray[np.bool_]) -> Distance:
        """The same of some of the patches."""
        return Distance(self.each[which], self.drawn[:, which], self.apart[:, which])


@dataclass(frozen=True, eq=False)
class Judged:
    """n patches, what they should have been, and how far they are from it."""

    lights: Lights
    target: Floats
    """(n, 3) XYZ, cd/m2; NaN where it is not known."""
    itp: Distance
    de2000: Distance | None
    """None under PQ and HLG, and without a white."""
    parts: Floats
    """(n, 3) differences of lightness, chroma and hue: of L*a*b*, or of I, T, P."""
    drawn_parts: Floats
    """(m, n, 3)"""
    reached: NDArray[np.bool_]
    """(n,): which of them ask for no more than the display's white gives; the others count in no
    average, as PQ can ask for far more than there is."""

    @property
    def count(self) -> int:
        """How many patches."""
        return len(self.target)

    def spread(self, distance: Distance) -> Floats | None:
        """Expanded uncertainty (n,) of the difference of each patch."""
        return self.spread_of(distance.each, distance.drawn, distance.apart)

    def spread_of(self, value: Floats | float, drawn: Floats, apart: Floats) -> Floats | None:
        """Expanded uncertainty (...) of a difference, of an average of some or of the largest.

        A difference is never below 0, so errors of the meter add to it: how far its draws lie
        above it on the average says by how much, and is added. Where it is no larger than those
        errors alone would make on a display without any error (their mean and two standard
        deviations), the truth may be 0, and the uncertainty is at least the value; from there to
        twice that the one goes over into the other. It is never
        more than what the errors alone would make, since a difference changes by no more than
        the colour moves.
        """
        far = self.lights.spread(value, drawn)
        if far is None:
            return None
        least = far + np.abs(drawn.mean(0) - value)
        alone = apart.mean(0) + 2 * apart.std(0)
        wide = least + (np.maximum(least, value) - least) * nearness(value, alone)
        return np.asarray(np.minimum(wide, alone))


def judged(
    patches: Sequence[Sequence[Measured]],
    white: Sequence[Measured],
    black: Sequence[Measured],
    basis: Basis,
) -> Judged:
    """Judge patches (at least one, each with its repeats) by a white and a black, if there are.

    PQ has targets without either; BT.1886 and HLG have none without a white, and take a black
    that was not read as 0.
    """
    things = [*patches, *(each for each in (white, black) if each)]
    lights = lights_of(things, basis)
    count = len(patches)
    first = lights.first[:count]
    transfer = first[0].signal.get("transfer")
    thin = slice(None, None, -(-count * DRAWS // MOST))
    xyz, drawn = lights.xyz[:count], lights.drawn_xyz[thin, :count]
    lit, drawn_lit = _at(lights, count if white else None, thin, np.nan)
    dark, drawn_dark = _at(lights, len(things) - 1 if black else None, thin, 0.0)
    if transfer != "pq":  # a draw in which white is no brighter than black says nothing
        fine = drawn_lit > drawn_dark
        if fine.any():
            drawn, drawn_lit, drawn_dark = drawn[fine], drawn_lit[fine], drawn_dark[fine]
        else:
            lit, drawn_lit = np.nan, np.full_like(drawn_lit, np.nan)
    target = aimed_xyz(first, lit, dark)
    drawn_target = aimed_xyz(first, drawn_lit, drawn_dark)
    # the gain of a meter is in the white too, so it moves no patch against its target
    with np.errstate(invalid="ignore", divide="ignore"):
        gain = np.ones_like(drawn_lit) if transfer == "pq" else lit / drawn_lit
    level = drawn * np.where(np.isfinite(gain), gain, np.nan)[:, None, None]
    itp = Distance(
        delta_e_itp(xyz, target), delta_e_itp(drawn, drawn_target), delta_e_itp(level, xyz)
    )
    if transfer == "bt1886" and white and lit > 0:
        unit = xyz_of(1.0, D65)
        by, drawn_by = lit * unit, drawn_lit[:, None, None] * unit
        de2000: Distance | None = Distance(
            delta_e_2000(xyz, target, by),
            delta_e_2000(drawn, drawn_target, drawn_by),
            delta_e_2000(level, xyz, by),
        )
        parts = _clean(lightness_chroma_hue(xyz, target, by))
        drawn_parts = lightness_chroma_hue(drawn, drawn_target, drawn_by)
    else:
        de2000 = None
        parts = _clean(_itp_parts(xyz, target))
        drawn_parts = _itp_parts(drawn, drawn_target)
    reached = _reached(first, lit) if transfer == "pq" else np.full(count, True)
    return Judged(lights, target, itp, de2000, parts, drawn_parts, reached)


def _clean(parts: Floats) -> Floats:
    """Without what arithmetic leaves of the hue of a grey."""
    return np.where(np.abs(parts) < TINY, 0.0, parts)


def _reached(shown: Sequence[Measured], white: float) -> NDArray[np.bool_]:
    """Whether no channel is asked for more light than white gives; True where nothing is known."""
    signal = signal_of(shown[0])
    if signal is None or not white > 0:
        return np.full(len(shown), True)
    values = [values_of(reading) for reading in shown]
    asked = [0.0 if each is None else float(signal.transfer.decode(each).max()) for each in values]
    return np.array(asked) <= white


def _at(lights: Lights, place: int | None, thin: slice, other: float) -> tuple[float, Floats]:
    """The luminance of a thing, never below 0, and its draws; `other` where there is none."""
    if place is None:
        return other, np.full_like(lights.drawn_luminance[thin, 0], other)
    return max(float(lights.luminance[place]), 0.0), lights.drawn_luminance[thin, place]


def _itp_parts(xyz: Floats, target: Floats) -> Floats:
    """Differences (..., 3) of intensity, chroma and hue, in units of delta E ITP."""
    point, aim = ictcp_of(xyz) * ITP_SCALE, ictcp_of(target) * ITP_SCALE
    chroma, meant = np.hypot(point[..., 1], point[..., 2]), np.hypot(aim[..., 1], aim[..., 2])
    # so that hue turns the same way round as in L*a*b*: P is towards red, T towards blue
    turned = aim[..., 1] * point[..., 2] - aim[..., 2] * point[..., 1]
    along = aim[..., 1] * point[..., 1] + aim[..., 2] * point[..., 2]
    hue = np.sign(turned) * np.sqrt(np.maximum(2 * (chroma * meant - along), 0.0))
    return np.stack([point[..., 0] - aim[..., 0], chroma - meant, hue], -1)


def xy_with_spread(found: Judged) -> tuple[Measures, Measures]:
    """x and y of the patches."""
    lights, count = found.lights, found.count
    drawn = xy_of(lights.drawn_xyz[:, :count])
    point = lights.xy[:count]
    return (
        (point[:, 0], lights.spread(point[:, 0], drawn[..., 0])),
        (point[:, 1], lights.spread(point[:, 1], drawn[..., 1])),
    )
