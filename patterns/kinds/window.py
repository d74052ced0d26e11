"""A window on a background: by area or by pixels, anywhere."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Self

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas, Shape, nearest_rectangle
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Area, Length, Measure, Share, percent, pixels
from patterns.signal.signal import Codes

AT = ("at", "x"), ("at", "y")
SIZE = ("size", "width"), ("size", "height")
"""Where a :class:`Place` and a :class:`Size` stand in a sequence."""


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
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"area": "4 %", "place": 7},
        {"area": "25 %", "mean": "50 %"},
    )

    level: Level = Parameter(percent(100), description="level inside the window")
    background: Level = Parameter(percent(0), description="level around the window")
    mean: Share | None = Parameter(
        None,
        description="mean signal of the whole canvas in percent, instead of a background: the grey "
        "around the window that makes up the difference",
    )
    area: Area | None = Parameter(
        None, description="share of the canvas (10 % unless size is given)"
    )
    size: Size | None = Parameter(None, description="{width:, height:} instead of area")
    shape: Shape = Parameter(
        "picture", description="picture (the canvas's own) or square, with area"
    )
    at: Place | None = Parameter(
        None, description="{x:, y:} of the window's centre (the middle unless place is given)"
    )
    place: Annotated[int, Parameter(ge=1, le=25)] | None = Parameter(
        None,
        description="one of 25 places, 1 top left to 25 bottom right: the middle of that box of a "
        "5 x 5 grid, or as near to it as the canvas's edge allows",
    )

    @model_validator(mode="after")
    def _one_size_and_place(self) -> Self:
        if self.area is not None and self.size is not None:
            raise ValueError("a window has an area or a size, not both")
        if self.at is not None and self.place is not None:
            raise ValueError("a window lies at a point or in a place, not both")
        # 0 % is the default, and stands in every pattern that was written down
        if self.mean is not None and self.background != percent(0):
            raise ValueError("a window has a background or a mean, not both")
        return self

    def box(self, canvas: Canvas) -> Box:
        """The window in whole pixels."""
        if self.size is not None:
            width = round_half_away(pixels(self.size.width, canvas.width))
            height = round_half_away(pixels(self.size.height, canvas.height))
        else:
            share = (self.area or percent(10)).exact / 100
            width, height = nearest_rectangle(canvas, share, self.shape)
        if self.place is not None:
            box = in_place(canvas, self.place, width, height)
        else:
            at = self.at or Place()
            centre = pixels(at.x, canvas.width), pixels(at.y, canvas.height)
            box = Box.about(*centre, width, height)
        if not box.lies_on(canvas):
            raise PatternError(
                f"A window of {box} does not lie on a canvas of {canvas}.",
                *box.misfits(canvas, AT, SIZE),
            )
        return box

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {"window": Spot.middle_of(self.box(canvas))}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box = self.box(canvas)
        level = ink("level", self.level)
        facts: dict[str, object] = {
            "box": box.describe(),
            "area_percent": 100 * box.width * box.height / canvas.pixels,
        }
        if self.mean is None:
            background = ink("background", self.background)
        else:
            share = Fraction(box.width * box.height, canvas.pixels)
            background = self._balance(ink, share, self.mean)
            signals = [sum(map(ink.signal.quantiser.signal, each)) for each in (level, background)]
            mean = (share * signals[0] + (1 - share) * signals[1]) / 3
            facts["mean_level_percent"] = float(100 * mean)
        sheet = Sheet(canvas, background)
        sheet.box(box, level)
        return sheet.frame(ink, facts)

    def _balance(self, ink: Ink, share: Fraction, mean: Measure) -> Codes:
        """The grey around a window of this share of the canvas that is nearest to the mean."""
        if share == 1:
            raise PatternError(
                f"A window of the whole canvas leaves nothing to make a mean of {mean}.",
                ("mean",),
            )
        quantiser = ink.signal.quantiser
        inside = Fraction(sum(map(quantiser.signal, ink.codes["level"])), 3)
        wanted = (mean.exact / 100 - share * inside) / (1 - share)
        held = min(max(wanted, Fraction(0)), Fraction(1))
        if wanted != held:
            low, high = share * inside, share * inside + 1 - share
            if not ink.clip:
                raise PatternError(
                    f"A mean of {mean} is out of reach: with this window it lies between "
                    f"{float(100 * low):.4g} % and {float(100 * high):.4g} %.",
                    ("mean",),
                )
            ink.clipped.append(f"background: {float(100 * wanted):.4g} % for a mean of {mean}")
        code = quantiser.code(held)
        ink.codes["background"] = (code, code, code)
        return ink.codes["background"]


def in_place(canvas: Canvas, place: int, width: int, height: int) -> Box:
    """A box in one of 25 places, moved inwards where it would pass over the canvas's edge.

    Places are counted from left to right, then down. Their middles lie at 10, 30, 50, 70 and 90 %
    of the canvas's width and height.
    """
    row, column = divmod(place - 1, 5)
    x, y = (Fraction((2 * each + 1), 10) for each in (column, row))
    box = Box.about(x * canvas.width, y * canvas.height, width, height)
    left = min(max(box.x, 0), canvas.width - width)
    top = min(max(box.y, 0), canvas.height - height)
    return Box(left, top, width, height)


class Field(Pattern):
    """One level everywhere: full white, full black, grey, a primary."""

    kind: ClassVar[str] = "field"
    summary: ClassVar[str] = "the whole canvas at one level"
    family: ClassVar[str] = "uniformity and panel"

    level: Level = Parameter(percent(100), description="level of the whole canvas")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        return Sheet(canvas, ink("level", self.level)).frame(ink)
