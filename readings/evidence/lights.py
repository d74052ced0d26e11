"""Readings as light with colour, and draws of what that light may really have been.

Findings of colour bend too much for a linear propagation: a delta E near 0, a polygon cut by
another. So they are worked out from draws (JCGM 101:2008, clauses 5 to 7, from memory): each draw
is one possible truth for all readings at once. What is stated is k = 2 times the root mean square
of how far the draws lie from the value.

How errors hang together: the error of gain of a meter is common to all its readings. So is its
error of chromaticity for colours that lie together; for colours far apart (`draws.REACH`) the
errors are as good as independent, since a maker promises x, y for every colour but not how they
hang together. What repeats, or a specified repeatability, show is independent from thing to thing.
Where neither is known, half of the variance is taken as common and half as independent.

Things may be drawn against the light that they are compared with, as their own meter would read
that: what it errs by alike in both is left out, and how it repeats is left in, with what its error
changes from the one light to the other. So a comparison stands as that meter sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import log10, sqrt
from statistics import fmean
from typing import Protocol
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats, uv_of, xy_of, xyz_of
from readings.evidence.measured import Measured
from readings.evidence.uncertainty import COVERAGE, Estimate, type_a

DRAWS = 1000
SEED = 20_310_504
REACH = 0.1
"""Distance in u', v' over which errors of chromaticity lose each other: a choice of our own."""
WAVES = 64
"""Of which an error of chromaticity is made: correlations are right to 0.06."""
CALIBRATED = 100.0
"""cd/m2 at which a meter that is not linear is taken to be right; of ratios it cancels."""
GAIN, FIELD, OWN, BEND, APART = range(5)
"""What a stream of random numbers is for."""


@lru_cache(maxsize=64)
def gain_of(meter: str | None) -> Floats:
    """(m,) errors of gain of a meter, of standard deviation 1."""
    return _stream(GAIN, repr(meter)).standard_normal(DRAWS)


@lru_cache(maxsize=64)
def bend_of(meter: str | None) -> Floats:
    """(m,) how far from linear a meter is, -1 to 1 of what its maker promises, all alike."""
    return 2 * _stream(BEND, repr(meter)).random(DRAWS) - 1


@lru_cache(maxsize=64)
def apart_of(meter: str | None) -> Floats:
    """(m,) what the gain of a meter has of its own far from where it is read otherwise, of
    standard deviation 1."""
    return _stream(APART, repr(meter)).standard_normal(DRAWS)


def field_of(meter: str | None, uv: Floats) -> Floats:
    """(m, n, 2) errors in x and y at colours (n, 2) in u', v', of standard deviation 1.

    They are alike where colours lie together: their correlation is exp(-d^2 / (2 REACH^2)) at a
    distance d, made of waves over the diagram (random Fourier features: Rahimi and Recht 2007,
    from memory; with waves laid out on a spiral in place of drawn ones).
    """
    angle = uv @ _waves().T
    shapes = np.concatenate([np.cos(angle), np.sin(angle)], -1) / np.sqrt(WAVES)
    return np.moveaxis(np.tensordot(_amplitudes(meter), shapes, (1, 1)), -1, 1)


def own_of(seed: int) -> np.random.Generator:
    """The random numbers of one thing that was read, by itself."""
    return _stream(OWN, str(seed))


@lru_cache(maxsize=16)
def _amplitudes(meter: str | None) -> Floats:
    """(m, 2 WAVES, 2)."""
    return _stream(FIELD, repr(meter)).standard_normal((DRAWS, 2 * WAVES, 2))


@lru_cache(maxsize=1)
def _waves() -> Floats:
    """(WAVES, 2) wave vectors, normally distributed as the correlation wants them."""
    number = np.arange(WAVES)
    radius = np.sqrt(-2 * np.log(1 - (number + 0.5) / WAVES)) / REACH
    turn = number * np.pi * (3 - np.sqrt(5)) / 2  # the golden angle, over half a turn
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], -1)


def _stream(what: int, key: str) -> np.random.Generator:
    return np.random.default_rng([SEED, what, crc32(key.encode())])


LEAST_Y = 1e-6
"""The least y of a drawn chromaticity: below it there is no light to speak of."""


@dataclass(frozen=True, eq=False)
class Lights:
    """n things, each the mean of its repeats, and `DRAWS` possible truths of them."""

    things: tuple[tuple[Measured, ...], ...]
    """The readings of each thing that count."""
    estimates: tuple[Estimate, ...]
    xy: Floats
    """(n, 2); NaN where no colour was read."""
    drawn_luminance: Floats
    """(m, n), cd/m2, never below 0."""
    drawn_xyz: Floats
    """(m, n, 3), cd/m2; NaN where no colour was read."""
    known: bool
    """Whether the uncertainty of every luminance is known, or of what does not cancel in it."""
    colour_known: bool
    """Whether that of every chromaticity is known too."""

    @property
    def first(self) -> tuple[Measured, ...]:
        """The first reading of each thing: what was shown."""
        return tuple(repeats[0] for repeats in self.things)

    @cached_property
    def luminance(self) -> Floats:
        """(n,) cd/m2."""
        return np.array([estimate.value for estimate in self.estimates])

    @cached_property
    def at_floor(self) -> tuple[bool, ...]:
        """Whether each is no brighter than its meter is specified for."""
        return tuple(estimate.at_floor for estimate in self.estimates)

    @cached_property
    def xyz(self) -> Floats:
        """(n, 3) cd/m2; NaN where no colour was read."""
        return xyz_of(self.luminance, self.xy)

    @cached_property
    def coloured(self) -> NDArray[np.bool_]:
        """(n,): where light with a colour was read."""
        return np.isfinite(self.xyz).all(-1) & (self.luminance > 0)

    @property
    def freedom(self) -> float:
        """The fewest degrees of freedom that chance has to be reckoned with; may be infinite."""
        return min(estimate.degrees for estimate in self.estimates)

    def spread(self, value: Floats | float, drawn: Floats, *, colour: bool = True) -> Floats | None:
        """Expanded uncertainty (...) of a value (...) from its draws (m, ...); None: not known.

        Args:
            value: worked out from the readings.
            drawn: the same worked out from each draw.
            colour: whether chromaticities went into it.
        """
        return spread_of(value, drawn) if self.knows(colour=colour) else None

    def knows(self, *, colour: bool = True) -> bool:
        """Whether the uncertainty of every luminance is known, and with `colour` of every x, y."""
        return self.known and (self.colour_known or not colour)


@dataclass(frozen=True, eq=False)
class Ends:
    """The white and the black that targets rest on, by their places among lights."""

    lights: Lights
    at_white: int | None
    """None where none was read."""
    at_black: int | None

    @property
    def white(self) -> float | None:
        """cd/m2; None where none was read, or no light."""
        if self.at_white is None or not self.lights.luminance[self.at_white] > 0:
            return None
        return float(self.lights.luminance[self.at_white])

    @property
    def black(self) -> float:
        """cd/m2; 0 where none was read, or below."""
        return (
            0.0 if self.at_black is None else max(0.0, float(self.lights.luminance[self.at_black]))
        )

    @cached_property
    def drawn_white(self) -> Floats:
        """(m,); NaN where none was read, and in draws in which it is no brighter than black."""
        if self.at_white is None:
            return np.full(DRAWS, np.nan)
        drawn = self.lights.drawn_luminance[:, self.at_white]
        return np.where(drawn > self.drawn_black, drawn, np.nan)

    @cached_property
    def drawn_black(self) -> Floats:
        """(m,)."""
        if self.at_black is None:
            return np.zeros(DRAWS)
        estimate = self.lights.estimates[self.at_black]
        if estimate.at_floor and estimate.floor is not None:
            # nothing is promised below the floor: it may be anything up to there
            return max(estimate.floor, 0.0) * own_of(estimate.seed).random(DRAWS)
        return self.lights.drawn_luminance[:, self.at_black]


def spread_of(value: Floats | float, drawn: Floats) -> Floats:
    """k = 2 times the root mean square distance of draws (m, ...) from a value (...).

    Draws that are not defined (NaN) are left out; NaN where none is.
    """
    apart = np.asarray((drawn - np.asarray(value)) ** 2)
    fine = np.isfinite(apart)
    count = fine.sum(0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(fine, apart, 0.0).sum(0) / count
        return np.asarray(COVERAGE * np.sqrt(mean))


class Gathers(Protocol):
    """Whoever gathers the readings that count, and what is to be warned of: a finding's basis."""

    def one_meter(self, repeats: Sequence[Measured]) -> list[Measured]:
        """Those of the meter that read most of them."""

    def estimate(self, repeats: Sequence[Measured]) -> Estimate:
        """The mean of repeats of one thing, cd/m2."""

    def warn(self, sentence: str) -> None:
        """Take a sentence for people."""


