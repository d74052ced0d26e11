"""The four-colour matrix method, and two least squares methods to compare it with.

The four-colour method is that of Y. Ohno and J. E. Hardis, "Four-color matrix method for
correction of tristimulus colorimeters", Proc. IS&T 5th Color Imaging Conf. (1997) 301-305, and
Y. Ohno and S. Brown, 6th CIC (1998) 65-68. The papers were not read: the algorithm is from memory.
The other two are of the kind that ASTM E1455 describes, second-hand and from memory.

The four-colour method fits chromaticities alone, so that neither flicker nor a drift of the
display between the two instruments enters them; one factor then fits the luminance of white. With
z = 1 - x - y, columns (x, y, z) of red, green and blue in P, and white in w, for the meter (m) and
the reference (r):

    P_m k_m = w_m    P_r k_r = w_r        the weights of the primaries in white
    M = P_m diag(k_m)    N = P_r diag(k_r)
    R = N M^-1                            brings all four chromaticities over exactly
    k_Y = Y_r,white / (R XYZ_m,white)_Y   brings the luminance of white over
    corrected XYZ = k_Y R XYZ
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from patterns.errors import BAD_INPUT, LitfieldError

PRIMARIES = ("red", "green", "blue")
FOUR = (*PRIMARIES, "white")
Matrix = NDArray[np.floating[Any]]


class CorrectionError(LitfieldError, ValueError):
    """A correction cannot be worked out or is not trusted; ``str()`` is one or more sentences."""

    exit_code = BAD_INPUT


@dataclass(frozen=True, slots=True)
class Light:
    """A colour as an instrument gave it."""

    luminance: float
    """cd/m2, above 0."""
    x: float
    y: float
    """CIE 1931 chromaticity; y above 0."""

    @property
    def tristimulus(self) -> Matrix:
        """CIE 1931 X Y Z, shape (3,), Y in cd/m2."""
        return tristimulus(self.luminance, self.x, self.y)

    @property
    def chromaticity(self) -> Matrix:
        """Chromaticity x y z, shape (3,), of sum 1."""
        return np.array([self.x, self.y, 1.0 - self.x - self.y])

    @classmethod
    def from_tristimulus(cls, xyz: Iterable[float]) -> Light:
        """From X Y Z. Raises CorrectionError where they are no light."""
        big_x, big_y, big_z = (float(value) for value in xyz)
        total = big_x + big_y + big_z
        if not (math.isfinite(total) and total > 0 and big_y > 0):
            raise CorrectionError(f"X Y Z of {big_x:g}, {big_y:g}, {big_z:g} are no light.")
        return cls(big_y, big_x / total, big_y / total)

    @classmethod
    def mean(cls, lights: Sequence[Light]) -> Light:
        """The mean of repeats, taken over X Y Z."""
        with np.errstate(all="ignore"):
            return cls.from_tristimulus(np.mean([light.tristimulus for light in lights], axis=0))


Lights = Mapping[str, Light]
"""Colours by name: at least those of FOUR."""


def tristimulus(luminance: float, x: float, y: float) -> Matrix:
    """CIE 1931 X Y Z, shape (3,), from luminance in cd/m2 and a chromaticity with y above 0."""
    return np.array([x, y, 1.0 - x - y]) * (luminance / y)


@dataclass(frozen=True, slots=True)
class FourColour:
    """A correction by the four-colour matrix method, with what it was made of on the way."""

    weights_meter: Matrix
    """k_m, shape (3,): what red, green and blue give to white as the meter saw them."""
    weights_reference: Matrix
    """k_r, shape (3,)."""
    meter: Matrix
    """M, shape (3, 3)."""
    reference: Matrix
    """N, shape (3, 3)."""
    relative: Matrix
    """R, shape (3, 3): without the factor of luminance."""
    factor: float
    """k_Y."""
    condition: float
    """Condition number of M (2-norm): how much it magnifies relative errors at worst."""

    @property
    def matrix(self) -> Matrix:
        """k_Y R, shape (3, 3): corrected XYZ = matrix times measured XYZ."""
        return self.factor * self.relative


def four_colour(meter: Lights, reference: Lights) -> FourColour:
    """The correction that brings the meter's red, green, blue and white to the reference's.

    Raises:
        CorrectionError: the primaries of one instrument lie on a line, or one adds nothing to
            white, so that there is no such matrix.
    """
    own, weights_meter = _relative(meter, "meter")
    theirs, weights_reference = _relative(reference, "reference")
    if not np.all(np.abs(weights_meter) > np.finfo(float).eps):
        raise CorrectionError("As the meter saw it, white lies on a side of the triangle.")
    # R = N M^-1, that is M^T R^T = N^T
    relative = np.linalg.solve(own.T, theirs.T).T
    raised = float((relative @ meter["white"].tristimulus)[1])
    if raised == 0:
        raise CorrectionError("The correction would make white black.")
    return FourColour(
        weights_meter=weights_meter,
        weights_reference=weights_reference,
        meter=own,
        reference=theirs,
        relative=relative,
        factor=reference["white"].luminance / raised,
        condition=float(np.linalg.cond(own)),
    )


def _relative(lights: Lights, whose: str) -> tuple[Matrix, Matrix]:
    """P diag(k) and k of one instrument."""
    primaries = np.column_stack([lights[name].chromaticity for name in PRIMARIES])
    # det P is twice the area of the triangle in x y; exactly 0 has no weights at all
    if abs(np.linalg.det(primaries)) < 1e-9:
        raise CorrectionError(f"Red, green and blue of the {whose} lie on a line in x, y.")
    weights = np.linalg.solve(primaries, lights["white"].chromaticity)
    return primaries * weights, weights


def three_colour(meter: Lights, reference: Lights) -> Matrix:
    """The matrix, shape (3, 3), that brings absolute X Y Z of red, green and blue over exactly.

    Any drift of the display between the two instruments goes straight into it.
    """
    own, theirs = (_columns(lights, PRIMARIES) for lights in (meter, reference))
    if np.linalg.matrix_rank(own) < 3:
        raise CorrectionError("Red, green and blue of the meter lie on a line in x, y.")
    return np.asarray(np.linalg.solve(own.T, theirs.T).T)


def least_squares(meter: Lights, reference: Lights, names: Sequence[str] = FOUR) -> Matrix:
    """The matrix, shape (3, 3), with the least sum of squares in absolute X Y Z over `names`.

    Any drift of the display between the two instruments goes straight into it.
    """
    own, theirs = (_columns(lights, names) for lights in (meter, reference))
    if np.linalg.matrix_rank(own) < 3:
        raise CorrectionError("The colours of the meter lie on a line in x, y.")
    return np.asarray(np.linalg.lstsq(own.T, theirs.T, rcond=None)[0].T)


def _columns(lights: Lights, names: Sequence[str]) -> Matrix:
    return np.column_stack([lights[name].tristimulus for name in names])


@dataclass(frozen=True, slots=True)
class Residual:
    """What is left between a corrected colour and the reference's: corrected minus reference."""

    colour: str
    x: float
    y: float
    luminance: float
    """Relative: 0.01 is 1 % too bright."""
    fitted: bool
    """Whether the colour is one of the four; other colours check the correction."""

    @property
    def chromaticity(self) -> float:
        """The larger of the differences in x and in y, without its sign."""
        return max(abs(self.x), abs(self.y))


def residuals(matrix: Matrix, meter: Lights, reference: Lights) -> list[Residual]:
    """Residuals of every colour that both have, the four first.

    The four-colour method leaves nothing in x and y of the four, nor in the luminance of white:
    what the other colours keep is what shows how good it is.

    Raises:
        CorrectionError: a corrected colour is no light any more.
    """
    both = [name for name in meter if name in reference]
    names = [*FOUR, *(name for name in both if name not in FOUR)]
    return [_residual(name, matrix, meter[name], reference[name]) for name in names]


def _residual(name: str, matrix: Matrix, own: Light, theirs: Light) -> Residual:
    corrected = Light.from_tristimulus(matrix @ own.tristimulus)
    return Residual(
        colour=name,
        x=corrected.x - theirs.x,
        y=corrected.y - theirs.y,
        luminance=corrected.luminance / theirs.luminance - 1,
        fitted=name in FOUR,
    )
