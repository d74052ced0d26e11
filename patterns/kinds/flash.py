"""Light that comes and goes: a patch for delay and photodiodes, a field for power limits."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, ClassVar

from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.window import AT, SIZE, Place, Size
from patterns.picture.canvas import Canvas
from patterns.picture.digits import strokes
from patterns.picture.frame import Frame
from patterns.picture.pace import at_least, hold_back, nearest, refreshes
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Duration, Length, Measure, percent, pixels

FAST = "allow cycles shorter than 360 ms, which can cause seizures; the operator is warned"


class BlinkingPattern(Pattern):
    """Lit for whole refreshes, then not, again and again; it begins lit."""

    @property
    def moves(self) -> bool:
        return True

    @abstractmethod
    def cycle(self, canvas: Canvas) -> tuple[int, int]:
        """Refreshes lit, and refreshes from one beginning to the next."""

    def lit(self, canvas: Canvas, time: Fraction) -> bool:
        """Whether the light is on at a time."""
        on, whole = self.cycle(canvas)
        return refreshes(canvas, time) % whole < on

    def timing(self, canvas: Canvas, time: Fraction) -> dict[str, object]:
        """What is true of this frame: lit or not, and the times that whole refreshes give."""
        on, whole = self.cycle(canvas)
        return {
            "lit": self.lit(canvas, time),
            "lit_s": float(on / canvas.refresh),
            "cycle_s": float(whole / canvas.refresh),
        }


class Flash(BlinkingPattern):
    """A patch that is lit for a short time, at most once in 360 ms unless that is asked for.

    A period takes the fewest whole refreshes that last as long; the time lit, the nearest.
    """

    kind: ClassVar[str] = "flash"
    summary: ClassVar[str] = "a patch that lights up for a moment, for delay and photodiodes"
    family: ClassVar[str] = "motion and time"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"size": {"width": "10 %", "height": "100 %"}, "at": {"x": "5 %"}, "on": "1 s",
         "period": "2 s"},
    )  # fmt: skip

    on: Duration = Parameter(
        Measure(Decimal(100), "ms"), description="how long it is lit, at least one refresh"
    )
    period: Duration = Parameter(
        Measure(Decimal(1), "s"), description="from flash to flash, 360 ms or more unless fast"
    )
    size: Size = Parameter(
        Size(width=percent(20), height=percent(20)),
        description="{width:, height:} of the patch; 100 % each for the whole canvas",
    )
    at: Place = Parameter(Place(), description="{x:, y:} of the patch's centre")
    level: Level = Parameter(percent(100), description="level of the patch while lit")
    background: Level = Parameter(percent(0), description="level around it, and of the patch else")
    fast: bool = Parameter(False, description=FAST)

    def cycle(self, canvas: Canvas) -> tuple[int, int]:
        on, whole = nearest(self.on, canvas), at_least(self.period, canvas)
        if on >= whole:
            raise PatternError(
                f"A patch lit for {self.on} of {self.period} is never dark at "
                f"{float(canvas.refresh):.6g} Hz.",
                ("on",),
                ("period",),
            )
        cycle = whole / canvas.refresh
        hold_back(f"A period of {self.period}", cycle, ("period",), fast=self.fast)
        return on, whole

    def box(self, canvas: Canvas) -> Box:
        """The patch in whole pixels."""
        width = round_half_away(pixels(self.size.width, canvas.width))
        height = round_half_away(pixels(self.size.height, canvas.height))
        centre = pixels(self.at.x, canvas.width), pixels(self.at.y, canvas.height)
        box = Box.about(*centre, width, height)
        if not box.lies_on(canvas):
            raise PatternError(
                f"A patch of {box} does not lie on a canvas of {canvas}.",
                *box.misfits(canvas, AT, SIZE),
            )
        return box

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {"patch": Spot.middle_of(self.box(canvas))}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box, timing = self.box(canvas), self.timing(canvas, time)
        sheet = Sheet(canvas, ink("background", self.background))
        level = ink("level", self.level)
        if timing["lit"]:
            sheet.box(box, level)
        return sheet.frame(ink, {"box": box.describe(), **timing})


class Pulse(BlinkingPattern):
    """The whole canvas lit for a while, then at rest: what a power limit does, and recovery."""

    kind: ClassVar[str] = "pulse"
    summary: ClassVar[str] = "the whole canvas lit for a while, then at rest, for power limits"
    family: ClassVar[str] = "peak and tone"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"on": "500 ms", "rest": "4 s", "level": "75 %", "background": "10 %"},
    )

    on: Duration = Parameter(
        Measure(Decimal(2), "s"), description="how long it is lit, in the nearest whole refreshes"
    )
    rest: Duration = Parameter(
        Measure(Decimal(8), "s"), description="how long it rests, in the nearest whole refreshes"
    )
    level: Level = Parameter(percent(100), description="level of the canvas while lit")
    background: Level = Parameter(percent(0), description="level of the canvas at rest")
    fast: bool = Parameter(False, description=FAST)

    def cycle(self, canvas: Canvas) -> tuple[int, int]:
        on, rest = nearest(self.on, canvas), nearest(self.rest, canvas)
        cycle = (on + rest) / canvas.refresh
        what = f"A pulse of {self.on} and a rest of {self.rest}"
        hold_back(what, cycle, ("rest",), ("on",), fast=self.fast)
        return on, on + rest

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        timing = self.timing(canvas, time)
        dark, lit = ink("background", self.background), ink("level", self.level)
        return Sheet(canvas, lit if timing["lit"] else dark).frame(ink, timing)


GAP, FROM_DIGIT_TO_DIGIT, FROM_BLOCK_TO_BLOCK = 2, 7, 3
DIGIT_WIDE, DIGIT_HIGH, BLOCK = 5, 9, 2
"""All in strokes' widths."""


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
            begin = left + stroke * FROM_DIGIT_TO_DIGIT * place
            for each in strokes(int(digit), DIGIT_WIDE, DIGIT_HIGH):
                x, y, width, height = (
                    stroke * side for side in (each.x, each.y, each.width, each.height)
                )
                sheet.box(Box(begin + x, top + y, width, height), lit)
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
