"""What scrolling patterns share: whole pixels from frame to frame, in one direction, for ever."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import replace
from fractions import Fraction
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.frame import Frame, distinct_rows
from patterns.kinds.base import MovingPattern
from patterns.measures import Speed, parse_measure
from patterns.pace import refreshes, whole_step


class ScrollingPattern(MovingPattern):
    """A picture that repeats and goes by; what leaves at one side comes back at the other."""

    speed: Speed = Parameter(
        parse_measure("4 px/frame", ("px/frame",), "4 px/frame"),
        description="how fast it goes; whole pixels a frame at the canvas's refresh",
    )
    direction: Literal["left", "right", "up", "down"] = Parameter(
        "left", description="where to it goes"
    )

    @property
    def across(self) -> bool:
        """Whether it goes along x."""
        return self.direction in ("left", "right")

    @abstractmethod
    def period(self, canvas: Canvas) -> int:
        """Pixels after which the picture repeats along its way."""

    def step(self, canvas: Canvas) -> int:
        """Pixels from frame to frame; PatternError where they are not whole."""
        return whole_step(self.speed, canvas, canvas.width if self.across else canvas.height)

    def at(self, canvas: Canvas, time: Fraction) -> tuple[int, int]:
        """Where the picture's first pixel is, one repetition at most from the canvas's own."""
        gone = self.step(canvas) * refreshes(canvas, time)
        place = (gone if self.direction in ("right", "down") else -gone) % self.period(canvas)
        return (place, 0) if self.across else (0, place)


def windowed(length: int, start: int, period: int) -> NDArray[np.intp]:
    """Which pixel of a repeating line is seen at each of ``length`` places, shifted by start."""
    return (np.arange(length, dtype=np.intp) - start) % period


def window_on(page: Frame, canvas: Canvas, x: int, y: int) -> Frame:
    """What a canvas shows of a page that repeats both ways and is shifted to the right and down.

    The page is as large as the canvas or larger.
    """
    start = -x % page.width
    ahead = page.rows[:, start : start + canvas.width]
    rows = np.concatenate([ahead, page.rows[:, : canvas.width - ahead.shape[1]]], axis=1)
    order = page.order[windowed(canvas.height, y, page.height)]
    if (page.width, page.height) == (canvas.width, canvas.height):
        # all of the page is seen, so rows that differ there differ here
        return replace(page, rows=rows, order=order)
    used, order_of_used = np.unique(order, return_inverse=True)
    rows, places = distinct_rows(rows[used])
    return replace(page, rows=rows, order=places[order_of_used])