def lights_of(
    things: Sequence[Sequence[Measured]], gathers: Gathers, against: Floats | None = None
) -> Lights:
    """Things to work with, at least one, each with its repeats; `with_light` has kept them.

    Readings of a second meter are left out of a thing's repeats, and `gathers` is warned.

    Args:
        things: what was read.
        gathers: is told what speaks against it.
        against: (n, 3) XYZ in cd/m2 that each is compared with, as its meter would read that: what
            it errs by alike in both is left out of the draws. NaN where it is left in; None leaves
            it in everywhere.
    """
    kept = [tuple(gathers.one_meter(repeats)) for repeats in things]
    estimates = tuple(gathers.estimate(repeats) for repeats in kept)
    xy = np.array([_mean_xy(repeats) for repeats in kept])
    noises = [_noise(repeats) for repeats in kept]
    own = [own_of(estimate.seed) for estimate in estimates]
    beside = np.full((len(kept), 3), np.nan) if against is None else against
    luminance, quiet = _draw_luminance(estimates, noises, own, beside[:, 1])
    shifts, known = _draw_shifts(kept, estimates, xy, own, xy_of(beside))
    point = xy + shifts
    point[..., 1] = np.maximum(point[..., 1], LEAST_Y)
    xyz = xyz_of(quiet, point)
    xyz[..., 1] = np.where(np.isnan(xyz[..., 1]), np.nan, luminance)
    dark = [
        noise * random.standard_normal((DRAWS, 2))
        for noise, random in zip(noises, own, strict=True)
    ]
    xyz[..., ::2] = np.maximum(xyz[..., ::2] + np.stack(dark, 1), 0.0)  # NaN stays NaN
    if not known and np.isfinite(xy).any():
        gathers.warn(
            "The uncertainty of chromaticity of a meter is not known, so none is stated of what "
            "rests on it."
        )
    return Lights(
        tuple(kept),
        estimates,
        xy,
        luminance,
        xyz,
        all(
            _knows(e, alike=bool(np.isfinite(lit)))
            for e, lit in zip(estimates, beside[:, 1], strict=True)
        ),
        known,
    )


