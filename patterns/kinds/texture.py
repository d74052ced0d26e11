"""Text-like texture that scrolls by: strokes such as letters have, of no alphabet."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Any, ClassVar

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.chance import below, draws
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.scrolling import ScrollingPattern, window_on
from patterns.levels import Ink, Level
from patterns.measures import Length, parse_measure, percent, pixels
from patterns.sheet import stack
from patterns.signal import Signal

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
