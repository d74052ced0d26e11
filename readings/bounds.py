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
ROOM = 0.01
"""How far x and y of a light may each be misread where nobody says how far the meter errs. The reds
of P3 and BT.2020 lie on x + y = 1, so of a meter without error only half would stay below it."""
ROUNDED = 1e-9
"""What the computer's own arithmetic adds to x + y."""


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


def room_of(chromaticity_uncertainty: float | None) -> float:
    """How far x and y may each lie outside what light can be, by what the meter's maker promises.

    Args:
        chromaticity_uncertainty: as a specification has it; None where it is not known.
    """
    return ROOM if chromaticity_uncertainty is None else chromaticity_uncertainty


def outside(x: float, y: float) -> float:
    """How far CIE 1931 x and y each have to move to be those of a light; 0 where they are."""
    return max(-x, LOWEST_Y - y, (x + y - 1) / 2, 0.0)


def is_chromaticity(x: float, y: float, room: float = 0.0) -> bool:
    """Whether CIE 1931 x and y can be read of a light, with an error of at most `room` in each.

    y is never let off: what is worked out of a colour divides by it.
    """
    return y >= LOWEST_Y and outside(x, y) <= room + ROUNDED


def why_no_light_has(x: float, y: float) -> str:
    """What is wrong with x and y that no light has; empty where a light can have them."""
    if outside(x, y) <= ROUNDED:
        return ""
    if x + y > 1:
        return f"Its x and y add up to {x + y:.4f}, and those of no light to more than 1"
    return f"Its x is {x:.4f}, its y {y:.4f}, and those of no light are as low"


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
    "luminance_linearity": Promise(1e-6, 0.1, "share"),
}
"""By the names of `readings.visit.records.Specification`."""
