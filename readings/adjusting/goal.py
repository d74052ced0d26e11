"""What an adjustment aims at: points that are read, the light wanted of each, and their errors.

A point is a grey or a colour. Its *drives* are three numbers, red, green and blue: the light of
each channel above black, share of white's, to the power 1 / 2.4. A panel is driven so, whatever the
signal's transfer is: in drives a gain, an offset, a point of a multi-point control and most other
controls move a display by nearly the same for each click.

Errors are CIEDE2000 relative to the wanted white, and delta E ITP for PQ and HLG.

Its constants are choices of our own, tried on simulated displays, but where a source is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.aim import NOT_STATED, Aim
from patterns.signal.signal import Signal
from readings.colorimetry.difference import delta_e_2000, delta_e_itp
from readings.evidence.aim import light_of, matrix_of

Floats = NDArray[np.float64]
EXPONENT = 2.4
"""Of the drives: that of Rec. ITU-R BT.1886, annex 1 (from memory)."""
DARK = 1e-4
"""Share of white's light below which drives go straight to 0: noise about it stays small so."""
KEPT_WHITE = 0.85
"""Share of its luminance that white keeps where its weakest channel is weaker than that."""
ROLLS_OFF = 0.9
"""Share of the wanted light below which PQ is taken to be rolled off: a choice of our own."""
BELOW_PEAK = 0.8
"""Share of the brightest light that was read up to which PQ is adjusted then."""
_STEP = 1e-4
"""Of drives, for differences: farther off CIEDE2000 is no such form, where luminance is least."""


@dataclass(frozen=True, slots=True)
class Point:
    """A grey or a colour that is read on the way.

    Args:
        label: for people, `70 %` or `magenta`.
        signal: E' of red, green and blue, 0 to 1.
    """

    label: str
    signal: tuple[float, float, float]

    @property
    def grey(self) -> bool:
        """Whether it is a grey."""
        return len(set(self.signal)) == 1

    @property
    def black(self) -> bool:
        """Whether it is 0 %."""
        return not any(self.signal)


def greys(levels: Sequence[float]) -> tuple[Point, ...]:
    """The points of greys, for levels in percent of the signal."""
    return tuple(Point(f"{level:g} %", (level / 100,) * 3) for level in levels)


def peak_of(white: ArrayLike, matrix: Floats) -> Floats:
    """Luminance (...) wanted of white, cd/m2, where none was stated, of its XYZ (..., 3) as found:
    without what its strong channels have too much of.

    Args:
        white: cd/m2.
        matrix: (3, 3) linear RGB to XYZ, with Y = 1 for 1, 1, 1.
    """
    lit = np.asarray(white, np.float64)
    weakest = (lit @ np.linalg.inv(matrix).T).min(-1)
    return np.asarray(np.maximum(weakest, KEPT_WHITE * lit[..., 1]))


