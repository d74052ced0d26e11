"""A full field with measuring points, to see how even a display is."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.points import SOURCES, Count, spots_of
from patterns.sheet import Sheet
from patterns.spots import Spot


class Uniformity(Pattern):
    """One level everywhere; the points show in the operator's picture only, never on it.

    Where the points lie and who says so: :mod:`patterns.points`.
    """

    kind: ClassVar[str] = "uniformity"
    summary: ClassVar[str] = "a full field to measure at 5, 9, 13 or 25 points"
    family: ClassVar[str] = "uniformity and panel"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"level": "50 %", "points": 25},
        {"level": "5 %", "points": 13},
    )

    level: Level = Parameter(percent(100), description="level of the whole canvas")
    points: Count = Parameter(
        9,
        description="measuring points: 5 or 9 (IDMS 8.1), 13 (EBU Tech 3325) or 25 (a 5 x 5 grid), "
        "from left to right, then down",
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        sheet = Sheet(canvas, ink("level", self.level))
        return sheet.frame(ink, {"points": SOURCES[self.points]})

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return spots_of(self.points, canvas)
