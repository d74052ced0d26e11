"""Lines of whole pixels at an even pitch."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.zone_plate import carried_at
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet, stack
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Length, Measure, percent, pixels, px


class Lines(Pattern):
    """Lines from edge to edge; pixel n along the other axis is lit where (n - first) mod pitch <
    width.
    """

    kind: ClassVar[str] = "lines"
    summary: ClassVar[str] = "upright or level lines of whole pixels at an even pitch"
    family: ClassVar[str] = "geometry and path"
    detail: ClassVar[bool] = True
    examples = ({}, {"direction": "horizontal"}, {"pitch": 16, "width": 1, "first": 8})

    direction: Literal["vertical", "horizontal"] = Parameter(
        "vertical", description="which way the lines run"
    )
    pitch: Annotated[int, Parameter(ge=2)] = Parameter(
        2, description="pixels from the start of a line to the start of the next"
    )
    width: Annotated[int, Parameter(ge=1)] = Parameter(1, description="width of a line in pixels")
    first: Annotated[int, Parameter(ge=0)] = Parameter(
        0, description="where a line starts: pixels from the left or top edge"
    )
    level: Level = Parameter(percent(100), description="level of the lines")
    background: Level = Parameter(percent(0), description="level between them")

    @model_validator(mode="after")
    def _gap(self) -> Self:
        if self.width >= self.pitch:
            raise ValueError(
                f"lines {self.width} pixels wide at a pitch of {self.pitch} leave nothing between"
            )
        return self

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side = canvas.width if self.direction == "vertical" else canvas.height
        for parameter, name, value in (
            ("pitch", "pitch", self.pitch),
            ("first", "first line", self.first + 1),
        ):
            if value > side:
                raise PatternError(
                    f"A {name} at {value} pixels does not lie within the {side} pixels of a canvas "
                    f"of {canvas}.",
                    (parameter,),
                )
        pair = np.array([ink("background", self.background), ink("level", self.level)], np.uint16)
        lit = ((np.arange(side) - self.first) % self.pitch < self.width).astype(np.intp)
        facts = carried_at(ink.codes["background"], ink.codes["level"])
        if self.direction == "vertical":
            return stack(ink, pair[lit][None], np.zeros(canvas.height, np.intp), facts)
        return stack(ink, np.repeat(pair[:, None], canvas.width, axis=1), lit, facts)


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


class PixelChecks(Pattern):
    """Checks of whole pixels from the top left corner, over the whole canvas.

    Mapped pixel for pixel it is an even grey from afar and sharp checks under a loupe. Scaled, by
    however little, it shows beats: broad waves or bars that the signal does not have.
    """

    kind: ClassVar[str] = "pixel-checks"
    summary: ClassVar[str] = "a checkerboard of single pixels, for 1:1 mapping and sharpness"
    family: ClassVar[str] = "geometry and path"
    detail: ClassVar[bool] = True
    examples = ({}, {"side": 2, "level": "50 %"})

    side: Annotated[int, Parameter(ge=1)] = Parameter(1, description="side of a check in pixels")
    start: Literal["lit", "dark"] = Parameter("lit", description="the top left check: lit or dark")
    level: Level = Parameter(percent(100), description="level of the lit checks")
    background: Level = Parameter(percent(0), description="level of the dark checks")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        if self.side > min(canvas.width, canvas.height):
            raise PatternError(
                f"A check of {self.side} pixels does not fit on a canvas of {canvas}.",
                ("side",),
            )
        dark, lit = ink("background", self.background), ink("level", self.level)
        pair = np.array([lit, dark] if self.start == "lit" else [dark, lit], np.uint16)
        across = np.arange(canvas.width) // self.side % 2
        down = np.arange(canvas.height) // self.side % 2
        rows = np.stack([pair[across], pair[1 - across]])
        return stack(ink, rows, down, carried_at(dark, lit))


Span = tuple[int, int]
"""First column, and the first one after the last."""


@dataclass(frozen=True)
class Ring:
    """Pixels whose centres lie within a diameter, but not within the diameter less two widths.

    All lengths are in half pixels, so that pixel centres and circle centres are both whole: pixel
    n has its centre at 2n + 1. A pixel (dx, dy) from the circle's centre is part of the ring where
    inner^2 <= dx^2 + dy^2 < outer^2, in whole numbers; nothing is smoothed, and for the circles
    here no pixel lies on a limit: a sum of two odd squares is never an even square, nor a sum of
    two even squares an odd one.
    """

    x: int
    y: int
    outer: int
    inner: int

    @classmethod
    def of(cls, x: int, y: int, diameter: int, width: int) -> Ring:
        """Centre in half pixels; diameter over all and width of the line in pixels."""
        return cls(x, y, diameter, max(diameter - 2 * width, 0))

    def spans(self, row: int) -> list[Span]:
        """What the ring covers of a picture row: nothing, one span, or two."""
        dy = 2 * row + 1 - self.y
        beyond = self.outer**2 - dy**2
        if beyond <= 0:
            return []
        left, right = self._within(isqrt(beyond - 1))
        hollow = self.inner**2 - dy**2
        if hollow <= 0:
            return [(left, right)]
        hole_left, hole_right = self._within(isqrt(hollow - 1))
        return [(left, hole_left), (hole_right, right)]

    def _within(self, reach: int) -> Span:
        """Columns with abs(2 column + 1 - x) <= reach."""
        return (self.x - reach) // 2, (self.x - 1 + reach) // 2 + 1


class Grid(Pattern):
    """Lines across and down at one pitch, so that the cells are square on square pixels.

    A line goes through the middle of the canvas in both axes. Even widths lie evenly about it; odd
    ones have the odd pixel to the right and below.
    """

    kind: ClassVar[str] = "grid"
    summary: ClassVar[str] = "a grid of square cells through the middle of the canvas"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"pitch": "64 px", "width": "1 px", "background": "20 %"})

    pitch: Length = Parameter(
        percent(5), description="side of a cell with its line; percent of the canvas height"
    )
    width: Length = Parameter(px(2), description="width of a line; percent of the canvas height")
    level: Level = Parameter(percent(100), description="level of the lines")
    background: Level = Parameter(percent(0), description="level of the cells")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        pitch, width = grid_size(canvas, "pitch", self.pitch, self.width)
        pair = np.array([ink("background", self.background), ink("level", self.level)], np.uint16)
        across = grid_lines(canvas.width, pitch, width).astype(np.intp)
        down = grid_lines(canvas.height, pitch, width).astype(np.intp)
        rows = np.stack([pair[across], np.repeat(pair[1:], canvas.width, axis=0)])
        facts = {"pitch_px": pitch, "width_px": width}
        return stack(ink, rows, down, facts | carried_at(*ink.codes.values()))


class Circles(Pattern):
    """One circle in the middle and one in each corner, as rings of one colour in whole pixels.

    The corner circles touch both of their edges. The middle of a canvas lies between two pixels, so
    the middle circle has an even diameter. Every ring is as high as it is wide, to the pixel.
    """

    kind: ClassVar[str] = "circles"
    summary: ClassVar[str] = "a circle in the middle and one in each corner, with or without a grid"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"grid": "5 %", "width": "1 px", "background": "20 %"})

    middle: Length = Parameter(
        percent(90), description="diameter of the middle circle; percent of the shorter side"
    )
    corners: Length = Parameter(
        percent(25),
        description="diameter of the corner circles; percent of the shorter side; 0 px for none",
    )
    width: Length = Parameter(px(2), description="width of the rings; percent of the shorter side")
    grid: Length | None = Parameter(
        None, description="pitch of a grid behind them, drawn as wide; percent of the canvas height"
    )
    level: Level = Parameter(percent(100), description="level of the rings and the grid")
    background: Level = Parameter(percent(0), description="level of all the rest")

    def rings(self, canvas: Canvas) -> list[Ring]:
        """The middle ring, then top left, top right, bottom left and bottom right."""
        side = min(canvas.width, canvas.height)
        middle = 2 * round_half_away(pixels(self.middle, side) / 2)
        corner = round_half_away(pixels(self.corners, side))
        width = round_half_away(pixels(self.width, side))
        for parameter, name, each in (
            ("middle", "middle", middle),
            ("corners", "corner", corner or 1),
        ):
            if not 1 <= each <= side:
                raise PatternError(
                    f"A {name} circle of {each} pixels does not lie on a canvas of {canvas}.",
                    (parameter,),
                )
        if not 1 <= width <= min(middle, corner or middle) / 2:
            raise PatternError(
                f"A circle of {middle} pixels has no ring of {width} pixels.",
                ("width",),
                ("middle",) if middle <= (corner or middle) else ("corners",),
            )
        rings = [Ring.of(canvas.width, canvas.height, middle, width)]
        if corner:
            near = (corner, 2 * canvas.width - corner), (corner, 2 * canvas.height - corner)
            rings += [Ring.of(x, y, corner, width) for y in near[1] for x in near[0]]
        return rings

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        rings = self.rings(canvas)
        background, level = ink("background", self.background), ink("level", self.level)
        facts: dict[str, object] = {"middle_px": rings[0].outer, "corner_px": rings[-1].outer}
        if len(rings) == 1:
            del facts["corner_px"]
        across = down = np.zeros(0, np.bool_)
        if self.grid is not None:
            width = (rings[0].outer - rings[0].inner) // 2
            pitch, width = grid_size(canvas, "grid", self.grid, px(width))
            across = grid_lines(canvas.width, pitch, width)
            down = grid_lines(canvas.height, pitch, width)
            facts["pitch_px"] = pitch
        # rows are known by what covers them, so that each is painted once
        known: dict[tuple[bool, tuple[Span, ...]], int] = {}
        order = np.empty(canvas.height, np.intp)
        for row in range(canvas.height):
            spans = tuple(sorted(span for ring in rings for span in ring.spans(row)))
            lined = bool(down.size and down[row])
            order[row] = known.setdefault((lined, () if lined else spans), len(known))
        rows = np.empty((len(known), canvas.width, 3), np.uint16)
        rows[:] = background
        if across.size:
            rows[:, across] = level
        for each, (lined, spans) in zip(rows, known, strict=True):
            if lined:
                each[:] = level
            for left, right in spans:
                each[left:right] = level
        return stack(ink, rows, order, facts | carried_at(background, level))


def grid_size(canvas: Canvas, name: str, pitch: Measure, width: Measure) -> tuple[int, int]:
    """Pitch and width of a grid's lines in whole pixels; ``name`` is the pitch's parameter."""
    whole = round_half_away(pixels(pitch, canvas.height))
    thick = round_half_away(pixels(width, canvas.height))
    if not 1 <= thick < whole:
        raise PatternError(
            f"Lines of {thick} pixels at a pitch of {whole} make no grid: a line is at least one "
            "pixel wide and narrower than its pitch.",
            # the thinnest lines do for a pitch of two pixels
            *((("width",), (name,)) if whole >= 2 else ((name,), ("width",))),
        )
    if whole > min(canvas.width, canvas.height):
        raise PatternError(
            f"A pitch of {whole} pixels does not fit on a canvas of {canvas}.", (name,)
        )
    return whole, thick


def grid_lines(side: int, pitch: int, width: int) -> NDArray[np.bool_]:
    """Which pixels of a side lie on a line; one line goes through the middle."""
    start = side // 2 - width // 2
    lit: NDArray[np.bool_] = (np.arange(side) - start) % pitch < width
    return lit
