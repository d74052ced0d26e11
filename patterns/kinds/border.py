"""A border of one pixel at the very edge, and marks for overscan."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, ClassVar

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.chroma_lines import carried_at
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import Box, Sheet

INSETS = (Fraction(25, 1000), Fraction(50, 1000))
"""Where the marks lie, as a share of the width and of the height: 2.5 % and 5 %."""
ARM = Fraction(8, 100)
"""Length of an arm of a mark, as a share of the shorter side."""


class Border(Pattern):
    """Lines on the outermost pixels, with corner pixels of a level of their own.

    The marks are our own, no standard's safe areas. An angle stands in each corner, and a stroke at
    the middle of each edge, 2.5 % and 5 % of the width and height in: Round(share x side) whole
    pixels lie between the canvas's edge and a mark. So where a path cuts 2.5 % off every edge, the
    outer marks are the last thing that is left.
    """

    kind: ClassVar[str] = "border"
    summary: ClassVar[str] = "a one-pixel border at the very edge, with marks for overscan"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"width": 4, "marks": False, "background": "20 %"})

    width: Annotated[int, Parameter(ge=1)] = Parameter(
        1, description="width of the border in pixels"
    )
    marks: bool = Parameter(
        True, description="marks of our own at 2.5 % and 5 % from the edges, one pixel wide"
    )
    level: Level = Parameter(percent(100), description="level of the border and the marks")
    corner: Level = Parameter(percent(50), description="level of the four corner pixels")
    background: Level = Parameter(percent(0), description="level of all the rest")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        wide, high, width = canvas.width, canvas.height, self.width
        if 2 * width >= min(wide, high):
            raise PatternError(
                f"A border of {width} pixels fills a canvas of {canvas}.", ("width",)
            )
        background, level = ink("background", self.background), ink("level", self.level)
        corner = ink("corner", self.corner)
        sheet = Sheet(canvas, level)
        sheet.box(Box(width, width, wide - 2 * width, high - 2 * width), background)
        facts: dict[str, object] = carried_at(background, level, corner)
        if self.marks:
            for share in INSETS:
                for box in self._marks(canvas, share):
                    sheet.box(box, level)
            facts["marks"] = "our own, at 2.5 % and 5 % of the width and of the height"
            facts["marks_px"] = {
                f"{float(100 * share):g} %": list(inset(canvas, share)) for share in INSETS
            }
        for x in (0, wide - 1):
            for y in (0, high - 1):
                sheet.box(Box(x, y, 1, 1), corner)
        return sheet.frame(ink, facts)

    def _marks(self, canvas: Canvas, share: Fraction) -> list[Box]:
        """Angles in the corners and strokes at the middles of the edges, one pixel wide."""
        x, y = inset(canvas, share)
        if min(x, y) <= self.width:
            raise PatternError(
                f"A border of {self.width} pixels covers the marks at {float(100 * share):g} % on "
                f"a canvas of {canvas}; without marks it can be drawn.",
                ("width",),
            )
        arm = max(2, round_half_away(ARM * min(canvas.width, canvas.height)))
        right, bottom = canvas.width - 1 - x, canvas.height - 1 - y
        ends_x = (x, right + 1 - arm)
        ends_y = (y, bottom + 1 - arm)
        level = [Box(at, edge, arm, 1) for edge in (y, bottom) for at in ends_x]
        upright = [Box(edge, at, 1, arm) for edge in (x, right) for at in ends_y]
        # the middle of an edge lies between two pixels, and so a stroke about it is even
        stroke = arm // 2 * 2
        middle_x, middle_y = (canvas.width - stroke) // 2, (canvas.height - stroke) // 2
        level += [Box(middle_x, edge, stroke, 1) for edge in (y, bottom)]
        upright += [Box(edge, middle_y, 1, stroke) for edge in (x, right)]
        return level + upright


def inset(canvas: Canvas, share: Fraction) -> tuple[int, int]:
    """Whole pixels between the canvas's edge and a mark, across and down."""
    return round_half_away(share * canvas.width), round_half_away(share * canvas.height)
