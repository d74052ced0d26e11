"""Checkerboards of any number of boxes, either way round."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import ParameterPath, PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.window import SIZE, Size
from patterns.picture.canvas import Canvas, Shape, nearest_rectangle, split
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet, stack
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Area, Length, percent, pixels, px


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
            "box": boxes["top left"].describe(),
            "box_area_percent": 100 * pixels_of_one / canvas.pixels,
            "area_percent": 100 * len(boxes) * pixels_of_one / canvas.pixels,
        }
        return sheet.frame(ink, facts)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``centre``, and each box by its place: ``top left``, ``right edge`` and so on."""
        middle = Spot(Fraction(canvas.width, 2), Fraction(canvas.height, 2))
        boxes = {name: Spot.middle_of(box) for name, box in self.boxes(canvas).items()}
        return {"centre": middle, **boxes}


class Surround(Pattern):
    """A rectangle in the middle, and a level all around it: what the surround does to the centre.

    With ``outer`` the surround ends before the canvas does, and ``background`` begins. All areas
    are met to the nearest whole pixels and reported; the geometry is our own.
    """

    kind: ClassVar[str] = "surround"
    summary: ClassVar[str] = "a black centre in a bright surround, or the reverse"
    family: ClassVar[str] = "black and contrast"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"area": "4 %", "shape": "square"},
        {"level": "100 %", "surround": "0 %", "background": "25 %", "area": "5 %", "outer": "40 %"},
    )

    level: Level = Parameter(percent(0), description="level of the centre")
    surround: Level = Parameter(percent(100), description="level around the centre")
    background: Level = Parameter(percent(0), description="level beyond the surround, with outer")
    area: Area | None = Parameter(
        None, description="share of the canvas that the centre takes (10 % unless size is given)"
    )
    size: Size | None = Parameter(None, description="{width:, height:} of the centre, not its area")
    outer: Area = Parameter(
        percent(100), description="share of the canvas that centre and surround take together"
    )
    shape: Shape = Parameter(
        "picture", description="picture (the canvas's own) or square: of the centre, with area"
    )

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if self.area is not None and self.size is not None:
            raise ValueError("a centre has an area or a size, not both")
        return self

    def boxes(self, canvas: Canvas) -> tuple[Box, Box]:
        """The centre, and the rectangle that centre and surround take together."""
        if self.size is not None:
            width = round_half_away(pixels(self.size.width, canvas.width))
            height = round_half_away(pixels(self.size.height, canvas.height))
        else:
            share = (self.area or percent(10)).exact / 100
            width, height = nearest_rectangle(canvas, share, self.shape)
        middle = Fraction(canvas.width, 2), Fraction(canvas.height, 2)
        centre = Box.about(*middle, width, height)
        outer = Box.about(*middle, *nearest_rectangle(canvas, self.outer.exact / 100, "picture"))
        if not centre.lies_on(canvas):
            raise PatternError(
                f"A centre of {centre} does not lie on a canvas of {canvas}.",
                *centre.misfits(canvas, SIZE, SIZE),
            )
        if _ring(centre, outer) < 1:
            raise PatternError(
                f"A centre of {centre} leaves no surround within {outer}.",
                *self._crowding(canvas, centre, outer),
            )
        return centre, outer

    def _crowding(self, canvas: Canvas, centre: Box, outer: Box) -> list[ParameterPath]:
        """What leaves no surround: ``outer`` where the whole canvas would do for the centre."""
        own: ParameterPath = ("area",)
        if self.size is not None:
            sideways = min(centre.x - outer.x, outer.right - centre.right) < 1
            own = ("size", "width" if sideways else "height")
        whole = Box(0, 0, canvas.width, canvas.height)
        return [("outer",), own] if _ring(centre, whole) >= 1 else [own, ("outer",)]

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        centre, outer = self.boxes(canvas)
        level, around = ink("level", self.level), ink("surround", self.surround)
        whole = outer == Box(0, 0, canvas.width, canvas.height)
        sheet = Sheet(canvas, around if whole else ink("background", self.background))
        sheet.box(outer, around)
        sheet.box(centre, level)
        inside, taken = centre.width * centre.height, outer.width * outer.height
        facts: dict[str, object] = {
            "centre": centre.describe(),
            "centre_area_percent": 100 * inside / canvas.pixels,
            "outer": str(outer),
            "surround_area_percent": 100 * (taken - inside) / canvas.pixels,
        }
        return sheet.frame(ink, facts)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``centre``, and the middles of the surround ``above``, ``left``, ``right``, ``below``."""
        centre, outer = self.boxes(canvas)
        middle = Spot.middle_of(centre)
        return {
            "centre": middle,
            "above": Spot(middle.x, Fraction(outer.y + centre.y, 2)),
            "left": Spot(Fraction(outer.x + centre.x, 2), middle.y),
            "right": Spot(Fraction(centre.right + outer.right, 2), middle.y),
            "below": Spot(middle.x, Fraction(centre.bottom + outer.bottom, 2)),
        }


def _ring(centre: Box, outer: Box) -> int:
    """Pixels between two boxes where they are the fewest; less than 0 where the inner one is not
    inside.
    """
    return min(
        *(centre.x - outer.x, outer.right - centre.right),
        *(centre.y - outer.y, outer.bottom - centre.bottom),
    )
