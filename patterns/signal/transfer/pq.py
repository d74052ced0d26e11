"""PQ: Rec. ITU-R BT.2100-3 (02/2025) Table 4, the same curve as SMPTE ST 2084.

The constants were seen second-hand, in general-purpose colour libraries that agree.

The inverse EOTF of 0 cd/m2 is c1**m2 = 7.3e-7, not 0; it still rounds to code 0 (64 in narrow
range) at every bit depth up to 16.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from patterns.signal.exact import REAL, power, to_decimal
from patterns.signal.transfer.base import Light

M1 = Fraction(2610, 16384)
M2 = Fraction(2523, 4096) * 128
C1 = Fraction(3424, 4096)
C2 = Fraction(2413, 4096) * 32
C3 = Fraction(2392, 4096) * 32
PEAK = 10_000

_M1, _M2, _C1, _C2, _C3 = (to_decimal(constant) for constant in (M1, M2, C1, C2, C3))


def inverse_eotf(luminance: Decimal) -> Decimal:
    """Luminance in cd/m2 (0 to 10,000) to E', 60 digits."""
    ratio = power(REAL.divide(luminance, Decimal(PEAK)), _M1)
    over = REAL.add(_C1, REAL.multiply(_C2, ratio))
    under = REAL.add(Decimal(1), REAL.multiply(_C3, ratio))
    return power(REAL.divide(over, under), _M2)


def eotf(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """E' to cd/m2. E' outside 0 to 1 is clipped: PQ ends at 10,000 cd/m2."""
    root = np.power(np.clip(signal, 0.0, 1.0), float(1 / M2))
    over = np.maximum(root - float(C1), 0.0)
    under = float(C2) - float(C3) * root
    return PEAK * np.power(over / under, float(1 / M1))


@dataclass(frozen=True)
class Pq:
    """Perceptual quantiser: every code stands for an absolute luminance."""

    name: ClassVar[str] = "pq"
    code_point: ClassVar[int] = 16

    @property
    def peak(self) -> Decimal:
        return Decimal(PEAK)

    @property
    def floor(self) -> Decimal:
        return Decimal(0)

    def encode(self, light: Light) -> Light:
        coded = {each: inverse_eotf(each) for each in set(light)}  # a grey is coded once
        red, green, blue = (coded[each] for each in light)
        return red, green, blue

    def decode(self, signal: NDArray[np.float64]) -> NDArray[np.float64]:
        return eotf(signal)
