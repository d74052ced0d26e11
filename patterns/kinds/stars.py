"""Star fields: small dots strewn evenly at random, the same on every machine; still and moving."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import isqrt
from typing import Annotated, Any, ClassVar

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.pan import ScrollingPattern, window_on
from patterns.picture.canvas import Canvas, split
from patterns.picture.frame import Frame
from patterns.picture.pace import below, draws
from patterns.picture.sheet import stack
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Density, Length, Speed, parse_measure, percent, pixels, px
from patterns.signal.signal import Signal

MOST_LINES = 240
"""Lines that dots stand on, where fewer than that do not fill the canvas."""
LINES_A_CELL = 5


@dataclass(frozen=True)
class Sky:
    """Where the dots are: rows (k, width) of lit pixels, and their order (height,)."""

    rows: NDArray[np.bool_]
    order: NDArray[np.intp]


class StarField(Pattern):
    """Square dots, one to a cell of a grid, anywhere in it; no two touch.

    The number of dots is Round(density x pixels / dot), or dots per million pixels; cells too many
    stay empty, chosen at random. Down the picture, the dots of a row of cells stand on up to five
    lines at random heights: few rows differ, and the eye sees no lines. The layout is our own.
    """

    family: ClassVar[str] = "zones and halo"

    size: Length = Parameter(px(3), description="side of a dot; percent of the canvas height")
    density: Density = Parameter(
        parse_measure("0.05 %", ("%",), "0.05 %"),
        description="share of the canvas that the dots cover, or dots per million pixels "
        "(dots/Mpx)",
    )
    seed: Annotated[int, Parameter(ge=0, lt=2**63)] = Parameter(
        1, description="another seed strews the dots otherwise"
    )
    level: Level = Parameter(percent(100), description="level of the dots")
    background: Level = Parameter(percent(0), description="level of the sky")

    def dots(self, canvas: Canvas) -> tuple[int, int]:
        """Number of dots, and the side of one in pixels."""
        side = max(1, round_half_away(pixels(self.size, canvas.height)))
        if self.density.unit == "%":
            count = round_half_away(self.density.exact * canvas.pixels / (100 * side * side))
        else:
            count = round_half_away(self.density.exact * canvas.pixels / 10**6)
        if count < 1:
            raise PatternError(
                f"A density of {self.density} is less than one dot on {canvas}.",
                ("density",),
                ("size",),
            )
        return count, side

    def sky(self, canvas: Canvas) -> Sky:
        """Where the dots are before anything moves."""
        count, side = self.dots(canvas)
        # at a quarter of the canvas, no dot of any size has room left beside it
        if 4 * count * side * side > canvas.pixels:
            raise self._too_dense(canvas, side)
        found = _sky(canvas.width, canvas.height, count, side, self.seed)
        if found is None:
            raise self._too_dense(canvas, side)
        return found

    def _too_dense(self, canvas: Canvas, side: int) -> PatternError:
        # where not even one dot would fit
        large = 4 * side * side > canvas.pixels or side >= min(canvas.width, canvas.height)
        return PatternError(
            f"Dots of {side} pixels at a density of {self.density} do not fit on {canvas} without "
            "touching.",
            *((("size",), ("density",)) if large else (("density",), ("size",))),
        )

    def still(self, canvas: Canvas, ink: Ink) -> Frame:
        """The field before anything moves."""
        count, side = self.dots(canvas)
        sky = self.sky(canvas)
        rows = np.empty((*sky.rows.shape, 3), np.uint16)
        rows[:] = ink("background", self.background)
        rows[sky.rows] = ink("level", self.level)
        facts: dict[str, object] = {
            "dots": count,
            "dot_px": side,
            "area_percent": 100 * count * side * side / canvas.pixels,
        }
        return stack(ink, rows, sky.order, facts)


class Stars(StarField):
    """A still star field."""

    kind: ClassVar[str] = "stars"
    summary: ClassVar[str] = "small dots strewn over a dark sky"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"size": "0.5 %", "density": "1 %", "seed": 7},
        {"size": "1 px", "density": "500 dots/Mpx"},
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        return self.still(canvas, ink)


class MovingStars(StarField, ScrollingPattern):
    """The same star field, scrolling in whole pixels; at time 0 it is where the still one is."""

    kind: ClassVar[str] = "moving-stars"
    summary: ClassVar[str] = "a star field that scrolls in whole pixels per frame"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"size": "0.4 %", "density": "0.1 %"},
        {"direction": "down", "speed": "1 px/frame"},
    )

    speed: Speed = Parameter(
        parse_measure("2 px/frame", ("px/frame",), "2 px/frame"),
        description="how fast it goes; whole pixels a frame at the canvas's refresh",
    )

    def period(self, canvas: Canvas) -> int:
        return canvas.width if self.across else canvas.height

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        return window_on(_page(self, canvas, ink.signal), canvas, *self.at(canvas, time))


@lru_cache(maxsize=2)
def _page(field: StarField, canvas: Canvas, signal: Signal) -> Frame:
    """The still field, made once for all frames of a moving one."""
    return field.still(canvas, Ink(signal, field.clip))


def _sky(width: int, height: int, count: int, side: int, seed: int) -> Sky | None:
    """The layout, from whole numbers only; None where the dots would touch."""
    down = min(count, max(1, (isqrt(4 * count * height // width) + 1) // 2))
    across = -(-count // down)
    slots = max(1, min(LINES_A_CELL, MOST_LINES // down, height // down // (side + 1)))
    xs = np.array(split(width, across))
    ys = np.array(split(height, down * slots))
    if np.diff(xs).min() <= side or np.diff(ys).min() <= side:
        return None
    cells, lines = across * down, down * slots
    drawn = draws(seed, 3 * cells + lines)
    keys, places, which, heights = np.split(drawn, [cells, 2 * cells, 3 * cells])
    kept = np.sort(np.argsort(keys, kind="stable")[cells - count :])
    row, column = kept // across, kept % across
    # the last pixel of a cell and of a line stays free: that keeps neighbours apart
    left = xs[column] + below(places[kept], np.diff(xs)[column] - side)
    line = row * slots + below(which[kept], slots)
    top = ys[:-1] + below(heights, np.diff(ys) - side)
    rows = np.zeros((lines + 1, width), np.bool_)
    order = np.full(height, lines, np.intp)
    for step in range(side):
        rows[line, left + step] = True
        order[top + step] = np.arange(lines)
    return Sky(rows, order)
