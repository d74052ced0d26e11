"""HDR colour bars: Rec. ITU-R BT.2111-3 (05/2025), Table 1 (geometry), Tables 2 to 6 (levels).

Seen second-hand, in general-purpose video programs that agree. The three variants are those of the
signal: HLG in narrow range, PQ in narrow range, PQ in full range; 10 and 12 bits, BT.2020
primaries.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from patterns.kinds.bars import COLOURS
from patterns.kinds.base import Pattern
from patterns.kinds.chart import Layout, middles, painted, row
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away, round_ratio
from patterns.signal.levels import Ink
from patterns.signal.signal import Codes, Signal

EDITION = "Rec. ITU-R BT.2111-3 (05/2025)"


@dataclass(frozen=True)
class Levels:
    """Codes of one variant at one depth."""

    variant: str
    table: str
    black: int
    peak: int
    white: int
    """White of the main bars: 75 % in HLG, 58 % in PQ."""
    grey: int
    """40 %."""
    steps: tuple[int, ...]
    """-7 (full range: 0), 0, 10 ... 100, 109 (full range: 100) %."""
    pluge: tuple[int, int, int]
    """-2 (full range: 0), +2, +4 %."""
    bt709: dict[str, Codes] = field(hash=False)
    """BT.709 bars as they look in the BT.2020 container."""
    ramp: NDArray[np.uint16] = field(hash=False, compare=False)
    """Columns 240 to 1919 of the ramp's row at 1920, shape (1680,)."""


def _ramp(flat: int, codes: range, rest: int) -> NDArray[np.uint16]:
    """So many pixels of the code before, then one a code, and the code after for the rest."""
    greys = [codes[0] - 1] * flat + list(codes) + [codes[-1] + 1] * rest
    return np.array(greys, np.uint16)


NARROW_RAMP = _ramp(559, range(5, 1019), 107)
"""Code 64 falls on column 858, the left edge of green."""
FULL_RAMP = _ramp(618, range(1, 1023), 40)
"""Of edition -3; another program has 551 and 107 pixels, apparently from an earlier one."""
FULL_RAMP_12 = np.array([round_ratio(4095 * code, 1023) for code in FULL_RAMP.tolist()], np.uint16)
"""Derived: the 10-bit ramp's levels at 12 bits."""
STEPS = (4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019)

HLG_NARROW = Levels(
    variant="HLG narrow range",
    table="Table 2",
    black=64,
    peak=940,
    white=721,
    grey=414,
    steps=STEPS,
    pluge=(48, 80, 99),
    bt709={
        "yellow": (713, 719, 316),
        "cyan": (538, 709, 718),
        "green": (512, 706, 296),
        "magenta": (651, 286, 705),
        "red": (639, 269, 164),
        "blue": (227, 147, 702),
    },
    ramp=NARROW_RAMP,
)
PQ_NARROW = Levels(
    variant="PQ narrow range",
    table="Table 3",
    black=64,
    peak=940,
    white=573,
    grey=414,
    steps=STEPS,
    pluge=(48, 80, 99),
    bt709={
        "yellow": (569, 572, 381),
        "cyan": (485, 566, 571),
        "green": (474, 565, 368),
        "magenta": (537, 362, 564),
        "red": (531, 351, 257),
        "blue": (318, 236, 563),
    },
    ramp=NARROW_RAMP,
)
PQ_FULL = Levels(
    variant="PQ full range",
    table="Table 4",
    black=0,
    peak=1023,
    white=594,
    grey=409,
    steps=(0, 0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023, 1023),
    pluge=(0, 19, 41),
    bt709={
        "yellow": (589, 593, 370),
        "cyan": (491, 586, 592),
        "green": (479, 585, 355),
        "magenta": (552, 348, 584),
        "red": (545, 335, 225),
        "blue": (296, 201, 582),
    },
    ramp=FULL_RAMP,
)
PQ_FULL_12 = Levels(
    variant="PQ full range",
    table="Table 4",
    black=0,
    peak=4095,
    white=2378,
    grey=1638,
    steps=(0, 0, 410, 819, 1229, 1638, 2048, 2457, 2867, 3276, 3686, 4095, 4095),
    pluge=(0, 75, 164),
    bt709={
        "yellow": (2359, 2373, 1483),
        "cyan": (1967, 2348, 2371),
        "green": (1918, 2342, 1423),
        "magenta": (2209, 1391, 2339),
        "red": (2181, 1339, 901),
        "blue": (1186, 806, 2331),
    },
    ramp=FULL_RAMP_12,
)


def levels_of(signal: Signal) -> Levels:
    """The variant that the signal is: HLG or PQ, narrow or full range, 10 or 12 bits."""
    if signal.range == "full":
        return PQ_FULL if signal.bits == 10 else PQ_FULL_12
    narrow = HLG_NARROW if signal.transfer.name == "hlg" else PQ_NARROW
    return narrow if signal.bits == 10 else _with_two_zero_bits(narrow)


def _with_two_zero_bits(ten: Levels) -> Levels:
    below, above, higher = ten.pluge
    return Levels(
        ten.variant,
        ten.table,
        4 * ten.black,
        4 * ten.peak,
        4 * ten.white,
        4 * ten.grey,
        tuple(4 * step for step in ten.steps),
        (4 * below, 4 * above, 4 * higher),
        {name: (4 * red, 4 * green, 4 * blue) for name, (red, green, blue) in ten.bt709.items()},
        4 * ten.ramp,
    )


PAD, BAR, GREEN = 240, 206, 204  # c, d, e
BEFORE, STRIP, BETWEEN, AFTER, BELOW, LAST = 136, 70, 68, 238, 438, 282  # f, g, h, i, j, k
"""Widths of Table 1 at 1920x1080; at 3840x2160 and 7680x4320 all are two and four times those."""
BARS = tuple(COLOURS)[:-1]
WIDTHS = [BAR, BAR, BAR, GREEN, BAR, BAR, BAR]
EXACT = {(1920, 1080): 1, (3840, 2160): 2, (7680, 4320): 4}

STEP_NAMES = [f"step {number}" for number in range(1, 14)]
BANDS: list[tuple[int, list[str], list[int]]] = [
    (1, ["grey 1", *(f"100 % {bar}" for bar in BARS), "grey 2"], [PAD, *WIDTHS, PAD]),
    (6, ["grey 3", *BARS, "grey 4"], [PAD, *WIDTHS, PAD]),
    (
        1,
        ["white left", *STEP_NAMES, "white right"],
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
        return sheet.frame(ink, _facts(canvas, ink.signal.bits, levels))

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
    colours |= {name: grey(code) for name, code in zip(STEP_NAMES, levels.steps, strict=True)}
    for name, code in zip(("-2 %", "+2 %", "+4 %"), levels.pluge, strict=True):
        colours[name] = grey(code)
    colours |= {f"black {n}": grey(levels.black) for n in range(1, 7)}
    colours |= {f"white {place}": grey(levels.white) for place in ("left", "right", "below")}
    colours["ramp"] = grey(levels.black)
    return colours


def _facts(canvas: Canvas, bits: int, levels: Levels) -> dict[str, object]:
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