def _knows(estimate: Estimate, *, alike: bool) -> bool:
    """Whether all that is drawn of a luminance is known; what is `alike` needs no gain."""
    if alike and estimate.repeat is not None:
        return estimate.resolution is not None
    return estimate.known


def drawn_mean(estimates: Sequence[Estimate]) -> Floats:
    """(m,) possible truths of the mean of some luminances, cd/m2."""
    own = [own_of(estimate.seed) for estimate in estimates]
    drawn, _ = _draw_luminance(estimates, [0.0] * len(own), own, np.full(len(own), np.nan))
    return np.asarray(drawn.mean(1))


def _mean_xy(repeats: Sequence[Measured]) -> tuple[float, float]:
    points = [(r.x, r.y) for r in repeats if r.x is not None and r.y is not None and r.y > 0]
    if not points:
        return np.nan, np.nan
    return fmean(x for x, _ in points), fmean(y for _, y in points)


def _noise(repeats: Sequence[Measured]) -> float:
    """Standard deviation of the mean of X, Y and Z in the dark, cd/m2; 0 where none is stated."""
    specification = repeats[0].specification
    noise = (specification and specification.luminance_noise) or 0.0
    return noise / COVERAGE / sqrt(len(repeats))


def _draw_luminance(
    estimates: Sequence[Estimate],
    noises: Sequence[float],
    own: Sequence[np.random.Generator],
    beside: Floats,
) -> tuple[Floats, Floats]:
    """(m, n) possible truths of the luminances, and the same without the noise in the dark.

    That noise is another one in X and in Z, so they do not share the luminance's. Where there is
    light `beside` (n,), cd/m2, the gain that a meter has in both is left out.
    """
    drawn = np.empty((DRAWS, len(estimates)))
    quiet = np.empty_like(drawn)
    for n, (estimate, stated, random) in enumerate(zip(estimates, noises, own, strict=True)):
        alike = bool(np.isfinite(beside[n]))
        from_gain = np.zeros(DRAWS) if alike else gain_of(estimate.meter)
        alone = random.standard_normal(DRAWS)
        dark = random.standard_normal(DRAWS)
        rounded = (estimate.resolution or 0.0) * sqrt(12) * (random.random(DRAWS) - 0.5)
        gain, value = estimate.gain or 0.0, estimate.value
        if estimate.repeat is None:
            common = value * gain * (from_gain + alone) / sqrt(2)
            noise = 0.0
        else:
            noise = min(stated, estimate.repeat)
            rest = sqrt(estimate.repeat**2 - noise**2)
            common = value * gain * from_gain + rest * alone
        right = float(beside[n]) if alike else CALIBRATED
        if estimate.linearity is not None and value > 0 and right > 0:
            tilt = estimate.linearity * log10(value / right)
            common = common + value * tilt * bend_of(estimate.meter)
        quiet[:, n] = value + common + rounded
        drawn[:, n] = quiet[:, n] + noise * dark
    return np.maximum(drawn, 0.0), np.maximum(quiet, 0.0)


