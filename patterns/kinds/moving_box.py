"""A small box that crawls along an edge, a row, a column or a diagonal in whole pixels."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import floor
from typing import Any, ClassVar, Literal, Self, cast

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import CrawlingPattern
from patterns.levels import Ink, Level
from patterns.measures import Length, Measure, Speed, parse_measure, percent, pixels
from patterns.pace import a_second
from patterns.sheet import Box, Sheet


class MovingBox(CrawlingPattern):
    """A square box; at time t it has gone floor(speed * t) pixels from where it starts.

    On a diagonal it goes so along the canvas's longer side, from corner to corner, and along the
    shorter one in proportion, correctly rounded.
    """

    kind: ClassVar[str] = "moving-box"
    summary: ClassVar[str] = "a small box that crawls along an edge, a row, a column or a diagonal"
    family: ClassVar[str] = "zones and halo"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"along": "row", "place": "50 %", "speed": "8 s/screen"},
        {"along": "diagonal", "side": "5 %"},
    )

    along: Literal[
        "top", "bottom", "left", "right", "row", "column", "diagonal", "rising-diagonal"
    ] = Parameter(
        "top",
        description="the edge it follows, a row or column (see place), the diagonal from the top "
        "left corner, or the rising one from the bottom left (to look at: jumps are counted along "
        "edges, rows and columns)",
    )
    place: Length | None = Parameter(
        None, description="centre of the row (from the top) or column (from the left)"
    )
    side: Length = Parameter(
        percent(2), description="side of the box; percent of the canvas height"
    )
    speed: Speed = Parameter(
        parse_measure("120 px/s", ("px/s",), "120 px/s"), description="how fast it goes"
    )
    direction: Literal["forward", "backward"] = Parameter(
        "forward", description="forward is to the right or down"
    )
    start: Length | None = Parameter(
        None, description="where it begins: its left or upper side, of the side it goes along; "
        "the end of its way where nothing is said",
    )  # fmt: skip
    ends: Literal["turn", "restart", "stop"] = Parameter(
        "turn", description="what it does at the end of its way"
    )
    level: Level = Parameter(percent(100), description="level of the box")
    background: Level = Parameter(percent(0), description="level around it")

    @model_validator(mode="after")
    def _place_where_needed(self) -> Self:
        if self.along in ("row", "column"):
            if self.place is None:
                raise ValueError(f"a box along a {self.along} needs its place, such as place: 50 %")
        elif self.place is not None:
            raise ValueError(f"place goes with along: row or column, not with {self.along}")
        if self.start is not None and self._slanted:
            raise ValueError("start goes with an edge, a row or a column, not with a diagonal")
        return self

    @property
    def countable(self) -> bool:
        return not self._slanted

    @property
    def across(self) -> bool:
        """Whether the box goes along x; on a diagonal, its place is told along x."""
        return self.along not in ("left", "right", "column")

    def box_side(self, canvas: Canvas) -> int:
        """Side of the box in pixels."""
        side = round_half_away(pixels(self.side, canvas.height))
        if not 1 <= side <= min(canvas.width, canvas.height):
            raise PatternError(
                f"A box of {side} pixels does not lie on a canvas of {canvas}.", ("side",)
            )
        return side

    def pixels_a_second(self, canvas: Canvas) -> Fraction:
        """Its speed on this canvas."""
        along_x = canvas.width >= canvas.height if self._slanted else self.across
        return a_second(self.speed, canvas, canvas.width if along_x else canvas.height)

    def travelled(self, canvas: Canvas, time: Fraction) -> int:
        """Pixels from the end that it leaves, ``time`` seconds after it began, before any turn."""
        return self._begun(canvas) + floor(self.pixels_a_second(canvas) * time)

    def seconds_to_end(self, canvas: Canvas) -> Fraction:
        """Seconds from where it begins to the end of its way, the first time."""
        left = self._way(canvas) - self.travelled(canvas, Fraction(0))
        return Fraction(left) / self.pixels_a_second(canvas)

    def heading(self, canvas: Canvas, time: Fraction) -> Literal["forward", "backward"]:
        """Which way the box goes at this time."""
        way = self._way(canvas)
        turned = self.ends == "turn" and way and self.travelled(canvas, time) // way % 2 == 1
        forward = (self.direction == "forward") != bool(turned)
        return "forward" if forward else "backward"

    def middle(self, canvas: Canvas, time: Fraction) -> Fraction:
        place = self.at(canvas, time)[0 if self.across else 1]
        return place + Fraction(self.box_side(canvas), 2)

    def at(self, canvas: Canvas, time: Fraction) -> tuple[int, int]:
        way = self._way(canvas)
        gone = self.travelled(canvas, time)
        if way == 0:
            gone = 0
        elif self.ends == "stop":
            gone = min(gone, way)
        elif self.ends == "restart":
            gone %= way + 1
        else:
            gone %= 2 * way
            gone = min(gone, 2 * way - gone)
        place = gone if self.direction == "forward" else way - gone
        if self._slanted:
            return self._on_diagonal(canvas, place)
        fixed = self._fixed(canvas)
        return (place, fixed) if self.across else (fixed, place)

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side = self.box_side(canvas)
        x, y = self.at(canvas, time)
        level = ink("level", self.level)
        sheet = Sheet(canvas, ink("background", self.background))
        sheet.box(Box(x, y, side, side), level)
        return sheet.frame(ink, {"box": str(Box(x, y, side, side))})

    @property
    def _slanted(self) -> bool:
        return self.along in ("diagonal", "rising-diagonal")

    def _on_diagonal(self, canvas: Canvas, place: int) -> tuple[int, int]:
        """Where the box is when it has come ``place`` pixels along the longer side."""
        side = self.box_side(canvas)
        ways = canvas.width - side, canvas.height - side
        longest = max(ways)
        x, y = (round_half_away(Fraction(place * way, longest or 1)) for way in ways)
        return (x, y) if self.along == "diagonal" else (x, ways[1] - y)

    def _way(self, canvas: Canvas) -> int:
        if self._slanted:
            return max(canvas.width, canvas.height) - self.box_side(canvas)
        return (canvas.width if self.across else canvas.height) - self.box_side(canvas)

    def _begun(self, canvas: Canvas) -> int:
        """Pixels from the end that it leaves when it begins."""
        if self.start is None:
            return 0
        way = self._way(canvas)
        start = round_half_away(pixels(self.start, canvas.width if self.across else canvas.height))
        if not 0 <= start <= way:
            raise PatternError(
                f"A box of {self.box_side(canvas)} pixels that starts at {self.start} does not lie "
                f"on a canvas of {canvas}.",
                ("start",),
                ("side",),
            )
        return start if self.direction == "forward" else way - start

    def _fixed(self, canvas: Canvas) -> int:
        side = self.box_side(canvas)
        length = canvas.height if self.across else canvas.width
        if self.along in ("top", "left"):
            return 0
        if self.along in ("bottom", "right"):
            return length - side
        place = cast("Measure", self.place)  # a row or column has one: the validator sees to it
        start = Box.about(pixels(place, length), Fraction(0), side, side).x
        if not 0 <= start <= length - side:
            raise PatternError(
                f"A box of {side} pixels at {place} does not lie on {canvas}.",
                ("place",),
                ("side",),
            )
        return start
