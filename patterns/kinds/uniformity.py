"""A full field with measuring points, to see how even a display is."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Sheet, stack
from patterns.picture.spots import SOURCES, Count, Spot, spots_of
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import percent


class Uniformity(Pattern):
    """One level everywhere; the points show in the operator's picture only, never on it.

    Where the points lie and who says so: :mod:`patterns.picture.spots`.
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


Pixels = Annotated[int, Parameter(ge=1, le=512)]
MAGENTA = {"r": "50 %", "g": "0 %", "b": "50 %"}
GREEN = {"r": "0 %", "g": "50 %", "b": "0 %"}


class Stripes(Pattern):
    """Two levels in turn, pixel by pixel; nothing moves.

    A panel that drives its pixels with alternating polarity flickers or turns green or pink on
    the one picture that lights all pixels of one polarity. Which one that is depends on the
    panel: columns, rows, dots, by one pixel or by two, by whole pixels or by sub-pixels (two
    colours that have no channel in common, such as magenta and green).
    """

    kind: ClassVar[str] = "stripes"
    summary: ClassVar[str] = "columns, rows or dots of whole pixels at two levels"
    family: ClassVar[str] = "uniformity and panel"
    detail: ClassVar[bool] = True
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"form": "dots", "level": MAGENTA, "background": GREEN},
        {"form": "dots", "down": 2, "level": "50 %"},
    )

    form: Literal["columns", "rows", "dots"] = Parameter(
        "columns", description="columns, rows, or dots in turn both ways"
    )
    across: Pixels = Parameter(1, description="pixels across of a column or dot")
    down: Pixels = Parameter(1, description="pixels down of a row or dot")
    start: Literal["lit", "dark"] = Parameter("lit", description="the top left pixel: lit or dark")
    level: Level = Parameter(percent(50), description="level of the lit pixels")
    background: Level = Parameter(percent(0), description="level of the dark pixels")

    @model_validator(mode="after")
    def _ways_that_count(self) -> Self:
        if self.form == "columns" and self.down != 1:
            raise ValueError("down goes with rows or dots, not with columns")
        if self.form == "rows" and self.across != 1:
            raise ValueError("across goes with columns or dots, not with rows")
        return self

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        ways = (("across", self.across, canvas.width), ("down", self.down, canvas.height))
        for way, length, side in ways:
            if 2 * length > side:
                raise PatternError(
                    f"{self.form.capitalize()} of {length} pixels {way} do not come in turn on a "
                    f"canvas of {canvas}.",
                    (way,),
                )
        pair = np.array([ink("level", self.level), ink("background", self.background)], np.uint16)
        across, down = (np.arange(side) // length % 2 for _, length, side in ways)
        if self.form == "rows":
            across[:] = 0
        if self.form == "columns":
            down[:] = 0
        if self.start == "dark":
            down = 1 - down
        return stack(ink, np.stack([pair[across], pair[1 - across]]), down)
