"""SDR line-up bars of SMPTE RP 219, as ARIB STD-B28 lays them out. Both seen second-hand.

Four bands of 7/12, 1/12, 1/12 and 3/12 of the height; widths d = W/8 at both sides and seven times
c = 3/4 W/7 between. Where c is not a whole number of pixels, an edge in the left half is rounded
down and the right half mirrors it: at 1920 that gives the widths seen, 205, 206, 206, 206, 206,
206, 205 (rounding each edge to the nearest would not), and edges that belong together meet.
Widths that are a multiple of 1920 have those edges, times the multiple.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate
from typing import Any, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.kinds.bars import COLOURS
from patterns.kinds.base import Pattern
from patterns.kinds.chart import Layout, middles, painted, row, wide
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Mix
from patterns.signal.measures import Measure
from patterns.signal.signal import Codes

PATCHES: dict[str, tuple[str, str, str]] = {
    "+I": ("41.2545", "16.6946", "0"),
    "-I": ("0", "24.567", "41.234"),
    "+Q": ("25.356", "0", "46.988"),
}
"""R', G', B' in percent.

+I: ARIB STD-B28, second-hand. -I and +Q: 20 % along the axes at 33 degrees, lifted until no channel
is below 0, which RGB cannot hold; computed. At 10 bits -I gives Y'CbCr 244, 612, 395 as remembered,
and +Q 141, 696, 606, where memory has 697: that needs the document.
"""
TRUST = {
    "75 %": "second-hand",
    "100 %": "second-hand",
    "+I": "second-hand (ARIB STD-B28: R'G'B' 41.2545, 16.6946, 0 %)",
    "-I": "computed (lifted until R' is 0 %); its Y'CbCr codes agree with those from memory",
    "+Q": "computed (lifted until G' is 0 %); C'B one 10-bit code below the one from memory",
}
RAMP = 876
"""Length of the ramp at 1920: one 10-bit narrow code a pixel (ARIB STD-B28, second-hand)."""
BARS = tuple(COLOURS)[:-1]


class BarsRp219(Pattern):
    """Bars, a band for the second check, a ramp with +Q, and black steps of -2, +2 and +4 %.

    The ramp goes from 0 % in its first pixel up to 100 % just after its last; it stands in the
    middle of what the patches beside it leave, with 0 % to its left and 100 % to its right. Full
    range has no codes below black: the -2 % patch is 0 % there, and the frame says that.
    """

    kind: ClassVar[str] = "bars-rp219"
    summary: ClassVar[str] = "SDR line-up bars in the layout of SMPTE RP 219"
    family: ClassVar[str] = "line-up"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"second": "-I", "first": "+Q"})
    signals: ClassVar[tuple[str, ...]] = ("bt1886",)

    second: Literal["75 %", "100 %", "+I", "-I"] = Parameter(
        "75 %", description="patch under the white bar: white of 75 or 100 %, +I or -I"
    )
    first: Literal["none", "0 %", "+Q"] = Parameter(
        "0 %", description="patch to the left of the ramp: none, 0 % or +Q"
    )
    last: Literal["none", "100 %"] = Parameter(
        "100 %", description="patch to the right of the ramp: none or white of 100 %"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        layout = self.layout(canvas)
        sheet = painted(canvas, ink, layout, self._colours(ink))
        box = layout["ramp"]
        length = round_half_away(Fraction(RAMP * canvas.width, 1920))
        start = (box.width - length) // 2
        quantiser = ink.signal.quantiser
        greys = np.full(box.width, quantiser.white, np.uint16)
        greys[:start] = quantiser.black
        # one step more than there are pixels: the white beyond the last is the next one
        greys[start : start + length] = quantiser.codes_between(
            Fraction(0), Fraction(1), length + 1
        )[:-1]
        sheet.across(box, np.stack([greys] * 3, axis=-1))
        del ink.codes["ramp"]
        facts: dict[str, object] = {
            "layout": "SMPTE RP 219 / ARIB STD-B28, second-hand"
            if wide(canvas)
            else "fractions of SMPTE RP 219 on a canvas that is not 16:9: not in the practice",
            "second_patch": f"{self.second}: {TRUST[self.second]}",
            "ramp": f"{length} px from column {box.x + start}",
        }
        if self.first == "+Q":
            facts["first_patch"] = f"+Q: {TRUST['+Q']}"
        return sheet.frame(ink, facts)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return middles(self.layout(canvas))

    def layout(self, canvas: Canvas) -> Layout:
        """The patches in whole pixels, band after band."""
        downs = [round_half_away(Fraction(twelfths * canvas.height, 12)) for twelfths in
                 (0, 7, 8, 9, 12)]  # fmt: skip
        left, right = ["first patch"], ["last patch"]
        if self.first == "none":
            left = []
        if self.last == "none":
            right = []
        bands: list[tuple[list[str], list[Fraction | int]]] = [
            (["grey left", *BARS, "grey right"], [1] * 7),
            (["100 % cyan", "second patch", "75 % white", "100 % blue"], [1, 6]),
            (
                ["100 % yellow", *left, "ramp", *right, "100 % red"],
                [*[1] * len(left), 7 - len(left) - len(right), *[1] * len(right)],
            ),
            (
                ["15 % left", "black 1", "100 % white", "black 2", "-2 %", "black 3", "+2 %",
                 "black 4", "+4 %", "black 5", "15 % right"],
                [Fraction(3, 2), 2, Fraction(5, 6), *[Fraction(1, 3)] * 5, 1],
            ),
        ]  # fmt: skip
        layout: Layout = {}
        for (names, widths), top, bottom in zip(bands, downs, downs[1:], strict=False):
            times = canvas.width // 1920 if canvas.width % 1920 == 0 else 1
            edges = [times * edge for edge in _edges(canvas.width // times, widths)]
            layout |= row(top, bottom, edges, names)
        return layout

    def _colours(self, ink: Ink) -> dict[str, Codes]:
        lift = Ink(ink.signal, True, ink.codes, ink.clipped)  # full range has nothing below 0 %

        def grey(name: str, percent: int) -> Codes:
            return lift(name, Measure(Decimal(percent), "%"))

        def colour(bar: str, percent: int) -> Codes:
            return _mixed(ink, bar, *(str(percent * on) for on in COLOURS[bar]))

        colours = {bar: colour(bar, 75) for bar in BARS}
        for side in ("left", "right"):
            colours |= {f"grey {side}": grey("grey", 40), f"15 % {side}": grey("15 %", 15)}
        for bar in ("cyan", "blue", "yellow", "red", "white"):
            colours[f"100 % {bar}"] = colour(bar, 100)
        for percent in (-2, 2, 4):
            colours[f"{percent:+d} %"] = grey(f"{percent:+d} %", percent)
        black = grey("black", 0)
        colours |= {f"black {n}": black for n in range(1, 6)}
        colours |= {"75 % white": colours["white"], "ramp": black, "first patch": black}
        colours["last patch"] = colours["100 % white"]
        whites = {"75 %": colours["white"], "100 %": colours["100 % white"]}
        colours["second patch"] = (
            whites[self.second]
            if self.second in whites
            else _mixed(ink, "second patch", *PATCHES[self.second])
        )
        if self.first == "+Q":
            colours["first patch"] = _mixed(ink, "first patch", *PATCHES["+Q"])
        return colours


def _mixed(ink: Ink, name: str, red: str, green: str, blue: str) -> Codes:
    r, g, b = (Measure(Decimal(percent), "%") for percent in (red, green, blue))
    return ink(name, Mix(r=r, g=g, b=b))


def _edges(width: int, widths: list[Fraction | int]) -> list[int]:
    """Edges of d, these multiples of c, and d: rounded down, and mirrored right of the middle."""
    side, bar = Fraction(width, 8), Fraction(3 * width, 28)
    exact = [Fraction(0), *accumulate((bar * each for each in widths), initial=side)]
    exact.append(Fraction(width))
    return [int(edge) if 2 * edge <= width else width - int(width - edge) for edge in exact]
