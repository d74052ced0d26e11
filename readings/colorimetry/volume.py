"""Volumes of colour solids: a mesh over the surface of the RGB cube, and what it encloses.

CIELAB: after ICDM IDMS v1.3, 5.32 (from memory): 602 colours on the surface, 11 levels an edge.
Its number depends on the white that L*a*b* is relative to, by 1.6 % for BT.709, so the white is
always named. ICtCp: the same with the axes of delta E ITP (Rec. ITU-R BT.2124-0, second-hand), so
that a unit cube is about one just visible step a side; a definition of our own.
"""

from __future__ import annotations

from functools import cache
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from readings.colorimetry.chromaticity import Floats, xyz_of
from readings.colorimetry.difference import itp_of, lab_of
from readings.colorimetry.library import load_colour

LEVELS = 11
"""Levels an edge of IDMS 5.32."""
EXPONENT = 2.4
"""Levels are even in signal; exponents of 1.8 to 2.8 move the CIELAB volume by less than 0.1 %."""
ICC_D50 = (0.34570291, 0.3585386)
"""x, y of the D50 of the ICC profile connection space (second-hand, from colour-science)."""
Ints = NDArray[np.int64]


@cache
def surface(levels: int) -> tuple[Ints, Ints]:
    """Levels (k, 3) of R, G, B, from 0, on the cube's surface, and the four-cornered faces (f, 4).

    Corners of a face go round it anticlockwise as seen from outside.
    """
    last = levels - 1
    cube = np.indices((levels,) * 3)
    outside = ((cube == 0) | (cube == last)).any(0)
    place = np.cumsum(outside).reshape(outside.shape) - 1
    faces = []
    for axis, end in product(range(3), (0, last)):
        # the other two channels in turn, so that every side is walked round in the same sense
        side = np.moveaxis(place, (axis, (axis + 1) % 3, (axis + 2) % 3), (0, 1, 2))[end]
        around = [side[:-1, :-1], side[1:, :-1], side[1:, 1:], side[:-1, 1:]]
        corners = np.stack([corner.ravel() for corner in around], -1)
        faces.append(corners if end else corners[:, ::-1])
    return np.argwhere(outside), np.concatenate(faces)


def enclosed(points: ArrayLike, faces: Ints) -> Floats:
    """Volume (...) that a closed mesh of points (..., k, 3) and four-cornered faces (f, 4) holds.

    By the divergence theorem: the signed sum of tetrahedra from the origin. A face that is not
    plane counts as the mean of both ways of cutting it into triangles.
    """
    corner = np.asarray(points, np.float64)
    a, b, c, d = (corner[..., faces[:, n], :] for n in range(4))
    one = _six_fold(a, b, c) + _six_fold(a, c, d)
    other = _six_fold(b, c, d) + _six_fold(b, d, a)
    return np.asarray((one + other).sum(-1) / 12)


def _six_fold(a: Floats, b: Floats, c: Floats) -> Floats:
    return np.asarray((a * np.cross(b, c)).sum(-1))


def even_shares(levels: int) -> Floats:
    """Shares (k, 3) of each channel's light on the surface, for levels even in signal."""
    return np.asarray((surface(levels)[0] / (levels - 1)) ** EXPONENT)


def additive(primaries: ArrayLike, black: ArrayLike, shares: ArrayLike) -> Floats:
    """XYZ (..., k, 3) that an additive display makes of shares of its channels.

    Args:
        primaries: (..., 3, 3) XYZ of red, green, blue at their highest, each a row.
        black: (..., 3) XYZ of black, which is in each of them.
        shares: (k, 3) of the light of R, G, B, 0 to 1.
    """
    dark = np.asarray(black, np.float64)[..., None, :]
    own = np.maximum(np.asarray(primaries, np.float64) - dark, 0.0)
    return np.asarray(dark + np.asarray(shares, np.float64) @ own)


def lab_volume(xyz: ArrayLike, white: ArrayLike, levels: int) -> Floats:
    """CIELAB volume (...) of XYZ (..., k, 3) on the cube's surface, relative to whites (..., 3)."""
    return enclosed(lab_of(xyz, np.asarray(white)[..., None, :]), surface(levels)[1])


def lab_volume_d50(xyz: ArrayLike, white: ArrayLike, levels: int) -> Floats:
    """The same after adaptation from a white (3,) to the ICC's D50 by Bradford.

    Lam 1985; printed in ICC.1:2022 Annex E (both from memory); by colour-science.
    """
    load_colour()
    from colour.adaptation import matrix_chromatic_adaptation_VonKries

    by = np.asarray(white, np.float64)
    d50 = xyz_of(1.0, ICC_D50)
    adapted = matrix_chromatic_adaptation_VonKries(by / by[1], d50, transform="Bradford")
    return lab_volume(np.asarray(xyz, np.float64) @ np.asarray(adapted).T, d50 * by[1], levels)


def itp_volume(xyz: ArrayLike, levels: int) -> Floats:
    """Volume (...) in cubed units of delta E ITP of XYZ (..., k, 3), cd/m2, on the surface."""
    return enclosed(itp_of(xyz), surface(levels)[1])
