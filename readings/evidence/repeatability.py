"""How far one reading of a meter lies from the mean of many: as promised, or as is usual."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import ArrayLike

from readings.bounds import DARK
from readings.colorimetry.chromaticity import Floats
from readings.visit.records import Specification


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Standard deviations; without promises, a choice of our own."""

    relative: float = 0.005
    """Of luminance in good light."""
    chromaticity: float = 0.002
    """Of x and of y in good light."""
    floor: float = 0.002
    """Of X, Y and Z in the dark, cd/m2."""

    @classmethod
    def promised(cls, specification: Specification | None) -> Repeatability:
        """As a meter's maker promises (k = 2); the usual of what is not known."""
        if specification is None:
            return cls()
        given = {
            "relative": specification.luminance_repeatability,
            "chromaticity": specification.chromaticity_repeatability,
            "floor": specification.luminance_noise,
        }
        return cls(**{name: value / 2 for name, value in given.items() if value is not None})

    def deviations(self, luminance: float, y: float | None) -> tuple[float, float, float]:
        """Of a reading's luminance (cd/m2), x and y; a grey's y where none was read."""
        # noise of X, Y and Z beside X + Y + Z = Y / y
        dark = self.floor * (y or 1 / 3) / max(luminance, DARK)
        colour = hypot(self.chromaticity, dark)
        return hypot(self.relative * luminance, self.floor), colour, colour

    def covariance(self, xyz: ArrayLike) -> Floats:
        """(3, 3) of a reading's XYZ (3,), cd/m2 squared."""
        light = np.asarray(xyz, np.float64)
        total = max(float(light.sum()), 1e-9)
        x, y = (float(np.clip(each / total, 0.02, 0.9)) for each in light[:2])
        luminance = max(float(light[1]), 0.0)
        to_xyz = np.array(
            [
                [x / y, luminance / y, -luminance * x / y**2],
                [1.0, 0.0, 0.0],
                [(1 - x - y) / y, -luminance / y, -luminance * (1 - x) / y**2],
            ]
        )
        spread = np.diag([self.relative * luminance, self.chromaticity, self.chromaticity]) ** 2
        return np.asarray(to_xyz @ spread @ to_xyz.T + self.floor**2 * np.eye(3))
