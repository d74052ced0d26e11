"""HLG: Rec. ITU-R BT.2100-3 (02/2025) Table 5.

System gamma: 1.2 + 0.42 log10(Lw / 1000) for 400 to 2000 cd/m2 (a note to that table; which one,
from memory), and the extended 1.2 * 1.111**log2(Lw / 1000) of Report ITU-R BT.2390 (clause 6.2,
from memory) outside. With BT.709 or P3-D65 primaries the OOTF keeps the weights of BT.2020: the
Recommendation has no others. The constants were seen second-hand, in colour libraries that agree.

Scene light below 0 is taken as 0; above 100 % (narrow-range super-white) the curve goes on.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.signal.exact import REAL, power
from patterns.signal.transfer.base import Light

A = Decimal("0.17883277")
B = 1 - 4 * A
C = REAL.subtract(Decimal("0.5"), REAL.multiply(A, REAL.ln(4 * A)))
WEIGHTS = (Decimal("0.2627"), Decimal("0.6780"), Decimal("0.0593"))
"""Luminance weights of the OOTF as BT.2100 Table 5 prints them."""


def oetf(scene: Decimal) -> Decimal:
    """Scene light E (0 to 1) to signal E', 60 digits."""
    if 12 * scene <= 1:
        return REAL.sqrt(REAL.multiply(Decimal(3), scene))
    inside = REAL.subtract(REAL.multiply(Decimal(12), scene), B)
    return REAL.add(REAL.multiply(A, REAL.ln(inside)), C)


def inverse_oetf(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Signal E' to scene light E; signals below 0 count as 0."""
    above = np.maximum(signal, 0.0)
    low = above * above / 3.0
    high = (np.exp((np.maximum(above, 0.5) - float(C)) / float(A)) + float(B)) / 12.0
    return np.where(above <= 0.5, low, high)


def system_gamma(peak: Decimal) -> Decimal:
    """Gamma of the OOTF for a display of this nominal peak luminance, cd/m2."""
    ratio = REAL.divide(peak, Decimal(1000))
    if 400 <= peak <= 2000:
        return REAL.add(Decimal("1.2"), REAL.multiply(Decimal("0.42"), REAL.log10(ratio)))
    doublings = REAL.divide(REAL.ln(ratio), REAL.ln(Decimal(2)))
    return REAL.multiply(Decimal("1.2"), REAL.power(Decimal("1.111"), doublings))


@dataclass(frozen=True)
class Hlg:
    """Hybrid log-gamma on a display of nominal peak and black luminance, cd/m2."""

    nominal_peak: Decimal = Decimal(1000)
    black: Decimal = Decimal(0)

    name: ClassVar[str] = "hlg"
    code_point: ClassVar[int] = 18

    def __post_init__(self) -> None:
        if not 0 <= self.black < self.nominal_peak:
            raise PatternError(
                f"HLG needs 0 <= black < peak, not black {self.black} and peak "
                f"{self.nominal_peak} cd/m2."
            )
        if self.lift > Decimal("0.5"):
            # beta holds on the square-root part of the curve only; 0 % would not give black
            raise PatternError(
                f"HLG has no black as high as {self.black} cd/m2 on a display of "
                f"{self.nominal_peak} cd/m2: 0 % signal would not give it."
            )

    @property
    def peak(self) -> Decimal:
        return self.nominal_peak

    @property
    def floor(self) -> Decimal:
        return self.black

    @cached_property
    def gamma(self) -> Decimal:
        """System gamma at this nominal peak."""
        return system_gamma(self.nominal_peak)

    @cached_property
    def lift(self) -> Decimal:
        """beta of BT.2100 Table 5: sqrt(3 * (LB / LW)**(1 / gamma))."""
        ratio = REAL.divide(self.black, self.nominal_peak)
        return REAL.sqrt(3 * power(ratio, REAL.divide(Decimal(1), self.gamma)))

    def encode(self, light: Light) -> Light:
        red, green, blue = (self._signal(scene) for scene in self._scene(light))
        return red, green, blue

    def _scene(self, light: Light) -> Light:
        """Inverse OOTF: display light in cd/m2 to scene light 0 to 1."""
        relative = [REAL.divide(each, self.nominal_peak) for each in light]
        display = Decimal(0)
        for weight, each in zip(WEIGHTS, relative, strict=True):
            display = REAL.add(display, REAL.multiply(weight, each))
        if display == 0:
            return Decimal(0), Decimal(0), Decimal(0)
        shrink = power(display, REAL.divide(REAL.subtract(Decimal(1), self.gamma), self.gamma))
        red, green, blue = (REAL.multiply(each, shrink) for each in relative)
        return red, green, blue

    def _signal(self, scene: Decimal) -> Decimal:
        return REAL.divide(
            REAL.subtract(oetf(scene), self.lift), REAL.subtract(Decimal(1), self.lift)
        )

    def decode(self, signal: NDArray[np.float64]) -> NDArray[np.float64]:
        lift = float(self.lift)
        scene = inverse_oetf((1.0 - lift) * signal + lift)
        luminance = np.asarray(scene @ np.array([float(weight) for weight in WEIGHTS]))
        gain = np.zeros(luminance.shape)
        np.power(luminance, float(self.gamma) - 1.0, where=luminance > 0, out=gain)
        display: NDArray[np.float64] = float(self.nominal_peak) * gain[..., np.newaxis] * scene
        return display
