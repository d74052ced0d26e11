"""HDR colour bars: Rec. ITU-R BT.2111-3 (05/2025), Table 1 (geometry), Tables 2 to 6 (levels).

Seen second-hand, in general-purpose video programs that agree. The three variants are those of the
signal: HLG in narrow range, PQ in narrow range, PQ in full range; 10 and 12 bits, BT.2020
primaries.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate
from typing import ClassVar

import numpy as np

from patterns.canvas import Canvas
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.bars import COLOURS
from patterns.kinds.bars_bt2111_levels import EDITION, Levels, levels_of
from patterns.kinds.base import Pattern
from patterns.kinds.layout import Layout, middles, painted, row
from patterns.levels import Ink
from patterns.signal import Codes
from patterns.spots import Spot

PAD, BAR, GREEN = 240, 206, 204  # c, d, e
BEFORE, STRIP, BETWEEN, AFTER, BELOW, LAST = 136, 70, 68, 238, 438, 282  # f, g, h, i, j, k
"""Widths of Table 1 at 1920x1080; at 3840x2160 and 7680x4320 all are two and four times those."""
BARS = tuple(COLOURS)[:-1]
WIDTHS = [BAR, BAR, BAR, GREEN, BAR, BAR, BAR]
EXACT = {(1920, 1080): 1, (3840, 2160): 2, (7680, 4320): 4}

STEPS = [f"step {number}" for number in range(1, 14)]
BANDS: list[tuple[int, list[str], list[int]]] = [
    (1, ["grey 1", *(f"100 % {bar}" for bar in BARS), "grey 2"], [PAD, *WIDTHS, PAD]),
    (6, ["grey 3", *BARS, "grey 4"], [PAD, *WIDTHS, PAD]),
    (
        1,
        ["white left", *STEPS, "white right"],
        # the first step is as wide as a bar, the others half a bar: two under each
        [PAD, BAR, *(width // 2 for width in WIDTHS[1:] for _ in range(2)), PAD],
    ),
    (1, ["black 1", "ramp"], [PAD, 1920 - PAD]),
    (
        3,
        ["BT.709 yellow", "BT.709 cyan", "BT.709 green", "black 2", "-2 %", "black 3", "+2 %",
         "black 4", "+4 %", "black 5", "white below", "black 6", "BT.709 magenta", "BT.709 red",
         "BT.709 blue"],
        [*[PAD // 3] * 3, BEFORE, STRIP, BETWEEN, STRIP, BETWEEN, STRIP, AFTER, BELOW, LAST,
         *[PAD // 3] * 3],
    ),
]  # fmt: skip
"""Height in twelfths, names and widths of the patches, band after band."""


class BarsBt2111(Pattern):
    """The variant that belongs to the signal.

    Other canvases than 1920x1080, 3840x2160 and 7680x4320 have every edge scaled to the nearest
    pixel, which the Recommendation does not know; the frame says so. Full range has no codes below
    0 % and above 100 %: the Recommendation puts those there. Other depths and gamuts are refused,
    as it defines none.
    """

    kind: ClassVar[str] = "bars-bt2111"
    summary: ClassVar[str] = "HDR colour bars of Rec. ITU-R BT.2111, in the signal's own variant"
    family: ClassVar[str] = "line-up"
    signals: ClassVar[tuple[str, ...]] = ("hlg/narrow", "pq")
    depths: ClassVar[tuple[int, ...]] = (10, 12)
    gamuts: ClassVar[tuple[str, ...]] = ("bt2020",)

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        levels = levels_of(ink.signal)
        layout = self.layout(canvas)
        sheet = painted(canvas, ink, layout, _colours(levels))
        box = layout["ramp"]
        del ink.codes["ramp"]
        # the column at 1920 that the middle of each pixel lies in
        columns = (2 * np.arange(box.x, box.right) + 1) * 1920 // (2 * canvas.width)
        sheet.across(box, np.stack([levels.ramp[np.maximum(columns - PAD, 0)]] * 3, axis=-1))
        return sheet.frame(ink, _told(canvas, ink.signal.bits, levels))

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return middles(self.layout(canvas))

    def layout(self, canvas: Canvas) -> Layout:
        """The patches in whole pixels, band after band."""
        layout: Layout = {}
        top = 0
        for twelfths, names, widths in BANDS:
            edges = [
                round_half_away(Fraction(edge * canvas.width, 1920))
                for edge in accumulate(widths, initial=0)
            ]
            ends = [
                round_half_away(Fraction(each * canvas.height, 12))
                for each in (top, top + twelfths)
            ]
            layout |= row(ends[0], ends[1], edges, names)
            top += twelfths
        return layout


def _colours(levels: Levels) -> dict[str, Codes]:
    def bar(name: str, code: int) -> Codes:
        red, green, blue = (code if on else levels.black for on in COLOURS[name])
        return red, green, blue

    def grey(code: int) -> Codes:
        return code, code, code

    colours = {f"grey {n}": grey(levels.grey) for n in (1, 2, 3, 4)}
    for name in BARS:
        colours |= {f"100 % {name}": bar(name, levels.peak), name: bar(name, levels.white)}
    for name, codes in levels.bt709.items():
        colours[f"BT.709 {name}"] = codes
    colours |= {name: grey(code) for name, code in zip(STEPS, levels.steps, strict=True)}
    for name, code in zip(("-2 %", "+2 %", "+4 %"), levels.pluge, strict=True):
        colours[name] = grey(code)
    colours |= {f"black {n}": grey(levels.black) for n in range(1, 7)}
    colours |= {f"white {place}": grey(levels.white) for place in ("left", "right", "below")}
    colours["ramp"] = grey(levels.black)
    return colours


def _told(canvas: Canvas, bits: int, levels: Levels) -> dict[str, object]:
    """What of it the Recommendation says, and what is ours."""
    scale = EXACT.get((canvas.width, canvas.height))
    geometry = f"Table 1 of {EDITION}, second-hand"
    ramp = "Tables 5 and 6, second-hand"
    if scale is None:
        geometry = f"scaled to {canvas} from 1920x1080, not in the Recommendation"
        ramp = "scaled, not in the Recommendation"
    elif scale > 1:
        ramp = f"derived: {scale} pixels for each of 1920"
    if bits == 12:
        ramp += "; the 10-bit levels at 12 bits, derived"
    return {
        "standard": EDITION,
        "variant": f"{levels.variant}, {bits} bits",
        "levels": f"{levels.table} of {EDITION}, second-hand; BT.709 cyan and magenta computed",
        "geometry": geometry,
        "ramp": ramp,
    }
