"""Measuring places: where a meter is pointed on a pattern."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from patterns.sheet import Box


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
