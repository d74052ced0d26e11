"""A pan with judder: a picture that moves at its own rate, shown at the canvas's refresh."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import floor
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import MovingPattern
from patterns.picture.canvas import Canvas, parse_refresh, split
from patterns.picture.frame import Frame, distinct_rows
from patterns.picture.pace import below, draws, hold_back, refreshes, whole_step
from patterns.picture.sheet import stack
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Length, Rate, Speed, parse_measure, percent, pixels
from patterns.signal.signal import Signal


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


WIDE, HIGH = 5, 7
"""Cells of a letter."""
ADVANCE, LEADING = 6, 10
"""Cells from letter to letter, and from line to line."""
MOST_LINES = 12
"""Lines of text that differ; taller pictures show them again."""

_STEMS = ((slice(0, 7), 0), (slice(0, 7), 4), (slice(0, 7), 2), (slice(0, 4), 0), (slice(3, 7), 4))
_BARS = ((0, slice(0, 5)), (3, slice(0, 5)), (6, slice(0, 5)), (0, slice(0, 3)), (6, slice(2, 5)))


class Texture(ScrollingPattern):
    """Lines of letter-like shapes, each of one or two stems and one or two bars, with word spaces.

    The strokes scroll past faster than three times a second, so the level is dim by default: at
    30 % of SDR, PQ or HLG at 1000 cd/m2, going from dark to lit is not a flash by BT.1702-3
    (20 cd/m2) or WCAG 2.2 (10 % of the maximum). The design is our own.
    """

    kind: ClassVar[str] = "texture"
    summary: ClassVar[str] = "text-like texture that scrolls in whole pixels per frame"
    family: ClassVar[str] = "motion and time"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"direction": "up", "speed": "1 px/frame", "size": "4 %", "seed": 3},
    )

    size: Length = Parameter(
        parse_measure("2.5 %", ("%",), "2.5 %"),
        description="height of a letter; percent of the canvas height, met in sevenths",
    )
    seed: Annotated[int, Parameter(ge=0, lt=2**63)] = Parameter(
        1, description="another seed makes other letters"
    )
    level: Level = Parameter(
        percent(30), description="level of the strokes; dim, because brighter ones flash"
    )
    background: Level = Parameter(percent(0), description="level of the paper")

    def stroke(self, canvas: Canvas) -> int:
        """Width of a stroke in pixels."""
        stroke = max(1, round_half_away(pixels(self.size, canvas.height) / HIGH))
        if stroke * HIGH > canvas.height or stroke * WIDE > canvas.width:
            raise PatternError(
                f"Letters of {self.size} do not fit on a canvas of {canvas}.", ("size",)
            )
        return stroke

    def period(self, canvas: Canvas) -> int:
        stroke = self.stroke(canvas)
        side, cells = (canvas.width, ADVANCE) if self.across else (canvas.height, LEADING)
        return -(-side // (cells * stroke)) * cells * stroke

    def page(self, canvas: Canvas, ink: Ink) -> Frame:
        """The whole page that scrolls by: whole letters and lines, so larger than the canvas."""
        stroke = self.stroke(canvas)
        letters = -(-canvas.width // (ADVANCE * stroke))
        lines = -(-canvas.height // (LEADING * stroke))
        cells = _cells(letters, min(lines, MOST_LINES), self.seed)
        rows = np.empty((*cells.shape, 3), np.uint16)
        rows[:] = ink("background", self.background)
        rows[cells] = ink("level", self.level)
        order = np.repeat(np.arange(lines * LEADING) % len(cells), stroke)
        facts = {"px_per_frame": self.step(canvas), "stroke_px": stroke, "letter_px": stroke * HIGH}
        return stack(ink, np.repeat(rows, stroke, axis=1), order, {**facts})

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        return window_on(_page(self, canvas, ink.signal), canvas, *self.at(canvas, time))


@lru_cache(maxsize=2)
def _page(texture: Texture, canvas: Canvas, signal: Signal) -> Frame:
    """The page, made once for all frames."""
    return texture.page(canvas, Ink(signal, texture.clip))


def _cells(letters: int, lines: int, seed: int) -> NDArray[np.bool_]:
    """Cells of a page that are lit, (lines * LEADING, letters * ADVANCE)."""
    drawn = draws(seed, letters * lines * 5).reshape(lines, letters, 5)
    page = np.zeros((lines, LEADING, letters, ADVANCE), np.bool_)
    stems, bars = (below(drawn[..., n : n + 2], 5) for n in (0, 2))
    # one place in six is a space
    blank = below(drawn[..., 4], 6) == 0
    for line in range(lines):
        for letter in range(letters):
            if blank[line, letter]:
                continue
            cell = page[line, 1 : 1 + HIGH, letter, :WIDE]
            for stem in stems[line, letter]:
                cell[_STEMS[stem]] = True
            for bar in bars[line, letter]:
                cell[_BARS[bar]] = True
    return page.reshape(lines * LEADING, letters * ADVANCE)
