"""What a display should have shown for the codes that it was sent.

SDR is relative: where no other aim was stated, its target is BT.1886 between the white and the
black that were measured. PQ is absolute. HLG adapts to the display: its target has the measured
white as nominal peak, and the measured black; its system gamma is that of
`patterns.signal.transfer.hlg`. White is D65, or the white point that was stated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from patterns.aim import D65, NOT_STATED, Aim
from patterns.errors import PatternError
from patterns.signal.primaries import Primaries
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886, Hlg
from readings.colorimetry.chromaticity import Floats
from readings.evidence.measured import Measured
from readings.evidence.shown import signal_of, values_of

AimPart = Literal["curve", "white point", "white"]
"""What of an aim a verdict may rest on."""


@dataclass(frozen=True, slots=True)
class Aimed:
    """What readings of one signal are judged by."""

    aim: Aim
    transfer: str

    @classmethod
    def of(cls, reading: Measured) -> Aimed:
        """That of a reading, and of all of its run."""
        return cls(reading.aim, str(reading.signal.get("transfer", "")))

    def told(self, *parts: AimPart) -> str:
        """Parts of it, for people: `power 2.4, white D65`."""
        named = {"pq": "PQ", "hlg": "HLG"}.get(self.transfer) or self.aim.told_curve()
        white = "" if self.aim.white is None else f"white of {self.aim.white:g} cd/m2"
        said = {"curve": named, "white point": self.aim.told_white_point(), "white": white}
        return ", ".join(filter(None, (said[part] for part in parts)))

    def told_curve(self, white: str, black: str) -> str:
        """The curve with the ends that it is drawn between, for people."""
        if self.transfer == "pq":
            return "PQ of Rec. ITU-R BT.2100-3, which is absolute"
        if self.transfer == "hlg":
            return f"HLG of Rec. ITU-R BT.2100-3 with {white} as nominal peak, and {black}"
        return self.aim.told_between(white, black)

    def settled(self) -> dict[str, object]:
        """As plain values: what was stated, and where nothing was, what is taken."""
        return {
            "curve": {"pq": "pq", "hlg": "hlg"}.get(self.transfer, self.aim.curve or "bt1886"),
            "black": self.aim.black,
            "white": self.aim.white,
            "white_point": list(self.aim.white_xy),
        }


def aimed_xyz(readings: Sequence[Measured], white: ArrayLike, black: ArrayLike) -> Floats:
    """Target XYZ (..., n, 3) in cd/m2 of n readings of one signal and one aim.

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
    aim = readings[0].aim
    light = light_of(signal, values, lit, dark, aim)
    return light @ matrix_of(signal.primaries, aim.white_xy).T


@cache
def matrix_of(primaries: Primaries, white_xy: tuple[float, float]) -> Floats:
    """Linear RGB to XYZ (3, 3) for these primaries around a white of one's own."""
    if white_xy == D65:
        return primaries.matrix
    x, y = (Fraction(repr(each)) for each in white_xy)
    return replace(primaries, white=(x, y)).matrix


def light_of(
    signal: Signal,
    values: Floats,
    white: ArrayLike,
    black: ArrayLike,
    aim: Aim = NOT_STATED,
) -> Floats:
    """Light (..., n, 3) of the channels in cd/m2 for E' (n, 3) and whites and blacks (...)."""
    lit = np.asarray(white, np.float64)[..., None, None]
    dark = np.asarray(black, np.float64)[..., None, None]
    shape = (*np.broadcast_shapes(lit.shape, dark.shape)[:-2], *values.shape)
    if isinstance(signal.transfer, Bt1886):
        return aim.light(values, lit, dark)
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
