"""Sets of primaries with white D65, and their exact RGB-to-XYZ matrices.

Chromaticities: Rec. ITU-R BT.709-6 item 1.3, SMPTE EG 432-1 (P3-D65), Rec. ITU-R BT.2020-2
Table 3; code points: Rec. ITU-T H.273 Table 2. The matrices are derived in exact fractions
(SMPTE RP 177 method) and are not the rounded ones that the documents print.
Seen second-hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Matrix = tuple[tuple[Fraction, Fraction, Fraction], ...]
Point = tuple[Fraction, Fraction]

D65: Point = (Fraction(3127, 10_000), Fraction(3290, 10_000))


@dataclass(frozen=True)
class Primaries:
    """Chromaticities x, y of red, green, blue and white (CIE 1931, 2 degrees)."""

    name: str
    code_point: int
    """ColourPrimaries of Rec. ITU-T H.273 Table 2."""
    red: Point
    green: Point
    blue: Point
    white: Point = D65

    @cached_property
    def rgb_to_xyz(self) -> Matrix:
        """Exact 3 x 3 matrix from linear RGB (white = 1, 1, 1) to XYZ with Y of white = 1."""
        columns = [_xyz_of(point) for point in (self.red, self.green, self.blue)]
        unscaled: Matrix = tuple(
            (columns[0][row], columns[1][row], columns[2][row]) for row in range(3)
        )
        scale = apply(invert(unscaled), _xyz_of(self.white))
        return tuple((r * scale[0], g * scale[1], b * scale[2]) for r, g, b in unscaled)

    @cached_property
    def xyz_to_rgb(self) -> Matrix:
        """Exact inverse of :attr:`rgb_to_xyz`."""
        return invert(self.rgb_to_xyz)

    @cached_property
    def matrix(self) -> NDArray[np.float64]:
        """:attr:`rgb_to_xyz` as a float array of shape (3, 3)."""
        return np.array([[float(cell) for cell in row] for row in self.rgb_to_xyz])


def _xyz_of(point: Point) -> tuple[Fraction, Fraction, Fraction]:
    x, y = point
    return x / y, Fraction(1), (1 - x - y) / y


def apply(
    matrix: Matrix, vector: tuple[Fraction, Fraction, Fraction]
) -> tuple[Fraction, Fraction, Fraction]:
    """Exact product of a 3 x 3 matrix and a vector."""
    first, second, third = (
        sum((cell * value for cell, value in zip(row, vector, strict=True)), Fraction(0))
        for row in matrix
    )
    return first, second, third


def invert(matrix: Matrix) -> Matrix:
    """Exact inverse of a regular 3 x 3 matrix, by cofactors."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det),
        ((f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det),
        ((d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det),
    )


def _point(x: int, y: int) -> Point:
    return Fraction(x, 1000), Fraction(y, 1000)


BT709 = Primaries("bt709", 1, _point(640, 330), _point(300, 600), _point(150, 60))
BT2020 = Primaries("bt2020", 9, _point(708, 292), _point(170, 797), _point(131, 46))
P3_D65 = Primaries("p3-d65", 12, _point(680, 320), _point(265, 690), _point(150, 60))

PRIMARIES = {each.name: each for each in (BT709, P3_D65, BT2020)}
