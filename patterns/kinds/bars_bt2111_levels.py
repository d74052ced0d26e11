"""Code values of Rec. ITU-R BT.2111-3 (05/2025), Tables 2 to 4, and its ramps, Tables 5 and 6.

Seen second-hand, in three general-purpose video programs that agree. The cyan and magenta of the
BT.709 bars are computed: linear BT.709 to BT.2020, times the scene light of 75 % HLG, or
203.15 cd/m2 in PQ, which gives all the others too. In narrow range the Recommendation makes 12
bits out of 10 by two zero bits, so that they can differ from the formula of BT.2100 at 12 bits
(58 % white: 2292, not 2291).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from patterns.exact import round_ratio
from patterns.signal import Codes, Signal

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
