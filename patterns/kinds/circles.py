"""A grid and circles: whether squares are square, circles round, and both straight."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.chroma_lines import carried_at
from patterns.levels import Ink, Level
from patterns.measures import Length, Measure, percent, pixels, px
from patterns.sheet import stack

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
