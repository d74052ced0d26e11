"""PLUGE: levels of Rec. ITU-R BT.814-4 (07/2018) Table 3, second-hand; geometry of our own."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.layout import Layout, middles, painted
from patterns.levels import Ink
from patterns.quantise import Quantiser
from patterns.sheet import Box
from patterns.signal import Codes
from patterns.spots import Spot

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
