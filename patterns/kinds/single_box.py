"""One small box that stands on a row or a column: a step of a meter's trace along zones."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar, Literal

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import Length, percent, pixels
from patterns.sheet import Box, Sheet


class SingleBox(Pattern):
    """A square box about a place; its left upper pixel is Round(place - side / 2)."""

    kind: ClassVar[str] = "single-box"
    summary: ClassVar[str] = "a small box that stands on a row or a column, for a meter's trace"
    family: ClassVar[str] = "zones and halo"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"along": "column", "at": "20 %", "place": "40 %"},
    )

    along: Literal["row", "column"] = Parameter(
        "row", description="what it stands on: a row (steps go to the right) or a column (down)"
    )
    at: Length = Parameter(
        percent(50), description="centre of the box along the row (from the left) or the column"
    )
    place: Length = Parameter(
        percent(50), description="centre of the row (from the top) or column (from the left)"
    )
    side: Length = Parameter(
        percent(2), description="side of the box; percent of the canvas height, at least 1 px"
    )
    level: Level = Parameter(percent(100), description="level of the box")
    background: Level = Parameter(percent(0), description="level around it")

    def box(self, canvas: Canvas) -> Box:
        """Where it stands. Raises PatternError where that is not whole on the canvas."""
        side = max(1, round_half_away(pixels(self.side, canvas.height)))
        x, y = (self.at, self.place) if self.along == "row" else (self.place, self.at)
        starts = [
            round_half_away(pixels(length, span) - Fraction(side, 2))
            for length, span in ((x, canvas.width), (y, canvas.height))
        ]
        box = Box(starts[0], starts[1], side, side)
        if not box.lies_on(canvas):
            place = (("at",), ("place",)) if self.along == "row" else (("place",), ("at",))
            raise PatternError(
                f"A box of {side} pixels at {x}, {y} does not lie on {canvas}.",
                *box.misfits(canvas, place, (("side",), ("side",))),
            )
        return box

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box = self.box(canvas)
        sheet = Sheet(canvas, ink("background", self.background))
        sheet.box(box, ink("level", self.level))
        return sheet.frame(ink, {"box": str(box)})
