"""Near-black and near-white steps: patches a few codes from either end of the range."""

from __future__ import annotations

from abc import abstractmethod
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, ClassVar

from pydantic import Field as Parameter

from patterns.errors import ParameterPath, PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.chart import Layout, middles, painted
from patterns.picture.canvas import Canvas, split
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink
from patterns.signal.measures import Measure, percent
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Codes

FURTHEST = 8192
"""Codes from an end of the range: more than lie beyond black or white at 16 bits."""


class Patches(Pattern):
    """Patches from left to right, then down, a few codes from the level around them.

    The codes are those of the signal as the sequence writes it, not of the framebuffer.
    """

    first: Annotated[int, Parameter(ge=-FURTHEST, le=FURTHEST)] = Parameter(
        1, description="codes from the level around them to the first patch"
    )
    step: Annotated[int, Parameter(ge=1, le=FURTHEST)] = Parameter(
        1, description="codes from patch to patch"
    )
    count: Annotated[int, Parameter(ge=1, le=400)] = Parameter(20, description="number of patches")
    columns: Annotated[int, Parameter(ge=1, le=100)] = Parameter(5, description="patches in a row")
    filled: Annotated[int, Parameter(ge=10, le=90)] = Parameter(
        60, description="side of a patch in percent of its place"
    )

    @property
    @abstractmethod
    def surround(self) -> Measure:
        """The level around the patches."""

    @abstractmethod
    def code(self, quantiser: Quantiser, index: int) -> int:
        """Code of a patch, the first of which has the index 0."""

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        boxes = self.boxes(canvas)
        sheet = Sheet(canvas, ink("background", self.surround))
        written = ink.signal.written or ink.signal.quantiser
        for index, box in enumerate(boxes):
            code = self.code(written, index)
            # one that the signal has as written, but not as shown, is no parameter's fault
            held = written.lowest <= code <= written.highest
            blamed = () if held else self._far_by(index)
            sheet.box(box, ink(f"patch {index + 1}", Measure(Decimal(code), "code"), blamed))
        return sheet.frame(ink)

    def _far_by(self, index: int) -> tuple[ParameterPath, ...]:
        """What takes a patch away from the level around them, first what takes it furthest."""
        steps = (("step",), ("count",)) if self.step > index else (("count",), ("step",))
        far = abs(self.first) > index * self.step
        return (("first",), *steps) if far else (*steps, ("first",))

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {f"patch {n}": Spot.middle_of(box) for n, box in enumerate(self.boxes(canvas), 1)}

    def boxes(self, canvas: Canvas) -> list[Box]:
        """The patches in their order."""
        rows = -(-self.count // self.columns)
        if rows * 4 > canvas.height or self.columns * 4 > canvas.width:
            # whether the count fits in rows as long as can be
            most = canvas.width // 4 * (canvas.height // 4)
            blamed = [("columns",), ("count",)]
            if self.columns * 4 <= canvas.width and self.count > most:
                blamed.reverse()
            raise PatternError(f"{self.count} patches do not fit on a canvas of {canvas}.", *blamed)
        xs, ys = split(canvas.width, self.columns), split(canvas.height, rows)
        boxes = []
        for number in range(self.count):
            row, column = divmod(number, self.columns)
            x, width = self._inset(xs[column], xs[column + 1])
            y, height = self._inset(ys[row], ys[row + 1])
            boxes.append(Box(x, y, width, height))
        return boxes

    def _inset(self, start: int, end: int) -> tuple[int, int]:
        length = (end - start) * self.filled // 100
        return start + (end - start - length) // 2, length


class NearBlack(Patches):
    """Patch n is ``first + (n - 1) * step`` codes above black, on black."""

    kind: ClassVar[str] = "near-black"
    summary: ClassVar[str] = "patches a few codes above black"
    family: ClassVar[str] = "black and contrast"

    first: Annotated[int, Parameter(ge=-FURTHEST, le=FURTHEST)] = Parameter(
        1, description="codes above black of the first patch (below black where negative)"
    )

    @property
    def surround(self) -> Measure:
        return percent(0)

    def code(self, quantiser: Quantiser, index: int) -> int:
        return quantiser.black + self.first + index * self.step


class NearWhite(Patches):
    """Patch n is ``first + (n - 1) * step`` codes below white, on white."""

    kind: ClassVar[str] = "near-white"
    summary: ClassVar[str] = "patches a few codes below white"
    family: ClassVar[str] = "black and contrast"

    first: Annotated[int, Parameter(ge=-FURTHEST, le=FURTHEST)] = Parameter(
        1, description="codes below white of the first patch (above white where negative)"
    )

    @property
    def surround(self) -> Measure:
        return percent(100)

    def code(self, quantiser: Quantiser, index: int) -> int:
        return quantiser.white - self.first - index * self.step


HIGHER_SDR, HIGHER_HDR, BLACK, LIGHTER, DARKER = 940, 399, 64, 80, 48
"""10-bit codes of Table 3; its 12-bit ones are four times those."""
TEN = Quantiser(10, "narrow")

# (left, top, right, bottom) in sixteenths of the canvas
PLACES = {
    "darker left": (1, 4, 2, 12),
    "lighter left": (3, 4, 4, 12),
    "higher level": (7, 6, 9, 10),
    "lighter right": (12, 4, 13, 12),
    "darker right": (14, 4, 15, 12),
}


class Pluge(Pattern):
    """On black: a brighter patch in the middle, and strips just lighter and darker at both sides.

    The strips are a sixteenth of the width and half the height, the patch an eighth and a quarter.
    Black is right where the lighter strips show and the darker ones do not. The levels are 10-bit
    codes of narrow range, and at 12 bits those of the Recommendation too; elsewhere they are the
    same levels of signal, rounded. Full range has nothing below black: the darker strips are black
    there, and the frame says that.
    """

    kind: ClassVar[str] = "pluge"
    summary: ClassVar[str] = "strips just above and below black, and a brighter patch"
    family: ClassVar[str] = "line-up"

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        quantiser = ink.signal.quantiser
        sdr = ink.signal.transfer.name == "bt1886"

        def grey(ten: int) -> Codes:
            code = max(quantiser.code(TEN.signal(ten)), quantiser.lowest)
            return code, code, code

        colours = {
            "black": grey(BLACK),
            "higher level": grey(HIGHER_SDR if sdr else HIGHER_HDR),
        }
        for side in ("left", "right"):
            colours |= {f"lighter {side}": grey(LIGHTER), f"darker {side}": grey(DARKER)}
        layout = {"black": Box(0, 0, canvas.width, canvas.height)} | self.layout(canvas)
        sheet = painted(canvas, ink, layout, colours)
        if quantiser.range == "full":
            ink.clipped.append("darker: nothing is below black in full range")
        if quantiser.range == "narrow" and quantiser.bits in (10, 12):
            levels = "Rec. ITU-R BT.814-4 (07/2018) Table 3, second-hand"
        else:
            levels = "those of Rec. ITU-R BT.814-4 at 10 bits in narrow range, carried over"
        return sheet.frame(ink, {"levels": levels, "geometry": "of our own, not of BT.814"})

    def layout(self, canvas: Canvas) -> Layout:
        """The patches in whole pixels."""
        xs, ys = split(canvas.width, 16), split(canvas.height, 16)
        return {
            name: Box(xs[left], ys[top], xs[right] - xs[left], ys[bottom] - ys[top])
            for name, (left, top, right, bottom) in PLACES.items()
        }

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return middles(self.layout(canvas))
