"""Highlight ladders: patches each one step above what surrounds them, to see where a display clips.

The arrangement is our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.errors import ParameterPath, PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.ladder import CHANNELS
from patterns.picture.canvas import Canvas, nearest_rectangle, split
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Area, Grey, Measure, percent
from patterns.signal.signal import Codes


class Highlights(Pattern):
    """Patches from left to right, then down, each at the centre of a square one step below it.

    The middle patch has the level ``around``. As far as a display tells levels apart, a patch
    stands out from its square; from where it clips, squares are plain. So a display clips within
    the step of the last patch that shows. Every fifth square has a dim tick below it, and that of
    the middle patch a long one.
    """

    kind: ClassVar[str] = "highlights"
    summary: ClassVar[str] = "patches one step above their surround, to see where a display clips"
    family: ClassVar[str] = "peak and tone"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"around": "80 %", "step": "2 %", "channel": "red", "count": 15, "columns": 5},
        {"around": "95 %", "step": "1 %", "count": 9, "columns": 3, "background": "20 %"},
    )

    around: Grey = Parameter(percent(90), description="level of the middle patch")
    step: Grey = Parameter(
        percent(1),
        description="from patch to patch: in codes, or in the unit of around (% or cd/m2)",
    )
    count: Annotated[int, Parameter(ge=1, le=200)] = Parameter(21, description="number of patches")
    columns: Annotated[int, Parameter(ge=1, le=50)] = Parameter(7, description="patches in a row")
    channel: Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "white", description="which channels have the levels; the others stay at 0 %"
    )
    area: Area = Parameter(
        percent(10), description="share of the canvas of all squares together, patches included"
    )
    background: Level = Parameter(percent(0), description="level around the squares")
    ticks: bool = Parameter(True, description="dim ticks below the squares, to count them")

    @property
    def middle(self) -> int:
        """Number of the patch with the level ``around``."""
        return (self.count + 1) // 2

    def squares(self, canvas: Canvas) -> list[Box]:
        """The squares in their order."""
        columns = min(self.columns, self.count)
        rows = -(-self.count // columns)
        share = self.area.exact / 100 / self.count
        # edges on even pixels: 4:2:0 carries them in colours too
        side, _ = nearest_rectangle(canvas, share, "square", step=2)
        xs, ys = split(canvas.width, columns), split(canvas.height, rows)
        room = min(canvas.width // columns, canvas.height // rows)
        # an eighth for the gap, and as much for the tick
        if side < 4 or side * 5 > room * 4:
            raise PatternError(
                f"{self.count} squares of {side} pixels do not fit on a canvas of {canvas}.",
                *self._crowding(canvas, side, room),
            )
        boxes = []
        for number in range(self.count):
            row, column = divmod(number, columns)
            x, y = (
                (a + b - side) // 4 * 2 for a, b in (xs[column : column + 2], ys[row : row + 2])
            )
            boxes.append(Box(x, y, side, side))
        return boxes

    def _crowding(self, canvas: Canvas, side: int, room: int) -> list[ParameterPath]:
        """What to blame where squares do not fit: first what would do if it alone were another."""
        roomiest = max(
            min(canvas.width // columns, canvas.height // -(-self.count // columns))
            for columns in range(1, self.count + 1)
        )
        if side >= 4 and side * 5 <= roomiest * 4:
            return [("columns",), ("area",), ("count",)]
        # the smallest square takes 5 pixels of room
        return [("area",), ("count",), ("columns",)] if room >= 5 else [("count",), ("columns",)]

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {f"patch {n}": Spot.middle_of(box) for n, box in enumerate(self.squares(canvas), 1)}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        squares = self.squares(canvas)
        levels = self.levels(ink)
        codes = [self._mix(ink, f"patch {number}", level) for number, level in enumerate(levels)]
        ink.codes["surround of patch 1"] = ink.codes.pop("patch 0")
        self._require_steps(ink, levels, codes)
        sheet = Sheet(canvas, ink("background", self.background))
        for number, square in enumerate(squares, 1):
            half = square.width // 4 * 2
            start = (square.width - half) // 4 * 2
            sheet.box(square, codes[number - 1])
            sheet.box(Box(square.x + start, square.y + start, half, half), codes[number])
        if self.ticks:
            self._tick(sheet, squares, ink("tick", percent(20)))
        lit = 100 * sum(box.width * box.height for box in squares) / canvas.pixels
        light = ink.signal.luminance(np.array(codes[1:], np.uint16))
        facts: dict[str, object] = {
            "area_percent": lit,
            "levels": [str(level) for level in levels[1:]],
            "levels_cd_m2": [float(each) for each in light],
            "middle": f"patch {self.middle}",
        }
        return sheet.frame(ink, facts)

    def levels(self, ink: Ink) -> list[Measure]:
        """The level below the first patch, and those of all patches."""
        start = self._around(ink)
        first, step = start.number - self.middle * self.step.number, self.step.number
        if step <= 0:
            raise PatternError(
                f"A ladder goes up by more than nothing, not by {self.step}.", ("step",)
            )
        return [Measure(first + number * step, start.unit) for number in range(self.count + 1)]

    def _around(self, ink: Ink) -> Measure:
        """The middle level in the unit of the step."""
        if self.step.unit == self.around.unit:
            around: Measure = self.around
            return around
        if self.step.unit != "code":
            raise PatternError(
                f"A step of {self.step} goes with a level in {self.step.unit}, not {self.around}.",
                ("step",),
                ("around",),
            )
        # codes are those of the signal as written, not as shown
        signal = ink.signal
        written = signal.written or signal.quantiser
        meant = replace(signal, bits=written.bits, range=written.range, written=None)
        return Measure(Decimal(Ink(meant, self.clip)("around", self.around)[0]), "code")

    def _mix(self, ink: Ink, name: str, level: Measure) -> Codes:
        lit = ink(name, level, (("around",), ("step",), ("count",)))[0]
        black = ink.signal.quantiser.black
        red, green, blue = (lit if used else black for used in CHANNELS[self.channel])
        ink.codes[name] = (red, green, blue)
        return ink.codes[name]

    def _require_steps(self, ink: Ink, levels: list[Measure], codes: list[Codes]) -> None:
        """A patch with the code of its square would look as if the display clipped."""
        for level, below, above in zip(levels, codes, codes[1:], strict=False):
            if below == above and not ink.clipped:
                raise PatternError(
                    f"A step of {self.step} from {level} is less than a code of {ink.signal.name}.",
                    ("step",),
                )

    def _tick(self, sheet: Sheet, squares: list[Box], code: Codes) -> None:
        for number, square in enumerate(squares, 1):
            if number % 5 and number != self.middle:
                continue
            width = square.width if number == self.middle else square.width // 2
            height = max(1, square.width // 16)
            x = square.x + (square.width - width) // 2
            sheet.box(Box(x, square.bottom + height, width, height), code)
