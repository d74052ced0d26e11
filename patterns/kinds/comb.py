"""A comb: small boxes a supposed number of dimming zones apart, to test a count by eye."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import Length, percent, pixels
from patterns.sheet import Box, Sheet
from patterns.spots import Spot

MOST_ZONES = 500
"""Zones along an axis that a comb can test: boxes of 1 % of the height and three zones apart touch
one another from 533 columns on, at 16:9."""


class Comb(Pattern):
    """Boxes about x_k = (k m + phase) W / n, k = 0, 1, 2 ..., for n zones on W pixels.

    If n is right, every box lies at the same place of its zone and all look alike; if it is off
    by d, d groups of boxes look different. The left edge of a box of s pixels lies at
    Round(x_k - s / 2), from exact fractions; boxes that would leave the canvas are dropped
    whole. Rows likewise, from the top. The method is Litfield's own.
    """

    kind: ClassVar[str] = "comb"
    summary: ClassVar[str] = "small boxes a supposed number of dimming zones apart"
    family: ClassVar[str] = "zones and halo"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"zones": 24, "along": "rows", "phase": 0.25, "place": "25 %"},
    )

    zones: Annotated[int, Parameter(ge=1, le=MOST_ZONES)] = Parameter(
        40, description="supposed number of zones along this axis"
    )
    spacing: Annotated[int, Parameter(ge=1, le=MOST_ZONES)] = Parameter(
        3, description="zones from box to box; 3 or more keep halos apart"
    )
    phase: Annotated[float, Parameter(ge=0, le=1)] = Parameter(
        0.5, description="where in its zone a box lies: 0 at its start, 0.5 in the middle, 1 at "
        "its end",
    )  # fmt: skip
    along: Literal["columns", "rows"] = Parameter(
        "columns", description="what is counted: columns (boxes side by side) or rows"
    )
    place: Length = Parameter(
        percent(50), description="centre of the boxes, from the top (columns) or the left (rows)"
    )
    side: Length = Parameter(
        percent(1), description="side of a box; percent of the canvas height, at least 1 px"
    )
    level: Level = Parameter(percent(100), description="level of the boxes")
    background: Level = Parameter(percent(0), description="level around them")

    def centres(self, canvas: Canvas) -> list[Fraction]:
        """Wanted middles of the boxes along the axis, pixels, dropped ones included."""
        length = canvas.width if self.along == "columns" else canvas.height
        phase = Fraction(str(self.phase))
        return [(k + phase) * length / self.zones for k in range(0, self.zones + 1, self.spacing)]

    def boxes(self, canvas: Canvas) -> list[Box]:
        """The boxes that lie whole on the canvas, in their order."""
        side = max(1, round_half_away(pixels(self.side, canvas.height)))
        columns = self.along == "columns"
        length, breadth = canvas.width, canvas.height
        if not columns:
            length, breadth = breadth, length
        across = Box.about(pixels(self.place, breadth), Fraction(0), side, side).x
        if not 0 <= across <= breadth - side:
            raise PatternError(
                f"Boxes of {side} pixels at a place of {self.place} do not lie on {canvas}.",
                *([("place",)] if side <= breadth else []),
                ("side",),
            )
        starts = [round_half_away(x - Fraction(side, 2)) for x in self.centres(canvas)]
        held = [start for start in starts if 0 <= start <= length - side]
        if not held:
            # one no larger than a zone fits in the middle of the first
            blamed = [("phase",), ("spacing",), ("side",)]
            raise PatternError(
                f"No box of {side} pixels lies whole on a canvas of {canvas}.",
                *(blamed if side * self.zones <= length else blamed[::-1]),
                ("zones",),
            )
        if any(later - start <= side for start, later in pairwise(held)):
            apart = float(Fraction(self.spacing * length, self.zones))
            # boxes of one pixel need two
            raise PatternError(
                f"Boxes of {side} pixels touch where they are {apart:.4g} pixels apart: take a "
                f"smaller side than {self.side}, or a spacing of more than {self.spacing}.",
                *([("side",)] if apart >= 2 else []),
                *(("spacing",), ("zones",)),
            )
        return [
            Box(start, across, side, side) if columns else Box(across, start, side, side)
            for start in held
        ]

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``box 1`` is the first that is shown, from the left or from the top."""
        return {f"box {n}": Spot.middle_of(box) for n, box in enumerate(self.boxes(canvas), 1)}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        boxes = self.boxes(canvas)
        sheet = Sheet(canvas, ink("background", self.background))
        level = ink("level", self.level)
        for box in boxes:
            sheet.box(box, level)
        length = canvas.width if self.along == "columns" else canvas.height
        return sheet.frame(
            ink,
            {
                "method": "comb of boxes, Litfield's own",
                "along": self.along,
                "zones": self.zones,
                "spacing": self.spacing,
                "phase": self.phase,
                "boxes": len(boxes),
                "box_px": boxes[0].width,
                "first_box": str(boxes[0]),
                "zone_px": length / self.zones,
            },
        )
