"""A centre in a surround: black in white or the reverse."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.areas import Shape, nearest_rectangle
from patterns.canvas import Canvas
from patterns.errors import ParameterPath, PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.window import SIZE, Size
from patterns.levels import Ink, Level
from patterns.measures import Area, percent, pixels
from patterns.sheet import Box, Sheet
from patterns.spots import Spot


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
            "centre": str(centre),
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
