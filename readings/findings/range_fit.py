"""Ways in which a display may take codes, and how well each explains a few luminances."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Family = Literal["full", "narrow"]

EXPONENTS = np.arange(1.8, 2.81, 0.05)
"""Of the display's power law."""
BRIGHT_LAW, DARK_LAW = 0.02, 0.3
"""Shares by which displays leave a power law, for bright and for dark codes. Our own."""
DARK_CODES = 64
"""Codes below this, of 8 bits, are dark."""
HALO = 0.3
"""Share of the black level by which the light beside brighter patches may differ. Our own."""
READING = 0.01
"""A reading is no better than this share, whatever its meter says. Our own."""


@dataclass(frozen=True, slots=True)
class Light:
    """What was read at one code."""

    code: float
    """In steps of 8 bits: the code divided by 2^(bits - 8)."""
    luminance: float
    """cd/m2."""
    scatter: float
    """Standard uncertainty but for the meter's gain, cd/m2."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A way of taking codes."""

    name: str
    family: Family
    says: str
    signal: Callable[[Floats, float], Floats]
    """From codes in steps of 8 bits, and the highest code, to the share of the display's signal."""


SQUEEZED = "squeezed"

ARRIVALS = (
    Arrival("full", "full", "full range", lambda code, top: code / top),
    Arrival(
        "narrow",
        "narrow",
        "narrow range",
        lambda code, _: np.clip((code - 16) / 219, 0.0, 1.0),
    ),
    Arrival(
        "narrow with headroom",
        "narrow",
        "narrow range that shows whites above white",
        lambda code, _: np.maximum((code - 16) / 219, 0.0),
    ),
    # full range with a raised black: six luminances hardly tell it from a display of low contrast
    Arrival(
        SQUEEZED,
        "full",
        "codes squeezed into narrow range on the way and shown as full",
        lambda code, top: (16 + 219 * code / top) / top,
    ),
)


@dataclass(frozen=True, slots=True)
class Fit:
    """How well a way of taking codes explains what was read."""

    arrival: Arrival
    exponent: float
    misfit: float
    """Chi squared."""


def fitted(lights: Sequence[Light], bits: int) -> list[Fit]:
    """Every way of taking codes, the best first.

    Args:
        lights: three codes or more.
        bits: depth of the codes.
    """
    codes = np.array([light.code for light in lights])
    read = np.array([light.luminance for light in lights])
    scatter = np.array([light.scatter for light in lights])
    # nothing is surer than a ten-millionth of white: three zeros at the dark end prove little
    least = 1e-7 * max(float(read.max()), 1e-6)
    dark = np.where(codes < DARK_CODES, HALO * max(float(read.min()), 0.0), 0.0)
    spread = np.sqrt(scatter**2 + (READING * read) ** 2 + dark**2 + least**2)
    return sorted(
        (_fit(arrival, codes, read, spread, bits) for arrival in ARRIVALS),
        key=lambda fit: fit.misfit,
    )


def _fit(arrival: Arrival, codes: Floats, read: Floats, spread: Floats, bits: int) -> Fit:
    """The exponent, gain and black level that explain it best; black is not below 0."""
    signal = arrival.signal(codes, _top(bits))
    best = Fit(arrival, float(EXPONENTS[0]), inf)
    for exponent in EXPONENTS:
        shape = signal**exponent
        # where this way of taking codes gives no light, no display may leave its law for some
        law = np.where(codes < DARK_CODES, DARK_LAW, BRIGHT_LAW) * shape * read.max() / shape.max()
        wide = np.hypot(spread, law)
        left = np.stack([shape, np.ones_like(shape)], axis=1) / wide[:, np.newaxis]
        gain, black = np.linalg.lstsq(left, read / wide, rcond=None)[0]
        if black < 0:
            gain, black = float((left[:, 0] @ (read / wide)) / (left[:, 0] @ left[:, 0])), 0.0
        misfit = float((((gain * shape + black) - read) ** 2 / wide**2).sum())
        if misfit < best.misfit:
            best = Fit(arrival, float(exponent), misfit)
    return best


def light_at(fit: Fit, code: float, bits: int) -> float:
    """Light of a code in steps of 8 bits, over black; 1 is the display's own white."""
    signal: Floats = fit.arrival.signal(np.array([code]), _top(bits))
    return float(np.power(signal, fit.exponent)[0])


def _top(bits: int) -> float:
    return ((1 << bits) - 1) / float(1 << (bits - 8))
