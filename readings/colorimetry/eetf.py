"""The reference tone mapping of Report ITU-R BT.2390, clause 5.4.1 (EETF), second-hand.

It brings PQ pictures mastered between LB and LW to a display between its own black and peak: E1 is
the PQ signal in shares of the master's span; from the knee KS = 1.5 maxLum - 0.5 on a Hermite
spline bends it to maxLum; the display's black b lifts it by b (1 - E2)^4. Where b is above 0 that
lift is left at the top too: of a master of 10,000 cd/m2 a display from 0.005 to 600 cd/m2 is asked
for 600.7 (computed).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from patterns.signal.transfer import pq
from readings.colorimetry.chromaticity import Floats


def pq_signal(luminance: ArrayLike) -> Floats:
    """E' of PQ for cd/m2, cut to 0 to 10,000: Rec. ITU-R BT.2100-3, table 4. 0 for 0 cd/m2.

    The formula itself gives 7e-7 for 0 cd/m2, less than a thousandth of a code of 10 bits.
    """
    light = np.clip(np.asarray(luminance, np.float64) / pq.PEAK, 0.0, 1.0)
    root = light ** float(pq.M1)
    signal = ((float(pq.C1) + float(pq.C2) * root) / (1 + float(pq.C3) * root)) ** float(pq.M2)
    return np.where(light == 0, 0.0, signal)


def eetf(
    luminance: ArrayLike,
    peak: ArrayLike,
    black: ArrayLike = 0.0,
    master_peak: ArrayLike = float(pq.PEAK),
    master_black: ArrayLike = 0.0,
) -> Floats:
    """Luminance in cd/m2 that the reference curve asks of a display; all broadcast.

    Args:
        luminance: that the signal stands for, cd/m2; above the master's peak it is cut.
        peak: of the display, cd/m2.
        black: of the display, cd/m2.
        master_peak: LW, cd/m2.
        master_black: LB, cd/m2.

    Returns:
        NaN where a black is not below its peak.
    """
    low, high = pq_signal(master_black), pq_signal(master_peak)
    span = np.asarray(high - low)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        bottom, top = ((pq_signal(each) - low) / span for each in (black, peak))
        signal = np.clip((pq_signal(luminance) - low) / span, 0.0, 1.0)
        mapped = bent(signal, top)
        lifted = mapped + bottom * (1 - mapped) ** 4
        found = pq.eotf(np.asarray(lifted * span + low))
    return np.where((span > 0) & (top > bottom), found, np.nan)


def bent(signal: ArrayLike, top: ArrayLike) -> Floats:
    """E2 of E1 (0 to 1) and maxLum: straight up to the knee, a Hermite spline above it."""
    start, end = np.asarray(signal, np.float64), np.asarray(top, np.float64)
    knee = 1.5 * end - 0.5
    rest = np.where(knee < 1, 1 - knee, 1.0)
    t = (start - knee) / rest
    spline = (
        (2 * t**3 - 3 * t**2 + 1) * knee
        + (t**3 - 2 * t**2 + t) * rest
        + (-2 * t**3 + 3 * t**2) * end
    )
    return np.asarray(np.where((start < knee) | (knee >= 1), start, spline))
