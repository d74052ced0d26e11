"""Measuring points of a full field: shares of the canvas's width and height.

* 5 and 9 points: sampled uniformity of the ICDM's Information Display Measurements Standard,
  clause 8.1, as an extract of an edition before v1.3 paraphrases it: the outer points lie a tenth
  of the width and of the height from the edges, the others midway between them.
* 13 points: EBU Tech 3325 v2.0 (2022), Tables 5 to 7, second-hand: from the centre (0, 0),
  (0, ±0.4), (±0.2, ±0.2), (±0.4, 0) and (±0.4, ±0.4) of width and height.
* 25 points: the middles of a 5 x 5 grid; our own.

The numbering, from left to right and then down, is our own, too.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from patterns.canvas import Canvas
from patterns.spots import Spot

Count = Literal[5, 9, 13, 25]
Share = tuple[Fraction, Fraction]


def _grid(tenths: tuple[int, ...]) -> tuple[Share, ...]:
    return tuple((Fraction(x, 10), Fraction(y, 10)) for y in tenths for x in tenths)


_THREE, _INNER = _grid((1, 5, 9)), _grid((3, 7))

POINTS: dict[Count, tuple[Share, ...]] = {
    5: tuple(point for point in _THREE if (point[0] == point[1]) or sum(point) == 1),
    9: _THREE,
    13: tuple(sorted((*_THREE, *_INNER), key=lambda point: (point[1], point[0]))),
    25: _grid((1, 3, 5, 7, 9)),
}
"""x and y of each point, from left to right, then down."""

SOURCES: dict[Count, str] = {
    5: "IDMS 8.1, five points",
    9: "IDMS 8.1, nine points",
    13: "EBU Tech 3325 v2.0, thirteen points, second-hand",
    25: "middles of a 5 x 5 grid, our own",
}


def spots_of(count: Count, canvas: Canvas) -> dict[str, Spot]:
    """``point 1`` to the last one, on a canvas."""
    return {
        f"point {number}": Spot(x * canvas.width, y * canvas.height)
        for number, (x, y) in enumerate(POINTS[count], 1)
    }
