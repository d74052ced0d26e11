"""Signal E' to integer code and back.

Rec. ITU-R BT.2100-3 Table 9, for R', G', B': narrow Round[(219 E' + 16) * 2**(n-8)], full
Round[(2**n - 1) E']. The Recommendation gives n = 10 and 12; 8 bits are BT.709-6 practice, and
16 bits are the formula at n = 16, an extension of our own.
Seen second-hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.signal.exact import round_half_away, round_ratio

Range = Literal["narrow", "full"]
DEPTHS = (8, 10, 12, 16)
RANGES: tuple[Range, ...] = ("narrow", "full")


@dataclass(frozen=True)
class Quantiser:
    """Integer codes of one bit depth and range."""

    bits: int
    range: Range

    def __post_init__(self) -> None:
        if self.bits not in DEPTHS:
            raise PatternError(f"A signal has 8, 10, 12 or 16 bits, not {self.bits}.")
        if self.range not in RANGES:
            raise PatternError(f"A signal's range is narrow or full, not {self.range!r}.")

    @property
    def black(self) -> int:
        """Code of E' = 0."""
        return 16 << (self.bits - 8) if self.range == "narrow" else 0

    @property
    def white(self) -> int:
        """Code of E' = 1."""
        return 235 << (self.bits - 8) if self.range == "narrow" else (1 << self.bits) - 1

    @property
    def lowest(self) -> int:
        """Lowest code of video data (1 at 8 bits narrow: 0 is kept for timing)."""
        return 1 << (self.bits - 8) if self.range == "narrow" else 0

    @property
    def highest(self) -> int:
        """Highest code of video data (254 at 8 bits narrow, 1019 at 10)."""
        return (255 << (self.bits - 8)) - 1 if self.range == "narrow" else (1 << self.bits) - 1

    def code(self, signal: Fraction | Decimal | int) -> int:
        """E' to code, correctly rounded. The result may lie outside lowest to highest."""
        exact = Fraction(signal)
        return round_half_away(exact * (self.white - self.black) + self.black)

    def codes_between(self, first: Fraction, last: Fraction, count: int) -> list[int]:
        """Codes of ``count`` signals evenly spaced from first to last, each correctly rounded.

        The same as :meth:`code` of each, in whole numbers over one denominator: a ramp has
        thousands.
        """
        gaps = max(count - 1, 1)
        span = self.white - self.black
        start = first * span + self.black
        step = (last - first) * span / gaps
        under = start.denominator * step.denominator
        base, rise = start.numerator * step.denominator, step.numerator * start.denominator
        return [round_ratio(base + rise * i, under) for i in range(count)]

    def signal(self, code: int) -> Fraction:
        """Code to E', exactly."""
        return Fraction(code - self.black, self.white - self.black)

    def signals(self, codes: NDArray[np.integer]) -> NDArray[np.float64]:
        """Codes of any shape to E' as float64, each correctly rounded."""
        return (codes.astype(np.float64) - self.black) / (self.white - self.black)
