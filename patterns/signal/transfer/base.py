"""What every transfer offers."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar, Protocol

import numpy as np
from numpy.typing import NDArray

Light = tuple[Decimal, Decimal, Decimal]
"""Linear light of the three channels in cd/m2: what a grey with that channel's signal gives."""


class Transfer(Protocol):
    """One way of coding light. Light is in cd/m2 per channel; 100 % signal is E' = 1."""

    name: ClassVar[str]
    code_point: ClassVar[int]
    """TransferCharacteristics of Rec. ITU-T H.273 Table 3."""

    @property
    def peak(self) -> Decimal:
        """Luminance of 100 % white, cd/m2."""

    @property
    def floor(self) -> Decimal:
        """Luminance of 0 %, cd/m2."""

    def encode(self, light: Light) -> Light:
        """Light (floor to peak) to signal E', 60 digits."""

    def decode(self, signal: NDArray[np.float64]) -> NDArray[np.float64]:
        """Signal E' of shape (..., 3) to light in cd/m2 of the same shape, float64."""
