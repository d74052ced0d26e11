"""Bars that scroll by in whole pixels per frame: for moving edges and their trails."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

import numpy as np
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.scrolling import ScrollingPattern, windowed
from patterns.levels import Ink, Level
from patterns.measures import Length, percent, pixels
from patterns.pace import hold_back
from patterns.sheet import stack


class Scroll(ScrollingPattern):
    """Upright bars going left or right, or level ones going up or down.

    A bar's first pixel is at 0 at the start. Every place of the picture is lit once while the
    pattern goes by one repetition, so slow and wide is calm, and fast and narrow flashes.
    """

    kind: ClassVar[str] = "scroll"
    summary: ClassVar[str] = "bars that scroll in whole pixels per frame"
    family: ClassVar[str] = "motion and time"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"direction": "down", "speed": "2 px/frame", "bar": "5 %", "every": "25 %"},
    )

    bar: Length = Parameter(
        percent(10), description="width of a bar; percent of the canvas's side along its way"
    )
    every: Length = Parameter(
        percent(50), description="from bar to bar; percent of the canvas's side along its way"
    )
    level: Level = Parameter(percent(100), description="level of the bars")
    background: Level = Parameter(percent(0), description="level between them")
    fast: bool = Parameter(
        False, description="allow more flashes than one in 360 ms at a place; can cause seizures"
    )

    def period(self, canvas: Canvas) -> int:
        return self._sizes(canvas)[1]

    def _sizes(self, canvas: Canvas) -> tuple[int, int]:
        """Width of a bar, and from bar to bar, pixels."""
        side = canvas.width if self.across else canvas.height
        bar, every = (round_half_away(pixels(each, side)) for each in (self.bar, self.every))
        if not 1 <= bar < every:
            raise PatternError(
                f"A bar of {self.bar} every {self.every} has {bar} of {every} pixels on {canvas}; "
                "it needs at least one, and one dark one beside it.",
                ("bar",),
                ("every",),
            )
        return bar, every

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        bar, every = self._sizes(canvas)
        step = self.step(canvas)
        if step:
            cycle = Fraction(every, step) / canvas.refresh
            what = f"A bar every {every} pixels at {self.speed}"
            hold_back(what, cycle, ("speed",), ("every",), fast=self.fast)
        dark, lit = ink("background", self.background), ink("level", self.level)
        pair = np.array([dark, lit], np.uint16)
        x, y = self.at(canvas, time)
        length = canvas.width if self.across else canvas.height
        which = (windowed(length, x if self.across else y, every) < bar).astype(np.intp)
        facts: dict[str, object] = {"px_per_frame": step, "bar_px": bar, "every_px": every}
        if self.across:
            return stack(ink, pair[which][None], np.zeros(canvas.height, np.intp), facts)
        rows = np.repeat(pair[:, None], canvas.width, axis=1)
        return stack(ink, rows, which, facts)
