"""The whole canvas at one level."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import Sheet


class Field(Pattern):
    """One level everywhere: full white, full black, grey, a primary."""

    kind: ClassVar[str] = "field"
    summary: ClassVar[str] = "the whole canvas at one level"
    family: ClassVar[str] = "uniformity and panel"

    level: Level = Parameter(percent(100), description="level of the whole canvas")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        return Sheet(canvas, ink("level", self.level)).frame(ink)
