"""A pan with judder: a picture that moves at its own rate, shown at the canvas's refresh."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from math import floor
from typing import Any, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas, parse_refresh
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import MovingPattern
from patterns.kinds.scrolling import windowed
from patterns.levels import Ink, Level
from patterns.measures import Length, Rate, parse_measure, percent, pixels
from patterns.pace import hold_back, refreshes
from patterns.sheet import stack

PARTS = 12
"""Lines, posts and blocks side by side; each has a twelfth of the width."""
LONGEST_CADENCE = 240


class Pan(MovingPattern):
    """Lines, posts and blocks that go ``step`` pixels on with every content frame.

    At refresh n the content frame floor(n x rate / refresh) is shown: 24 Hz at 60 Hz stand for
    3 and 2 refreshes in turn. The picture repeats after one canvas width; the design is our own.
    """

    kind: ClassVar[str] = "pan"
    summary: ClassVar[str] = "a panning picture at a content rate such as 24 Hz, for judder"
    family: ClassVar[str] = "motion and time"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"rate": "30 Hz", "step": "4 px", "direction": "right"},
    )

    rate: Rate = Parameter(
        parse_measure("24 Hz", ("Hz",), "24 Hz"),
        description="content frames a second; 23.976, 29.97 and 59.94 Hz are 24, 30 and 60 times "
        "1000/1001",
    )
    step: Length = Parameter(
        parse_measure("0.6 %", ("%",), "0.6 %"),
        description="how far the picture goes with every content frame; percent of the canvas "
        "width (0.6 % at 24 Hz takes seven seconds for a screen)",
    )
    direction: Literal["left", "right"] = Parameter("left", description="where to it goes")
    level: Level = Parameter(percent(60), description="level of the lines and blocks")
    background: Level = Parameter(percent(5), description="level around them")
    fast: bool = Parameter(
        False, description="allow more flashes than one in 360 ms at a place; can cause seizures"
    )

    @property
    def hertz(self) -> Fraction:
        """Content frames a second, exactly."""
        return parse_refresh(f"{self.rate.number:f}")

    def content(self, canvas: Canvas, time: Fraction) -> int:
        """Number of the content frame on screen at a time, from 0."""
        if self.hertz > canvas.refresh:
            raise PatternError(
                f"A rate of {self.rate} cannot be shown at {float(canvas.refresh):.6g} Hz.",
                ("rate",),
            )
        return floor(refreshes(canvas, time) * self.hertz / canvas.refresh)

    def cadence(self, canvas: Canvas) -> tuple[int, ...]:
        """Refreshes that each content frame stays, until they repeat; empty where that is long."""
        frames = (self.hertz / canvas.refresh).numerator
        if frames > LONGEST_CADENCE:
            return ()
        # content frame k comes on at the first refresh at or after k / rate
        starts = [-floor(-k * canvas.refresh / self.hertz) for k in range(frames + 1)]
        return tuple(later - start for start, later in pairwise(starts))

    def at(self, canvas: Canvas, time: Fraction) -> tuple[int, int]:
        gone = self._step(canvas) * self.content(canvas, time)
        return (gone if self.direction == "right" else -gone) % canvas.width, 0

    def _step(self, canvas: Canvas) -> int:
        step = round_half_away(pixels(self.step, canvas.width))
        if step < 1:
            raise PatternError(
                f"A step of {self.step} is less than a pixel on {canvas}.", ("step",)
            )
        return step

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        step = self._step(canvas)
        cycle = Fraction(canvas.width, PARTS * step) / self.hertz
        what = f"A step of {self.step} at {self.rate}"
        hold_back(what, cycle, ("step",), ("rate",), fast=self.fast)
        x, _ = self.at(canvas, time)
        pair = np.array([ink("background", self.background), ink("level", self.level)], np.uint16)
        rows, order = _picture(canvas)
        shown = pair[rows[:, windowed(canvas.width, x, canvas.width)].astype(np.intp)]
        facts: dict[str, object] = {"px_per_content_frame": step}
        if cadence := self.cadence(canvas):
            facts["refreshes_per_content_frame"] = list(cadence)
        return stack(ink, shown, np.array(order), facts)


def _picture(canvas: Canvas) -> tuple[NDArray[np.bool_], list[int]]:
    """Rows (k, width) of lit pixels, and their order: lines, then blocks, then a skyline."""
    edges = split(canvas.width, PARTS)
    fine = max(1, canvas.height // 1080)
    rows = np.zeros((7, canvas.width), np.bool_)
    for part, (left, right) in enumerate(pairwise(edges)):
        # lines of 1, 2, 4 and 8 pixels at 1080 rows
        rows[1, left : min(right, left + fine * 2 ** (part % 4))] = True
        rows[2, left : (left + right) // 2] = True
        # posts of four heights
        rows[3 + part % 4 :, left : left + (right - left) // 3] = True
    bands = ((4, 0), (34, 1), (38, 0), (58, 2), (62, 0), (70, 3), (78, 4), (86, 5), (100, 6))
    ends = [round_half_away(Fraction(share * canvas.height, 100)) for share, _ in bands]
    order: list[int] = []
    for end, (_, row) in zip(ends, bands, strict=True):
        order += [row] * (end - len(order))
    return rows, order
