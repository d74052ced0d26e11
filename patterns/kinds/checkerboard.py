"""Checkerboards of any number of boxes, either way round."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Annotated, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import Box, stack
from patterns.spots import Spot


class Checkerboard(Pattern):
    """Boxes of two levels in turn; edges lie at Round(i W / columns), Round(j H / rows)."""

    kind: ClassVar[str] = "checkerboard"
    summary: ClassVar[str] = "boxes of two levels in turn"
    family: ClassVar[str] = "black and contrast"

    columns: Annotated[int, Parameter(ge=1)] = Parameter(4, description="boxes across")
    rows: Annotated[int, Parameter(ge=1)] = Parameter(4, description="boxes down")
    start: Literal["lit", "dark"] = Parameter("lit", description="the top left box: lit or dark")
    level: Level = Parameter(percent(100), description="level of the lit boxes")
    background: Level = Parameter(percent(0), description="level of the dark boxes")

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``box 1`` is the top left one, then row by row."""
        xs, ys = split(canvas.width, self.columns), split(canvas.height, self.rows)
        boxes = [
            Box(left, top, right - left, bottom - top)
            for top, bottom in pairwise(ys)
            for left, right in pairwise(xs)
        ]
        return {f"box {number}": Spot.middle_of(box) for number, box in enumerate(boxes, 1)}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        if self.columns > canvas.width or self.rows > canvas.height:
            raise PatternError(
                f"{self.columns} x {self.rows} boxes do not fit on a canvas of {canvas}.",
                ("columns",) if self.columns > canvas.width else ("rows",),
            )
        pair = np.array([ink("background", self.background), ink("level", self.level)], np.uint16)
        across = _alternating(canvas.width, self.columns)
        down = _alternating(canvas.height, self.rows)
        first = 1 if self.start == "lit" else 0
        rows = np.stack([pair[(across + first) % 2], pair[(across + first + 1) % 2]])
        return stack(ink, rows, down)


def _alternating(side: int, boxes: int) -> NDArray[np.intp]:
    """0 and 1 in turn along a side, by the box that each pixel lies in."""
    return np.repeat(np.arange(boxes) % 2, np.diff(split(side, boxes)))
