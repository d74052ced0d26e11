"""A window on a background: by area or by pixels, anywhere."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar, Self

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Parameter

from patterns.areas import Shape, nearest_rectangle
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import Area, Length, percent, pixels
from patterns.sheet import Box, Sheet
from patterns.spots import Spot


class Size(BaseModel):
    """Width and height of a box."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    width: Length
    height: Length


class Place(BaseModel):
    """Where the centre of a box lies, from the top left corner."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    x: Length = percent(50)
    y: Length = percent(50)


class Window(Pattern):
    """One rectangle at a level; its area is met to the nearest whole pixels and reported."""

    kind: ClassVar[str] = "window"
    summary: ClassVar[str] = "a rectangle at one level on a background"
    family: ClassVar[str] = "peak and tone"

    level: Level = Parameter(percent(100), description="level inside the window")
    background: Level = Parameter(percent(0), description="level around the window")
    area: Area | None = Parameter(
        None, description="share of the canvas (10 % unless size is given)"
    )
    size: Size | None = Parameter(None, description="{width:, height:} instead of area")
    shape: Shape = Parameter(
        "picture", description="picture (the canvas's own) or square, with area"
    )
    at: Place = Parameter(Place(), description="{x:, y:} of the window's centre")

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if self.area is not None and self.size is not None:
            raise ValueError("a window has an area or a size, not both")
        return self

    def box(self, canvas: Canvas) -> Box:
        """The window in whole pixels."""
        if self.size is not None:
            width = round_half_away(pixels(self.size.width, canvas.width))
            height = round_half_away(pixels(self.size.height, canvas.height))
        else:
            share = (self.area or percent(10)).exact / 100
            width, height = nearest_rectangle(canvas, share, self.shape)
        # a centre between two pixels goes to the left and the top one
        x = _start(pixels(self.at.x, canvas.width), width)
        y = _start(pixels(self.at.y, canvas.height), height)
        box = Box(x, y, width, height)
        if width < 1 or height < 1 or x < 0 or y < 0:
            raise PatternError(f"A window of {box} does not lie on a canvas of {canvas}.")
        if box.right > canvas.width or box.bottom > canvas.height:
            raise PatternError(f"A window of {box} does not lie on a canvas of {canvas}.")
        return box

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {"window": Spot.middle_of(self.box(canvas))}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box = self.box(canvas)
        level = ink("level", self.level)
        sheet = Sheet(canvas, ink("background", self.background))
        sheet.box(box, level)
        area = 100 * box.width * box.height / canvas.pixels
        return sheet.frame(ink, {"box": str(box), "area_percent": area})


def _start(centre: Fraction, length: int) -> int:
    edge = centre - Fraction(length, 2)
    return edge.numerator // edge.denominator
