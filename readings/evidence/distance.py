"""Distances: colour differences, shifts of chromaticity, and how uneven a screen is.

None is ever below 0, so errors of the meter lift them: a display without any error does not read 0.
How far is said in one way, whatever was read and whichever finding it stands in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import D65, Floats, uv_of, xyz_of
from readings.colorimetry.difference import ciede2000, itp_of, lab_of
from readings.colorimetry.uniformity import largest_apart, non_uniformity


class WithDraws(NamedTuple):
    """Something worked out from the readings, and the same from each draw of their errors."""

    read: Floats
    """(...)"""
    draws: Floats
    """(m, ...)"""


Interval = tuple[Floats, Floats]
"""The lower and the upper ends (...) of what the truths may be, with 95 %."""
SHARES = 0.02275, 0.97725
"""Below and above two standard deviations of a normal distribution: k = 2."""
HALVINGS = 16


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
    of_many: Interval | None = None
    """Of an average, or the largest of several, what its truth may be: it is worked out from what
    was averaged, or compared."""

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

    def most(self) -> Distance:
        """The largest over the last axis, whichever it is in truth: its interval ends where the
        highest of their lower ends and the highest of their upper ends are."""
        ends = self.interval()
        span = None
        if ends is not None:
            span = np.asarray(ends[0].max(-1)), np.asarray(ends[1].max(-1))
        return Distance(
            np.asarray(self.value.max(-1)),
            self.drawn.max(-1),
            np.take(self.apart, self.largest(), -1),
            self.known,
            span,
        )

    def mean(self) -> Distance:
        """Their average over the last axis."""
        span = None
        if self.known:
            span = _intervals(self.value, self.drawn, self.apart)
        value = np.asarray(self.value.mean(-1))
        return Distance(value, self.drawn.mean(-1), self.apart.mean(-1), self.known, span)

    def errors(self) -> Floats:
        """(...) What the errors alone make of a distance of 0, on the average."""
        return _moments(self.apart)[0]

    def interval(self) -> Interval | None:
        """What the truths (...) may be, with 95 %; None where the uncertainty is not known.

        Errors lift a distance, most where it is small, so a value and a ± round it would miss the
        truth of a display that is nearly right. Instead it is asked which truths would, with these
        errors, have been read so (a confidence interval after Neyman). The truths tried are what
        was read, shrunk or stretched as a whole: s times a length d, with an error of length a
        across it, reads sqrt((s d)^2 + a^2 + 2 s d a cos), whose angle each draw tells. The lower
        end is the smallest that reads as much as this in 2.3 % of the draws, 0 where the errors
        alone do; the upper end the largest that reads as little in 2.3 %, and at least what 2.3 %
        of the draws exceed: errors that many lengths share may have taken from all of them alike,
        which no shrinking shows. It is never further than the errors reach.
        """
        return self._ends

    @cached_property
    def _ends(self) -> Interval | None:
        if self.of_many is not None or not self.known:
            return self.of_many
        return _intervals(self.value[..., None], self.drawn[..., None], self.apart[..., None])


def change_of(first: Distance, later: Distance) -> Interval | None:
    """What the later distances (...) less the first may be in truth, with 95 %; None: not known.

    From the intervals of both, whose arms go by squares; what both share, as their draws tell by
    how they hang together, is left out (method of variance estimates recovery: Zou and Donner,
    Statistics in Medicine 27 (2008) 1693-1702, from memory). So where the one interval ends below
    the other, a change is sure, and what one meter errs by alike in both cancels.
    """
    before, after = first.interval(), later.interval()
    if before is None or after is None:
        return None
    change = later.value - first.value
    alike = _correlation(first.drawn, later.drawn)

    def arm(one: Floats, other: Floats) -> Floats:
        return np.sqrt(np.maximum(one**2 + other**2 - 2 * alike * one * other, 0.0))

    low = arm(later.value - after[0], before[1] - first.value)
    high = arm(after[1] - later.value, first.value - before[0])
    return np.asarray(change - low), np.asarray(change + high)


def _correlation(first: Floats, later: Floats) -> Floats:
    """How draws (m, ...) of two things hang together (...), -1 to 1; 0 where one is fixed."""
    fine = np.isfinite(first) & np.isfinite(later)
    (one, spread), (other, spread_too) = (
        _moments(np.where(fine, each, np.nan)) for each in (first, later)
    )
    both, _ = _moments(np.where(fine, (first - one) * (later - other), np.nan))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = both / (spread * spread_too)
    return np.clip(np.where(np.isfinite(share), share, 0.0), -1.0, 1.0)


def _intervals(value: Floats, drawn: Floats, apart: Floats) -> Interval:
    """Ends (...) of the averages over the last axis of lengths (..., p) with draws (m, ..., p)."""
    low_share, high_share = SHARES
    across = drawn**2 - value**2 - apart**2
    read = np.asarray(value.mean(-1))
    means = drawn.mean(-1)

    def reads(scale: Floats, share: float) -> Floats:
        """A quantile (...) of what is read of the lengths scaled by (...)."""
        by = scale[..., None]
        squares = (by * value) ** 2 + apart**2 + by * across
        return _quantile(np.sqrt(np.maximum(squares, 0.0)).mean(-1), share)

    reach = _quantile(apart.mean(-1), high_share)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        top = np.where(read > 0, 1 + 2 * reach / read, 1.0)
        low = _crossing(lambda s: reads(s, high_share), read, np.ones_like(read)) * read
        high = _crossing(lambda s: reads(s, low_share), read, top) * read
    # what halving leaves is no uncertainty
    high = np.where(high - read <= 2 * top * read * 2.0**-HALVINGS, read, high)
    high = np.clip(
        np.maximum(high, _quantile(means, high_share)), read, read + np.maximum(reach, 0.0)
    )
    nothing = ~np.isfinite(read)
    return np.where(nothing, np.nan, np.minimum(low, read)), np.where(nothing, np.nan, high)


def _crossing(reads: Callable[[Floats], Floats], read: Floats, top: Floats) -> Floats:
    """The scale (...) from 0 to `top` at which what is read, which grows with it, comes to this.

    0 where it is more already at 0, the top where it is less even there.
    """
    under, over = np.zeros_like(read), np.array(top)
    over = np.where(reads(under) >= read, under, over)
    for _ in range(HALVINGS):
        middle = (under + over) / 2
        enough = reads(middle) >= read
        under, over = np.where(enough, under, middle), np.where(enough, middle, over)
    return over


def _quantile(drawn: Floats, share: float) -> Floats:
    """A quantile (...) of draws (m, ...); those that are NaN are left out."""
    fine = np.isfinite(drawn)
    if fine.all():
        place = round(share * (len(drawn) - 1))
        return np.asarray(np.partition(drawn, place, axis=0)[place])
    places = np.rint(share * np.maximum(fine.sum(0) - 1, 0)).astype(int)
    ordered = np.sort(np.where(fine, drawn, np.nan), axis=0)  # what is NaN comes last
    return np.asarray(np.take_along_axis(ordered, places[None], axis=0)[0])


def delta_e_itp_of(seen: WithDraws, aim: WithDraws, *, known: bool) -> Distance:
    """Delta E ITP of colours and their targets, each (n, 3) XYZ in cd/m2."""
    off = WithDraws(itp_of(seen.read) - itp_of(aim.read), itp_of(seen.draws) - itp_of(aim.draws))
    return Distance.of_vectors(off, known=known)


def delta_e_2000_of(
    seen: WithDraws,
    aim: WithDraws,
    white: WithDraws,
    *,
    known: bool,
    white_xy: tuple[float, float] = D65,
) -> Distance:
    """CIEDE2000 of colours and their targets, each (n, 3) XYZ in cd/m2.

    Args:
        seen: the colours.
        aim: their targets.
        white: luminance () of the white, cd/m2.
        known: whether the uncertainty of all three is known.
        white_xy: x, y of the white of that luminance that L*a*b* is relative to.
    """
    by, drawn_by = (lit[..., None, None] * xyz_of(1.0, white_xy) for lit in white)
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


def _length(off: Floats) -> Floats:
    return np.asarray(np.sqrt((off**2).sum(-1)))
