"""A frame counter: the number of every frame in digits and in blocks, for cameras."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import Length, percent, pixels
from patterns.pace import refreshes
from patterns.sheet import Box, Sheet

STROKES = {
    "a": (0, 0, 5, 1),
    "b": (4, 0, 1, 5),
    "c": (4, 4, 1, 5),
    "d": (0, 8, 5, 1),
    "e": (0, 4, 1, 5),
    "f": (0, 0, 1, 5),
    "g": (0, 4, 5, 1),
}
"""Strokes of a digit, x, y, width, height in strokes' widths: five wide, nine high."""
DIGITS = ("abcdef", "bc", "abged", "abgcd", "fgbc", "afgcd", "afgedc", "abc", "abcdefg", "abcdfg")
GAP, FROM_DIGIT_TO_DIGIT, FROM_BLOCK_TO_BLOCK = 2, 7, 3
DIGIT_WIDE, DIGIT_HIGH, BLOCK = 5, 9, 2


class FrameCounter(Pattern):
    """Digits, and below them one block for each binary digit, the largest on the left.

    Refresh n shows (start + n) modulo ``modulo``. Units change with every refresh, so the level
    is dim by default and the strokes are thin: at 30 % of SDR, PQ or HLG at 1000 cd/m2, going from
    dark to lit is not a flash by BT.1702-3 (20 cd/m2) or WCAG 2.2 (10 % of the maximum), and less
    than a tenth of the picture changes. A brighter counter flickers. The figures are our own.
    """

    kind: ClassVar[str] = "frame-counter"
    summary: ClassVar[str] = "the number of every frame, in digits and in binary blocks"
    family: ClassVar[str] = "motion and time"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"start": 1234},
        {"modulo": 60, "start": 47, "size": "30 %"},
    )

    modulo: Annotated[int, Parameter(ge=2, le=10**9)] = Parameter(
        10_000, description="the counter starts again from 0 after so many frames"
    )
    start: Annotated[int, Parameter(ge=0, le=10**9)] = Parameter(
        0, description="number of the first frame"
    )
    size: Length = Parameter(
        percent(15), description="height of the digits; percent of the canvas's shorter side"
    )
    level: Level = Parameter(
        percent(30), description="level of digits and blocks; dim, because brighter ones flash"
    )
    off: Level = Parameter(percent(10), description="level of the blocks that stand for 0")
    background: Level = Parameter(percent(0), description="level around them")

    @property
    def moves(self) -> bool:
        return True

    def number(self, canvas: Canvas, time: Fraction) -> int:
        """The number on screen at a time."""
        return (self.start + refreshes(canvas, time)) % self.modulo

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        number = self.number(canvas, time)
        digits = str(number).zfill(len(str(self.modulo - 1)))
        bits = f"{number:b}".zfill((self.modulo - 1).bit_length())
        stroke = self._stroke(canvas)
        wide = FROM_DIGIT_TO_DIGIT * len(digits) - GAP
        blocks = FROM_BLOCK_TO_BLOCK * len(bits) - (FROM_BLOCK_TO_BLOCK - BLOCK)
        high = DIGIT_HIGH + GAP + BLOCK
        if stroke * max(wide, blocks) > canvas.width or stroke * high > canvas.height:
            thin = max(wide, blocks) <= canvas.width and high <= canvas.height
            raise PatternError(
                f"{len(digits)} digits of {self.size} and {len(bits)} blocks do not fit on "
                f"{canvas}.",
                # with the thinnest strokes they may fit
                *((("size",), ("modulo",)) if thin else (("modulo",), ("size",))),
            )
        lit, off = ink("level", self.level), ink("off", self.off)
        sheet = Sheet(canvas, ink("background", self.background))
        top = (canvas.height - stroke * high) // 2
        left = (canvas.width - stroke * wide) // 2
        for place, digit in enumerate(digits):
            for name in DIGITS[int(digit)]:
                x, y, width, height = (stroke * each for each in STROKES[name])
                x += left + stroke * FROM_DIGIT_TO_DIGIT * place
                sheet.box(Box(x, top + y, width, height), lit)
        top += stroke * (DIGIT_HIGH + GAP)
        left = (canvas.width - stroke * blocks) // 2
        for place, bit in enumerate(bits):
            x = left + stroke * FROM_BLOCK_TO_BLOCK * place
            side = stroke * BLOCK
            sheet.box(Box(x, top, side, side), lit if bit == "1" else off)
        return sheet.frame(ink, {"frame": number})

    def _stroke(self, canvas: Canvas) -> int:
        height = pixels(self.size, min(canvas.width, canvas.height))
        return max(1, round_half_away(height / DIGIT_HIGH))
