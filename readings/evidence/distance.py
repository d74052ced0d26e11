"""Distances: colour differences, shifts of chromaticity, and how uneven a screen is.

None is ever below 0, so errors of the meter lift them: a display without any error does not read 0.
How far is said in one way, whatever was read and whichever finding it stands in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import D65, Floats, uv_of, xyz_of
from readings.colorimetry.difference import ciede2000, itp_of, lab_of
from readings.colorimetry.uniformity import largest_apart, non_uniformity
from readings.evidence.uncertainty import COVERAGE


class WithDraws(NamedTuple):
    """Something worked out from the readings, and the same from each draw of their errors."""

    read: Floats
    """(...)"""
    draws: Floats
    """(m, ...)"""


@dataclass(frozen=True, eq=False)
class Distance:
    """Distances (...) as read, and from each of m draws; NaN where they are not known."""

    value: Floats
    """(...), never below 0."""
    drawn: Floats
    """(m, ...)."""
    apart: Floats
    """(m, ...): how far each draw lies from the reading itself, in the same unit. That is what the
    errors alone would make of a distance of 0, and no draw's distance differs from the value by
    more."""
    known: bool
    """Whether the uncertainty of all that went into it is known."""

    @classmethod
    def of_vectors(cls, off: WithDraws, *, known: bool) -> Distance:
        """The lengths of vectors (..., k)."""
        read, draws = off
        return cls(_length(read), _length(draws), _length(draws - read), known)

    def of(self, which: NDArray[np.bool_] | NDArray[np.intp] | int) -> Distance:
        """Some of them, or one, by their places on the last axis."""
        return Distance(
            self.value[..., which], self.drawn[..., which], self.apart[..., which], self.known
        )

    def largest(self) -> int:
        """The place of the one (n,) that reads largest; there is one that is known."""
        return int(np.nanargmax(self.value))

    def mean(self) -> Distance:
        """Their average over the last axis."""
        return Distance(
            np.asarray(self.value.mean(-1)), self.drawn.mean(-1), self.apart.mean(-1), self.known
        )

    def errors(self) -> Floats:
        """(...) What the errors alone make of a distance of 0, on the average."""
        return _moments(self.apart)[0]

    def expanded(self) -> Floats | None:
        """Expanded uncertainty (...), k = 2; None where it is not known.

        The draws lie above the value by about as much as the value lies above the truth: it is
        that, and two standard deviations of the draws. Where the value is no larger than what the
        errors alone make of 0 (their mean and two standard deviations), the truth may be 0, and the
        uncertainty is at least the value; from there to twice that the one way goes over into the
        other, so that no step shows where none is. It is never more than what the errors alone
        make, since a distance changes by no more than its ends move.
        """
        if not self.known:
            return None
        mean, deviation = _moments(self.drawn)
        least = np.abs(mean - self.value) + COVERAGE * deviation
        average, scatter = _moments(self.apart)
        alone = average + COVERAGE * scatter
        near = np.maximum(least, np.minimum(self.value, alone))
        share = _nearness(self.value, alone)
        return np.asarray(np.minimum(share * near + (1 - share) * least, alone))


def delta_e_itp_of(seen: WithDraws, aim: WithDraws, *, known: bool) -> Distance:
    """Delta E ITP of colours and their targets, each (n, 3) XYZ in cd/m2."""
    off = WithDraws(itp_of(seen.read) - itp_of(aim.read), itp_of(seen.draws) - itp_of(aim.draws))
    return Distance.of_vectors(off, known=known)


def delta_e_2000_of(seen: WithDraws, aim: WithDraws, white: WithDraws, *, known: bool) -> Distance:
    """CIEDE2000 of colours and their targets, each (n, 3) XYZ in cd/m2.

    Args:
        seen: the colours.
        aim: their targets.
        white: luminance () of the white, cd/m2; L*a*b* is relative to D65 of that luminance.
        known: whether the uncertainty of all three is known.
    """
    by, drawn_by = (lit[..., None, None] * xyz_of(1.0, D65) for lit in white)
    lab, meant = lab_of(seen.read, by), lab_of(aim.read, by)
    drawn_lab, drawn_meant = lab_of(seen.draws, drawn_by), lab_of(aim.draws, drawn_by)
    # against the target: what moves both alike, such as the gain of the meter, moves nothing
    moved = meant + (drawn_lab - drawn_meant)
    return Distance(
        ciede2000(lab, meant),
        ciede2000(drawn_lab, drawn_meant),
        ciede2000(moved, np.broadcast_to(lab, moved.shape)),
        known,
    )


def delta_uv_of(xy: WithDraws, other: WithDraws, *, known: bool) -> Distance:
    """Distances in u', v' of chromaticities x, y (..., 2) from others (..., 2)."""
    off = WithDraws(uv_of(xy.read) - uv_of(other.read), uv_of(xy.draws) - uv_of(other.draws))
    return Distance.of_vectors(off, known=known)


def largest_delta_uv_of(xy: WithDraws, *, known: bool) -> Distance:
    """The largest distance () in u', v' over all pairs of chromaticities x, y (n, 2)."""
    uv, draws = uv_of(xy.read), uv_of(xy.draws)
    return Distance(largest_apart(uv), largest_apart(draws), largest_apart(draws - uv), known)


def non_uniformity_of(light: WithDraws, *, known: bool) -> Distance:
    """Non-uniformity () in % of luminances or contrasts (n,), the highest of them above 0."""
    with np.errstate(invalid="ignore", divide="ignore"):
        shares, drawn = (each / each.max(-1, keepdims=True) for each in light)
        apart = 100 * np.ptp(drawn - shares, axis=-1)
        return Distance(non_uniformity(light.read), non_uniformity(light.draws), apart, known)


def _moments(drawn: Floats) -> tuple[Floats, Floats]:
    """Mean and standard deviation (...) of draws (m, ...); those that are NaN are left out."""
    fine = np.isfinite(drawn)
    with np.errstate(invalid="ignore", divide="ignore"):
        count = fine.sum(0)
        mean = np.where(fine, drawn, 0.0).sum(0) / count
        spread = np.where(fine, drawn - mean, 0.0) ** 2
        return np.asarray(mean), np.asarray(np.sqrt(spread.sum(0) / count))


def _nearness(value: Floats, errors: Floats) -> Floats:
    """How much a distance (...) is one of errors alone: 1 up to their size, 0 from twice that."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.nan_to_num(value / errors, nan=np.inf)
    return np.clip(2 - share, 0.0, 1.0)


def _length(off: Floats) -> Floats:
    return np.asarray(np.sqrt((off**2).sum(-1)))
