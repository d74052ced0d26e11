"""A signal: how light is coded. Codes to luminance and XYZ, and back."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from functools import cached_property
from typing import cast

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.signal.exact import to_decimal
from patterns.signal.primaries import PRIMARIES, Primaries, apply
from patterns.signal.quantise import DEPTHS, Quantiser, Range
from patterns.signal.transfer import Bt1886, Hlg, Light, Pq, Transfer

Codes = tuple[int, int, int]


@dataclass(frozen=True)
class Signal:
    """Transfer, primaries, bits and range.

    ``written`` is the depth and range in which ``code`` levels are meant where they differ from
    those shown (a 10-bit sequence on an 8-bit framebuffer); None where they are the same.
    """

    transfer: Transfer
    primaries: Primaries
    bits: int
    range: Range
    written: Quantiser | None = None

    def __post_init__(self) -> None:
        Quantiser(self.bits, self.range)

    @cached_property
    def quantiser(self) -> Quantiser:
        """The integer codes of this signal."""
        return Quantiser(self.bits, self.range)

    def shown_at(self, bits: int, range_: Range) -> Signal:
        """This signal at another depth or range; ``code`` levels keep their first meaning."""
        if (bits, range_) == (self.bits, self.range):
            return self
        return replace(self, bits=bits, range=range_, written=self.written or self.quantiser)

    def light(self, codes: NDArray[np.integer]) -> NDArray[np.float64]:
        """Codes (..., 3) to linear light of the channels in cd/m2, same shape, float64."""
        return self.transfer.decode(self.quantiser.signals(codes))

    def xyz(self, codes: NDArray[np.integer]) -> NDArray[np.float64]:
        """Codes (..., 3) to CIE 1931 XYZ of the same shape, Y in cd/m2."""
        xyz: NDArray[np.float64] = self.light(codes) @ self.primaries.matrix.T
        return xyz

    def luminance(self, codes: NDArray[np.integer]) -> NDArray[np.float64]:
        """Codes (..., 3) to luminance in cd/m2, shape (...)."""
        luminance: NDArray[np.float64] = self.light(codes) @ self.primaries.matrix[1]
        return luminance

    def grey(self, luminance: Decimal) -> Light:
        """E' of a grey of this luminance in cd/m2; an error where the signal cannot reach it."""
        self._require_reach(luminance, f"{luminance.normalize():f} cd/m2")
        return self.transfer.encode((luminance, luminance, luminance))

    def channel_light(self, x: Fraction, y: Fraction, luminance: Fraction) -> Light:
        """Linear light of R, G, B in cd/m2 for a chromaticity and luminance, unclipped."""
        if y <= 0 or x < 0 or x + y > 1:
            raise PatternError(f"x {float(x)}, y {float(y)} is not a chromaticity of light.")
        xyz = (x * luminance / y, luminance, (1 - x - y) * luminance / y)
        red, green, blue = apply(self.primaries.xyz_to_rgb, xyz)
        return to_decimal(red), to_decimal(green), to_decimal(blue)

    def _require_reach(self, luminance: Decimal, text: str) -> None:
        low, high = self.transfer.floor, self.transfer.peak
        if not low <= luminance <= high:
            raise PatternError(
                f"{text} is out of reach: {self.name} goes from {low} to {high} cd/m2."
            )

    @property
    def name(self) -> str:
        """Short name: ``pq10``, or the parts spelt out where no short name says it."""
        for family in FAMILIES:
            short = f"{family}{self.bits}"
            if replace(self, written=None) == named_signal(short):
                return short
        return f"{self.transfer.name}/{self.primaries.name}/{self.bits} bits/{self.range}"

    def describe(self) -> dict[str, object]:
        """The signal as plain values, for files and records."""
        parts: dict[str, object] = {
            "transfer": self.transfer.name,
            "primaries": self.primaries.name,
            "bits": self.bits,
            "range": self.range,
        }
        if isinstance(self.transfer, Bt1886):
            parts |= {"white": float(self.transfer.white), "black": float(self.transfer.black)}
        if isinstance(self.transfer, Hlg):
            parts |= {"peak": float(self.transfer.peak), "black": float(self.transfer.black)}
        return parts


FAMILIES: dict[str, tuple[Transfer, str]] = {
    "sdr": (Bt1886(), "bt709"),
    "pq": (Pq(), "bt2020"),
    "hlg": (Hlg(), "bt2020"),
}
"""Short names: computer pictures (8 and 16 bits) are full range, video (10 and 12) is narrow."""


def signal_names() -> list[str]:
    """Every short name, ``sdr8`` to ``hlg16``."""
    return [f"{family}{bits}" for family in FAMILIES for bits in DEPTHS]


def named_signal(name: str) -> Signal:
    """A signal by its short name, such as ``sdr8``, ``pq10`` or ``hlg12``."""
    found = re.fullmatch(r"([a-z]+)(\d+)", name)
    if found is None or found[1] not in FAMILIES or int(found[2]) not in DEPTHS:
        raise PatternError(f"There is no signal {name!r}; there are {', '.join(signal_names())}.")
    transfer, primaries = FAMILIES[found[1]]
    bits = int(found[2])
    return Signal(transfer, PRIMARIES[primaries], bits, "narrow" if bits in (10, 12) else "full")


def signal_from_parts(parts: dict[str, object]) -> Signal:
    """The inverse of :meth:`Signal.describe`, for records and for signals spelt out in YAML."""
    name = str(parts.get("transfer"))

    def number(key: str, default: int) -> Decimal:
        try:
            found = Decimal(str(parts.get(key, default)))
        except InvalidOperation:
            found = Decimal("nan")
        if not found.is_finite():
            raise PatternError(f"The {key} of a signal is a number, not {parts.get(key)!r}.")
        return found

    transfer: Transfer
    if name == "bt1886":
        transfer = Bt1886(number("white", 100), number("black", 0))
    elif name == "hlg":
        transfer = Hlg(number("peak", 1000), number("black", 0))
    elif name == "pq":
        transfer = Pq()
    else:
        raise PatternError(f"There is no transfer {name!r}; there are bt1886, pq and hlg.")
    bits = number("bits", 10)
    if bits not in DEPTHS:
        raise PatternError(f"A signal has 8, 10, 12 or 16 bits, not {bits:f}.")
    primaries = str(parts.get("primaries", "bt709" if name == "bt1886" else "bt2020"))
    if primaries not in PRIMARIES:
        raise PatternError(
            f"There are no primaries {primaries!r}; there are {', '.join(PRIMARIES)}."
        )
    return Signal(
        transfer,
        PRIMARIES[primaries],
        int(bits),
        cast(Range, str(parts.get("range", "narrow"))),
    )
