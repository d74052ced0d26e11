"""A bright box in the dark, and the places around it where its halo is measured."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import isqrt, sqrt
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field as Parameter
from pydantic import field_validator, model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.window import AT, Place
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Length, Measure, percent, pixels

WAYS = {
    4: ((0, -1), (1, 0), (0, 1), (-1, 0)),
    8: ((0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1)),
}
"""Directions (x, y) clockwise from straight up."""
NAMES = {
    (0, -1): "up",
    (1, -1): "up right",
    (1, 0): "right",
    (1, 1): "down right",
    (0, 1): "down",
    (-1, 1): "down left",
    (-1, 0): "left",
    (-1, -1): "up left",
}


class Halo(Pattern):
    """A square box with dark around it; points lie at distances from its nearest edge or corner.

    Point 1 is the nearest one straight up, then clockwise, then the next distance. A point keeps
    its number where others would leave the canvas; those are left out. Straight ones lie at
    Round(distance); on the diagonals x and y are Round(distance / sqrt(2)) each, and the true
    distance is told. Beyond the dark ring there may be light again. The geometry is Litfield's own.
    """

    kind: ClassVar[str] = "halo"
    summary: ClassVar[str] = "a bright box in a dark ring, with measuring points around it"
    family: ClassVar[str] = "zones and halo"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"ring": "12 %", "surround": "50 %", "distances": ["2 %", "5 %", "10 %"]},
    )

    side: Length = Parameter(percent(10), description="side of the box; percent of the height")
    at: Place = Parameter(Place(), description="{x:, y:} of the box's centre")
    distances: Annotated[list[Length], Parameter(min_length=1, max_length=20)] = Parameter(
        [percent(2), percent(5), percent(10), percent(20)],
        description="how far from the box's edge the points lie; percent of the height",
    )
    directions: Literal[4, 8] = Parameter(
        8, description="4 (up, right, down, left) or 8 (and the diagonals)"
    )
    ring: Length | None = Parameter(
        None, description="width of the dark ring; percent of the height; all dark without it"
    )
    level: Level = Parameter(percent(100), description="level of the box")
    background: Level = Parameter(percent(0), description="level of the dark around it")
    surround: Level = Parameter(percent(0), description="level beyond the ring")

    @field_validator("distances")
    @classmethod
    def _apart(cls, value: list[Measure]) -> list[Measure]:
        if any(each.number == 0 for each in value):
            raise ValueError("a point lies outside the box, more than 0 px from its edge")
        return value

    @model_validator(mode="after")
    def _ring_where_surround(self) -> Self:
        if (
            self.ring is None
            and "surround" in self.model_fields_set
            and self.surround != percent(0)
        ):
            raise ValueError("a surround needs the width of the ring, such as ring: 20 %")
        return self

    def box(self, canvas: Canvas) -> Box:
        """The bright box in whole pixels."""
        side = round_half_away(pixels(self.side, canvas.height))
        centre = pixels(self.at.x, canvas.width), pixels(self.at.y, canvas.height)
        box = Box.about(*centre, side, side)
        if not box.lies_on(canvas):
            raise PatternError(
                f"A box of {box} does not lie on a canvas of {canvas}.",
                *box.misfits(canvas, AT, (("side",), ("side",))),
            )
        return box

    def points(self, canvas: Canvas) -> dict[int, tuple[Fraction, Fraction, float, str]]:
        """x, y, distance from the box in pixels and direction of each point, by its number."""
        box = self.box(canvas)
        middle = Spot.middle_of(box)
        half = Fraction(box.width, 2)
        found = {}
        for nth, distance in enumerate(self.distances):
            wanted = pixels(distance, canvas.height)
            self._in_ring(canvas, nth, distance, wanted)
            straight, slanted = round_half_away(wanted), _over_root_two(wanted)
            for which, way in enumerate(WAYS[self.directions], 1):
                step = slanted if all(way) else straight
                x, y = (
                    start + sign * (half + step)
                    for start, sign in zip((middle.x, middle.y), way, strict=True)
                )
                true = step * sqrt(2) if all(way) else float(step)
                if _on(canvas, x, y):
                    found[nth * self.directions + which] = (x, y, true, NAMES[way])
        if not found:
            raise PatternError(
                f"None of the points lies on a canvas of {canvas}.",
                *(("distances",), ("side",), ("at",)),
            )
        return found

    def _in_ring(self, canvas: Canvas, nth: int, distance: Measure, wanted: Fraction) -> None:
        named = ("distances", str(nth))
        if round_half_away(wanted) < 1:
            raise PatternError(f"A distance of {distance} is less than a pixel on {canvas}.", named)
        if self.ring is not None and wanted >= round_half_away(pixels(self.ring, canvas.height)):
            raise PatternError(
                f"A point at a distance of {distance} lies beyond the dark ring of {self.ring}.",
                named,
                ("ring",),
            )

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """``box`` is the middle of the box; ``point 1`` and so on lie in the dark."""
        named = {f"point {n}": Spot(x, y) for n, (x, y, _, _) in self.points(canvas).items()}
        return {"box": Spot.middle_of(self.box(canvas)), **named}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box, points = self.box(canvas), self.points(canvas)
        dark = ink("background", self.background)
        if self.ring is None:
            sheet = Sheet(canvas, dark)
        else:
            sheet = Sheet(canvas, ink("surround", self.surround))
            sheet.box(_grown(canvas, box, round_half_away(pixels(self.ring, canvas.height))), dark)
        sheet.box(box, ink("level", self.level))
        places = {
            f"point {number}": {"distance_px": round(true, 2), "direction": way}
            for number, (_, _, true, way) in points.items()
        }
        facts: dict[str, object] = {"box": box.describe(), "points": places}
        missing = len(self.distances) * self.directions - len(points)
        return sheet.frame(ink, {**facts, "points_off_canvas": missing})


def _on(canvas: Canvas, x: Fraction | int, y: Fraction | int) -> bool:
    return 0 <= x < canvas.width and 0 <= y < canvas.height


def _grown(canvas: Canvas, box: Box, by: int) -> Box:
    """The box with so many pixels more on each side, as far as the canvas goes."""
    left, top = max(0, box.x - by), max(0, box.y - by)
    right, bottom = min(canvas.width, box.right + by), min(canvas.height, box.bottom + by)
    return Box(left, top, right - left, bottom - top)


def _over_root_two(length: Fraction) -> int:
    """Round(length / sqrt(2)), exactly: from whole numbers, one pixel at least."""
    square = length * length / 2
    whole = isqrt(square.numerator // square.denominator)
    return max(1, whole + 1 if (whole + Fraction(1, 2)) ** 2 <= square else whole)
