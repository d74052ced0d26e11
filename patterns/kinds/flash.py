"""Light that comes and goes: a patch for delay and photodiodes, a field for power limits."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, ClassVar

from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.window import AT, SIZE, Place, Size
from patterns.levels import Ink, Level
from patterns.measures import Duration, Measure, percent, pixels
from patterns.pace import at_least, hold_back, nearest, refreshes
from patterns.sheet import Box, Sheet
from patterns.spots import Spot

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
        return sheet.frame(ink, {"box": str(box), **timing})


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
