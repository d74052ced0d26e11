"""Boxes in the corners, and at the middles of the edges: black in between."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

from pydantic import Field as Parameter

from patterns.areas import Shape, nearest_rectangle
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import Area, Length, percent, pixels, px
from patterns.sheet import Box, Sheet
from patterns.spots import Spot


class CornerBoxes(Pattern):
    """Equal boxes in the four corners, with ``edges`` also midway between them.

    The middle of the canvas stays free: there black is read. The area of a box is met to the
    nearest whole pixels and reported; the geometry is our own.
    """

    kind: ClassVar[str] = "corner-boxes"
    summary: ClassVar[str] = "lit boxes in the corners, and along the edges, around a dark middle"
    family: ClassVar[str] = "black and contrast"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"area": "1 %", "shape": "square", "edges": True, "inset": "5 %"},
    )

    area: Area = Parameter(percent(4), description="share of the canvas that one box takes")
    shape: Shape = Parameter("picture", description="picture (the canvas's own) or square")
    edges: bool = Parameter(False, description="boxes at the middles of the edges, too")
    inset: Length = Parameter(
        px(0), description="from the canvas's edges to the boxes; percent of its shorter side"
    )
    level: Level = Parameter(percent(100), description="level of the boxes")
    background: Level = Parameter(percent(0), description="level between them")

    def boxes(self, canvas: Canvas) -> dict[str, Box]:
        """The boxes by their place, such as ``top left``."""
        width, height = nearest_rectangle(canvas, self.area.exact / 100, self.shape)
        inset = round_half_away(pixels(self.inset, min(canvas.width, canvas.height)))
        boxes = Box(inset, inset, width, height)
        across = Box.about(Fraction(canvas.width, 2), Fraction(canvas.height, 2), width, height)
        # between two corners lies a dark pixel at least, or a box with one on either side
        clear = (across.x, across.y) if self.edges else (canvas.width // 2, canvas.height // 2)
        if boxes.right >= clear[0] or boxes.bottom >= clear[1]:
            blamed = [("area",), ("inset",)]
            if width < clear[0] and height < clear[1]:
                blamed.reverse()  # right at the edges they would do
            raise PatternError(
                f"Boxes of {width}x{height} pixels, {inset} from the edges, leave nothing dark "
                f"between them on a canvas of {canvas}.",
                *blamed,
                ("edges",),
            )
        left, right = inset, canvas.width - inset - width
        top, bottom = inset, canvas.height - inset - height
        places = {"top left": (left, top), "top right": (right, top)}
        places |= {"bottom left": (left, bottom), "bottom right": (right, bottom)}
        if self.edges:
            places |= {"top edge": (across.x, top), "left edge": (left, across.y)}
            places |= {"right edge": (right, across.y), "bottom edge": (across.x, bottom)}
        return {name: Box(x, y, width, height) for name, (x, y) in places.items()}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        boxes = self.boxes(canvas)
        level = ink("level", self.level)
        sheet = Sheet(canvas, ink("background", self.background))
        for box in boxes.values():
            sheet.box(box, level)
        pixels_of_one = boxes["top left"].width * boxes["top left"].height
        facts: dict[str, object] = {
            "box": str(boxes["top left"]),
            "box_area_percent": 100 * pixels_of_one / canvas.pixels,
            "area_percent": 100 * len(boxes) * pixels_of_one / canvas.pixels,
        }
        return sheet.frame(ink, facts)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``centre``, and each box by its place: ``top left``, ``right edge`` and so on."""
        middle = Spot(Fraction(canvas.width, 2), Fraction(canvas.height, 2))
        boxes = {name: Spot.middle_of(box) for name, box in self.boxes(canvas).items()}
        return {"centre": middle, **boxes}
