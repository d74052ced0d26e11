"""Measuring places: where a meter is pointed on a pattern."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from patterns.picture.canvas import Canvas
from patterns.picture.sheet import Box


@dataclass(frozen=True)
class Spot:
    """The middle of a measuring place, in pixels from the top left corner of the canvas.

    It is where to point a meter; on the display there is nothing to see of it.
    """

    x: Fraction
    y: Fraction

    @classmethod
    def middle_of(cls, box: Box) -> Spot:
        """The middle of a box."""
        return cls(box.x + Fraction(box.width, 2), box.y + Fraction(box.height, 2))


def named_in(text: str, names: Iterable[str]) -> str | None:
    """The measuring place that a text names, such as ``box 5`` in "luminance of box 5".

    Where it names several, the one that says most: ``top left`` rather than ``left``.
    """
    found = [name for name in names if re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE)]
    return max(found, key=len, default=None)


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
