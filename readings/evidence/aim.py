"""What a display should have shown for the codes that it was sent.

SDR is relative: its target is BT.1886 between the white and the black that were measured. PQ is
absolute. HLG adapts to the display: its target has the measured white as nominal peak, and the
measured black; its system gamma is that of `patterns.signal.transfer.hlg`.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import numpy as np
from numpy.typing import ArrayLike

from patterns.errors import PatternError
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886, Hlg
from patterns.signal.transfer.bt1886 import light_between
from readings.colorimetry.chromaticity import Floats
from readings.evidence.measured import Measured
from readings.evidence.shown import signal_of, values_of


def aimed_xyz(readings: Sequence[Measured], white: ArrayLike, black: ArrayLike) -> Floats:
    """Target XYZ (..., n, 3) in cd/m2 of n readings of one signal, D65 white.

    Args:
        readings: what was shown; all of one signal.
        white: (...) measured white, cd/m2; PQ does without it.
        black: (...) measured black, cd/m2.

    Returns:
        NaN where a reading's codes are not known.
    """
    lit, dark = np.asarray(white, np.float64), np.asarray(black, np.float64)
    shape = (*np.broadcast_shapes(lit.shape, dark.shape), len(readings), 3)
    signal = signal_of(readings[0]) if readings else None
    if signal is None:
        return np.full(shape, np.nan)
    nothing = np.full(3, np.nan)
    listed = [values_of(reading) for reading in readings]
    values = np.array([nothing if each is None else each for each in listed])
    return light_of(signal, values, lit, dark) @ signal.primaries.matrix.T


def light_of(signal: Signal, values: Floats, white: ArrayLike, black: ArrayLike) -> Floats:
    """Light (..., n, 3) of the channels in cd/m2 for E' (n, 3) and whites and blacks (...)."""
    lit = np.asarray(white, np.float64)[..., None, None]
    dark = np.asarray(black, np.float64)[..., None, None]
    shape = (*np.broadcast_shapes(lit.shape, dark.shape)[:-2], *values.shape)
    if isinstance(signal.transfer, Bt1886):
        return light_between(values, lit, dark)
    if isinstance(signal.transfer, Hlg):
        return np.broadcast_to(_hlg(values, lit, dark), shape)
    return np.broadcast_to(signal.transfer.decode(values), shape)


def _hlg(values: Floats, white: Floats, black: Floats) -> Floats:
    """Worked out once, for the middle of the whites, and scaled to each of them.

    The system gamma of a display changes so little over what a white may really be (0.01 over
    5 %) that draws do not need one each.
    """
    fine = white[np.isfinite(white) & (white > 0)]
    if not fine.size:
        return np.full((*white.shape[:-2], *values.shape), np.nan)
    peak = float(np.median(fine))
    dark = float(np.median(black[np.isfinite(black)])) if np.isfinite(black).any() else 0.0
    try:
        transfer = Hlg(Decimal(repr(peak)), Decimal(repr(max(dark, 0.0))))
    except PatternError:  # a black that no HLG display of this peak has
        transfer = Hlg(Decimal(repr(peak)))
    return np.asarray(transfer.decode(values) * (np.where(white > 0, white, np.nan) / peak))
