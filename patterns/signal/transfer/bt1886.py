"""BT.1886: Rec. ITU-R BT.1886 (03/2011) Annex 1, the reference EOTF for SDR.

    L = a * max(V + b, 0)**2.4
    a = (Lw**(1/2.4) - Lb**(1/2.4))**2.4     b = Lb**(1/2.4) / (Lw**(1/2.4) - Lb**(1/2.4))

With a black above 0, signals below 0 still give light, down to V = -b; they are not clipped here.
Seen second-hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.errors import PatternError
from patterns.signal.exact import REAL, power
from patterns.signal.transfer.base import Light

GAMMA = Decimal("2.4")
_ROOT = REAL.divide(Decimal(1), GAMMA)


@dataclass(frozen=True)
class Bt1886:
    """SDR with the luminance of 100 % white and of 0 % black, cd/m2."""

    white: Decimal = Decimal(100)
    black: Decimal = Decimal(0)

    name: ClassVar[str] = "bt1886"
    code_point: ClassVar[int] = 1
    """H.273 has no code for a display's 2.4 power: 1 names the BT.709 camera curve, which a
    display answers with BT.1886."""

    def __post_init__(self) -> None:
        if not 0 <= self.black < self.white:
            raise PatternError(
                f"BT.1886 needs 0 <= black < white, not black {self.black} and white "
                f"{self.white} cd/m2."
            )

    @property
    def peak(self) -> Decimal:
        return self.white

    @property
    def floor(self) -> Decimal:
        return self.black

    @cached_property
    def _roots(self) -> tuple[Decimal, Decimal]:
        return power(self.white, _ROOT), power(self.black, _ROOT)

    @cached_property
    def gain(self) -> Decimal:
        """a of the Recommendation, cd/m2."""
        white, black = self._roots
        return power(REAL.subtract(white, black), GAMMA)

    @cached_property
    def lift(self) -> Decimal:
        """b of the Recommendation."""
        white, black = self._roots
        return REAL.divide(black, REAL.subtract(white, black))

    def encode(self, light: Light) -> Light:
        red, green, blue = (
            REAL.subtract(power(REAL.divide(each, self.gain), _ROOT), self.lift) for each in light
        )
        return red, green, blue

    def decode(self, signal: NDArray[np.float64]) -> NDArray[np.float64]:
        return float(self.gain) * np.power(np.maximum(signal + float(self.lift), 0.0), 2.4)


def light_between(values: ArrayLike, white: ArrayLike, black: ArrayLike) -> NDArray[np.float64]:
    """Light in cd/m2 of signal values E', for many whites and blacks in cd/m2; all broadcast.

    NaN where a black is below 0, or not below its white.
    """
    lit, dark = np.asarray(white, np.float64), np.asarray(black, np.float64)
    gamma = float(GAMMA)
    with np.errstate(invalid="ignore", divide="ignore"):
        top, bottom = lit ** (1 / gamma), dark ** (1 / gamma)
        light = np.maximum((top - bottom) * np.asarray(values, np.float64) + bottom, 0.0) ** gamma
    return np.where((dark >= 0) & (dark < lit), light, np.nan)
