"""Areas of polygons in a chromaticity diagram, and how much of a triangle one covers.

Pure plane geometry, all of it over any number of polygons at once. The triangles of BT.709, P3-D65
and BT.2020 are in `patterns.signal.primaries`. Straight lines in CIE 1931 x, y are straight in CIE
1976 u', v' too, so corners are all that has to be carried over.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, uv_of


def triangle_of(name: str, diagram: str = "xy") -> Floats:
    """Corners (3, 2) red, green, blue of `bt709`, `p3-d65` or `bt2020` in `xy` or `uv`."""
    known = PRIMARIES[name]
    points = np.array(
        [[float(each) for each in point] for point in (known.red, known.green, known.blue)]
    )
    return in_diagram(points, diagram)


def in_diagram(xy: ArrayLike, diagram: str) -> Floats:
    """Points (..., 2) in x, y as they are in `xy` or in `uv` (CIE 1976 u', v')."""
    return uv_of(xy) if diagram == "uv" else np.asarray(xy, np.float64)


def area_of(corners: ArrayLike) -> Floats:
    """Area (...) of polygons (..., n, 2), whichever way round they go (the surveyor's formula)."""
    point = np.asarray(corners, np.float64)
    after = np.roll(point, -1, axis=-2)
    twice = point[..., 0] * after[..., 1] - point[..., 1] * after[..., 0]
    return np.asarray(np.abs(twice.sum(-1)) / 2)


def common_area(corners: ArrayLike, triangle: ArrayLike) -> Floats:
    """Area (...) that polygons (..., n, 2) have in common with a convex polygon (k, 2).

    The polygons may have dents, but must not cross themselves. They are cut by one edge of the
    convex one after another (Sutherland and Hodgman, Comm. ACM 17 (1974) 32-42, from memory).
    Corners beyond an edge are moved on to its line, where the way along it encloses nothing: so
    the number of corners does not depend on where they lie, and all polygons are cut at once.
    """
    cut = np.asarray(corners, np.float64)
    keep = np.asarray(triangle, np.float64)
    middle = keep.mean(0)
    for start, end in zip(keep, np.roll(keep, -1, axis=0), strict=True):
        along = end - start
        normal = np.array([-along[1], along[0]]) / np.hypot(*along)
        inwards = normal if normal @ (middle - start) > 0 else -normal
        cut = _cut(cut, start, inwards)
    return area_of(cut)


def _cut(corners: Floats, start: Floats, inwards: Floats) -> Floats:
    """(..., 2 n, 2): what lies on the inner side of a line, its outside folded on to the line."""
    depth = (corners - start) @ inwards
    after, next_depth = np.roll(corners, -1, axis=-2), np.roll(depth, -1, axis=-1)
    folded = corners - np.minimum(depth, 0.0)[..., None] * inwards
    crosses = depth * next_depth < 0
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(crosses, depth / (depth - next_depth), 0.0)
    crossing = np.where(crosses[..., None], corners + share[..., None] * (after - corners), folded)
    both = np.stack([folded, crossing], axis=-2)
    return both.reshape(*corners.shape[:-2], 2 * corners.shape[-2], 2)


def coverage(corners: ArrayLike, triangle: ArrayLike) -> Floats:
    """Share (...), 0 to 1, of a convex polygon (k, 2) that polygons (..., n, 2) cover."""
    return np.asarray(np.minimum(common_area(corners, triangle) / area_of(triangle), 1.0))


def area_ratio(corners: ArrayLike, triangle: ArrayLike) -> Floats:
    """Area (...) of polygons (..., n, 2) over that of another (k, 2), wherever they lie."""
    return np.asarray(area_of(corners) / area_of(triangle))
