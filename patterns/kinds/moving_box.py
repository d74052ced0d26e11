"""A small box that crawls along an edge, a row, a column or a diagonal in whole pixels."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from math import floor
from typing import Annotated, Any, ClassVar, Literal, Self, cast

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import CrawlingPattern, Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.pace import a_second
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Length, Measure, Speed, parse_measure, percent, pixels


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

    def finished(self, canvas: Canvas, time: Fraction) -> bool:
        """Whether it has been at the end of its way, ``time`` seconds after it began."""
        return self.travelled(canvas, time) >= self._way(canvas)

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
        return sheet.frame(ink, {"box": Box(x, y, side, side).describe()})

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
                "first_box": boxes[0].describe(),
                "zone_px": length / self.zones,
            },
        )


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
        return sheet.frame(ink, {"box": box.describe()})