@dataclass(frozen=True, eq=False)
class Goal:
    """The points of an adjustment and the light wanted of each.

    Args:
        points: in the order of their signal.
        xyz: (n, 3) wanted XYZ, cd/m2. Black is wanted as it was found.
        white: (3,) XYZ that Lab is relative to: the wanted white.
        black: (3,) XYZ of 0 % as found, where drives begin.
        matrix: (3, 3) linear RGB to XYZ, with Y = 1 for 1, 1, 1.
        itp: whether errors are delta E ITP.
    """

    points: tuple[Point, ...]
    xyz: Floats
    white: Floats
    black: Floats
    matrix: Floats
    itp: bool

    @classmethod
    def of(
        cls,
        points: Sequence[Point],
        signal: Signal,
        white: ArrayLike,
        black: ArrayLike,
        aim: Aim = NOT_STATED,
    ) -> Goal:
        """The goal of an adjustment, from the first readings.

        White's luminance is what was stated, or else what white was read to have without what its
        strong channels have too much of. PQ is absolute; where the display rolls off, points are
        left out that it cannot reach.

        Args:
            points: what may be read; for PQ the brightest grey is what `white` was read of.
            signal: of the pattern.
            white: (3,) XYZ of the brightest grey as found, cd/m2.
            black: (3,) XYZ of 0 % as found, cd/m2.
            aim: what was stated.

        Raises:
            ValueError: no light was read of white.
        """
        lit, dark = np.asarray(white, np.float64), np.asarray(black, np.float64)
        if not (lit > 0).all() or not (lit > dark).all():
            raise ValueError("white has no light above black, so nothing can be adjusted by it")
        matrix = matrix_of(signal.primaries, aim.white_xy)
        values = np.array([point.signal for point in points])
        absolute = signal.transfer.name == "pq"
        peak = aim.white or float(peak_of(lit, matrix))
        floor = min(max(float(dark[1]), 0.0), 0.5 * peak)
        if absolute:
            peak = float(light_of(signal, values, 1.0, 0.0, aim)[:, 1].max())
        light = light_of(signal, values, peak, floor, aim)
        chosen = list(points)
        if absolute and lit[1] < ROLLS_OFF * peak:
            inside = (light <= BELOW_PEAK * lit[1]).all(-1)
            chosen = [point for point, kept in zip(points, inside, strict=True) if kept]
            light = light[inside]
            if not light.any():
                raise ValueError("no point is left that the display is bright enough for")
            peak = float(light[:, 1].max())
        wanted = light @ matrix.T
        for place, point in enumerate(chosen):
            if point.black:
                wanted[place] = dark
        return cls(
            points=tuple(chosen),
            xyz=wanted,
            white=peak * matrix.sum(1),
            black=dark,
            matrix=matrix,
            itp=signal.transfer.name in ("pq", "hlg"),
        )

    # ---- light and drives

    def channels(self, xyz: ArrayLike) -> Floats:
        """Light above black of red, green, blue (..., 3), share of white's, of XYZ (..., 3)."""
        above = np.asarray(xyz, np.float64) - self.black
        return np.asarray(above @ np.linalg.inv(self.matrix).T / self.white[1])

    def drives(self, xyz: ArrayLike) -> Floats:
        """Drives (..., 3) of XYZ (..., 3) in cd/m2; below 0 where there is less than black."""
        light = self.channels(xyz)
        size = np.abs(light)
        straight = size * DARK ** (1 / EXPONENT - 1)
        with np.errstate(divide="ignore"):
            return np.asarray(
                np.sign(light) * np.where(size < DARK, straight, size ** (1 / EXPONENT))
            )

    def light(self, drives: ArrayLike) -> Floats:
        """XYZ (..., 3) in cd/m2 of drives (..., 3)."""
        given = np.asarray(drives, np.float64)
        size = np.abs(given)
        low = DARK ** (1 / EXPONENT)
        share = np.sign(given) * np.where(
            size < low, size * DARK ** (1 - 1 / EXPONENT), size**EXPONENT
        )
        return np.asarray(self.white[1] * share @ self.matrix.T + self.black)

    @cached_property
    def wanted(self) -> Floats:
        """Drives (n, 3) of what is wanted."""
        return self.drives(self.xyz)

    def slopes(self, drives: ArrayLike) -> Floats:
        """How XYZ changes with the drives, (..., 3, 3): its rows are X, Y, Z."""
        given = np.asarray(drives, np.float64)
        size = np.maximum(np.abs(given), DARK ** (1 / EXPONENT))
        share = np.where(
            np.abs(given) < DARK ** (1 / EXPONENT),
            DARK ** (1 - 1 / EXPONENT),
            EXPONENT * size ** (EXPONENT - 1),
        )
        return np.asarray(self.white[1] * self.matrix * share[..., None, :])

    # ---- errors

    def errors(self, xyz: ArrayLike, places: ArrayLike | None = None) -> Floats:
        """Delta E (..., n) of XYZ (..., n, 3) from what is wanted of all points, or of some."""
        wanted = self.xyz if places is None else self.xyz[np.asarray(places)]
        found = np.asarray(xyz, np.float64)
        if self.itp:
            return delta_e_itp(found, wanted)
        return delta_e_2000(found, np.broadcast_to(wanted, found.shape), self.white)

    def error(self, point: int, xyz: ArrayLike) -> float:
        """Delta E of XYZ (3,) from what is wanted of one point."""
        return float(self.errors(np.asarray(xyz, np.float64)[None], [point])[0])

    @cached_property
    def squares(self) -> Floats:
        """(n, 3, 3): delta E squared is nearly e' Q e, for drives e off what is wanted.

        From second differences of delta E squared about the target. CIEDE2000 is such a form near
        a grey: dL'^2 / SL^2 + (1.5 da)^2 + db^2, as a' = 1.5 a there (CIE 15:2018, second-hand).
        """
        found = np.zeros((len(self.points), 3, 3))
        axes = np.eye(3)

        def square(step: Floats) -> Floats:
            return self.errors(self.light(self.wanted + size[:, None] * step)) ** 2

        size = np.full(len(self.points), _STEP)
        for one in range(3):
            found[:, one, one] = (square(axes[one]) + square(-axes[one])) / 2 / size**2
        for one, other in ((0, 1), (0, 2), (1, 2)):
            both, apart = axes[one] + axes[other], axes[one] - axes[other]
            cross = (square(both) + square(-both) - square(apart) - square(-apart)) / 8 / size**2
            found[:, one, other] = found[:, other, one] = cross
        values, vectors = np.linalg.eigh(found)
        return np.asarray((vectors * np.maximum(values, 0)[:, None]) @ vectors.transpose(0, 2, 1))