def _draw_shifts(
    things: Sequence[Sequence[Measured]],
    estimates: Sequence[Estimate],
    xy: Floats,
    own: Sequence[np.random.Generator],
    beside: Floats,
) -> tuple[Floats, bool]:
    """(m, n, 2) errors of x, y, and whether their size is known for every colour.

    Where there is a colour `beside` (n, 2), they are less what the meter errs by there. Of a meter
    of which only the repeatability is known, that is all there is then.
    """
    shifts = np.zeros((DRAWS, len(things), 2))
    coloured: NDArray[np.bool_] = np.atleast_1d(np.isfinite(xy).all(-1))
    known = True
    for meter in sorted({estimate.meter for estimate in estimates}, key=str):
        mine = [n for n, e in enumerate(estimates) if e.meter == meter and coloured[n]]
        if not mine:
            continue
        alike: NDArray[np.bool_] = np.atleast_1d(np.isfinite(beside[mine]).all(-1))
        common = field_of(meter, uv_of(xy[mine]))
        if alike.any():
            there = np.where(alike[:, None], beside[mine], xy[mine])
            common = common - alike[:, None] * field_of(meter, uv_of(there))
        for place, n in enumerate(mine):
            repeats = things[n]
            specification = repeats[0].specification
            stated = specification.chromaticity_uncertainty if specification else None
            alone = _alone(repeats)
            if stated is None and (alone is None or not alike[place]):
                known = False
                continue
            stated = 0.0 if stated is None else stated / COVERAGE
            digit = (specification and specification.chromaticity_resolution) or 0.0
            drawn = own[n].standard_normal((DRAWS, 2))
            shifts[:, n] = digit * (own[n].random((DRAWS, 2)) - 0.5)
            if alone is None:
                shifts[:, n] += stated * (common[:, place] + drawn) / sqrt(2)
            else:
                shifts[:, n] += stated * common[:, place] + alone * drawn
    return shifts, known


def _alone(repeats: Sequence[Measured]) -> float | None:
    """What is known of the mean's own error in x and y, standard: specified or seen."""
    points = [(r.x, r.y) for r in repeats if r.x is not None and r.y is not None]
    seen = [type_a([point[axis] for point in points]) for axis in (0, 1)]
    specification = repeats[0].specification
    promised = specification.chromaticity_repeatability if specification else None
    if promised is not None:
        return max(promised / COVERAGE / sqrt(len(points)), *(each or 0.0 for each in seen))
    return None if seen[0] is None or seen[1] is None else max(seen[0], seen[1])
