"""Checkerboards of any number of boxes, either way round."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Annotated, ClassVar, Literal

from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import Box, Sheet


class Checkerboard(Pattern):
    """Boxes of two levels in turn; edges lie at Round(i W / columns), Round(j H / rows)."""

    kind: ClassVar[str] = "checkerboard"
    summary: ClassVar[str] = "boxes of two levels in turn"

    columns: Annotated[int, Parameter(ge=1)] = Parameter(4, description="boxes across")
    rows: Annotated[int, Parameter(ge=1)] = Parameter(4, description="boxes down")
    start: Literal["lit", "dark"] = Parameter("lit", description="the top left box: lit or dark")
    level: Level = Parameter(percent(100), description="level of the lit boxes")
    background: Level = Parameter(percent(0), description="level of the dark boxes")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        if self.columns > canvas.width or self.rows > canvas.height:
            raise PatternError(
                f"{self.columns} x {self.rows} boxes do not fit on a canvas of {canvas}."
            )
        level = ink("level", self.level)
        sheet = Sheet(canvas, ink("background", self.background))
        xs, ys = split(canvas.width, self.columns), split(canvas.height, self.rows)
        odd = 0 if self.start == "lit" else 1
        for row, (top, bottom) in enumerate(pairwise(ys)):
            for column, (left, right) in enumerate(pairwise(xs)):
                if (row + column + odd) % 2 == 0:
                    sheet.box(Box(left, top, right - left, bottom - top), level)
        return sheet.frame(ink)
