"""What a light can read at all, and what the maker of a meter can promise: beyond is a fault.

The bounds are the project's own, far outside everything that displays and their meters do. They
find a slip of the keyboard, a wrong unit and a meter's error that looks like a number, before any
arithmetic meets them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

BRIGHTEST = 1e9
"""cd/m2: about the sun's disc. What reads above is a slip of the keyboard."""
DARKEST = 1e-9
"""cd/m2: far below what any meter tells from zero, so what reads below is zero."""
DARK = 0.1
"""cd/m2. What a meter shows with its cap on is at most this, so below it noise may outweigh the
light: a reading may lie this far below zero, where the meter subtracts its own dark, and its
colour may be none."""
STRAY = 0.05
"""Share of Y that X or Z may lie below zero beside a saturated light: the filters of a meter and
the matrix behind them are not quite those of CIE 1931."""
LOWEST_Y = 0.001
"""The lowest y of any colour; the spectrum locus of CIE 1931 comes down to 0.005 (from memory)."""


def no_light(luminance: float) -> str:
    """Why a luminance, cd/m2, can be none, to go on after "is no light: "; empty where it can."""
    if luminance > BRIGHTEST:
        return "it is brighter than the sun's disc"
    if not luminance >= -DARK:  # also what is no number
        return f"noise and a meter's own dark take a reading to {-DARK:g} at most"
    return ""


def without_dust(luminance: float) -> float:
    """Zero for what no meter tells from zero, and the luminance itself otherwise, cd/m2."""
    return luminance if abs(luminance) >= DARKEST else 0.0


def is_chromaticity(x: float, y: float) -> bool:
    """Whether CIE 1931 x and y can be those of a light."""
    return x >= 0 and y >= LOWEST_Y and x + y <= 1


@dataclass(frozen=True)
class Promise:
    """Between what and what a maker's promise can lie, both included."""

    least: float
    most: float
    unit: Literal["share", "cd/m2", "x and y"]
    """What it is a number of: a share of the reading, of which 0.04 is 4 %; cd/m2; CIE 1931."""


PROMISES: Mapping[str, Promise] = {
    "luminance_relative_uncertainty": Promise(1e-5, 0.5, "share"),
    "luminance_floor": Promise(DARKEST, 1e3, "cd/m2"),
    "luminance_resolution": Promise(DARKEST, 1e2, "cd/m2"),
    "chromaticity_uncertainty": Promise(1e-6, 0.1, "x and y"),
    "chromaticity_resolution": Promise(1e-7, 0.1, "x and y"),
    "luminance_repeatability": Promise(1e-6, 0.5, "share"),
    "luminance_noise": Promise(DARKEST, 10.0, "cd/m2"),
    "chromaticity_repeatability": Promise(1e-7, 0.1, "x and y"),
}
"""By the names of `readings.visit.records.Specification`."""
