"""R'G'B' to Y'CbCr, exactly, and its integer codes.

    Y' = KR R' + KG G' + KB B'    C'B = (B' - Y') / (2 (1 - KB))    C'R = (R' - Y') / (2 (1 - KR))

Weights: Rec. ITU-R BT.709-6 item 3.2, Rec. ITU-R BT.601-7 (Table 3, from memory), Rec. ITU-R
BT.2020-2 Table 4 and BT.2100-3 Table 6 (non-constant luminance); code points: Rec. ITU-T H.273
Table 4. Quantisation: BT.2100-3 Table 9; in full range C' = +0.5 would be 2**n and is clipped.
8 bits are BT.709-6 practice, 16 bits the formula at n = 16. Seen second-hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from patterns.signal.exact import round_half_away
from patterns.signal.quantise import Quantiser

Three = tuple[Fraction, Fraction, Fraction]
Codes = tuple[int, int, int]


@dataclass(frozen=True)
class Ycbcr:
    """The weights of one matrix, in ten-thousandths; those of R, G and B add up to 10,000."""

    name: str
    code_point: int
    """MatrixCoefficients of H.273 Table 4."""
    red: int
    blue: int

    @property
    def green(self) -> int:
        """KG = 1 - KR - KB, in ten-thousandths."""
        return 10_000 - self.red - self.blue

    def components(self, rgb: Three) -> Three:
        """E' of R, G, B to Y' (0 to 1) and C'B, C'R (-0.5 to 0.5), exactly."""
        red, green, blue = rgb
        luma = (self.red * red + self.green * green + self.blue * blue) / 10_000
        return (
            luma,
            (blue - luma) * Fraction(10_000, 2 * (10_000 - self.blue)),
            (red - luma) * Fraction(10_000, 2 * (10_000 - self.red)),
        )

    def codes(self, rgb: Three, quantiser: Quantiser) -> Codes:
        """E' of R, G, B to codes Y', C'B, C'R, each rounded once from the exact value."""
        luma, blue, red = self.components(rgb)
        return quantiser.code(luma), _chroma(blue, quantiser), _chroma(red, quantiser)

    def shares(self, codes: Codes, quantiser: Quantiser) -> Three:
        """Codes Y', C'B, C'R to E' of R, G, B, exactly; these may lie outside 0 to 1."""
        middle = 1 << (quantiser.bits - 1)
        swing = 224 << (quantiser.bits - 8) if quantiser.range == "narrow" else quantiser.highest
        luma = quantiser.signal(codes[0])
        blue, red = (
            luma + Fraction(code - middle, swing) * Fraction(2 * (10_000 - weight), 10_000)
            for code, weight in ((codes[1], self.blue), (codes[2], self.red))
        )
        return red, (10_000 * luma - self.red * red - self.blue * blue) / self.green, blue

    def of_codes(self, rgb: NDArray[np.integer], quantiser: Quantiser) -> NDArray[np.uint16]:
        """Codes R, G, B to codes Y', C'B, C'R of the same depth and range, shape (..., 3).

        In whole numbers, so correctly rounded from the codes; bars whose R'G'B' were rounded
        before can differ by a code or two from :meth:`codes` of the levels.
        """
        held: NDArray[np.uint16] = np.clip(
            self.unclipped(rgb, quantiser), quantiser.lowest, quantiser.highest
        ).astype(np.uint16)
        return held

    def unclipped(self, rgb: NDArray[np.integer], quantiser: Quantiser) -> NDArray[np.int64]:
        """As :meth:`of_codes`, but codes outside the video data stay as the formula gives them."""
        above = rgb.astype(np.int64) - quantiser.black
        weights = np.array([self.red, self.green, self.blue], np.int64)
        luma = above @ weights  # in ten-thousandths of a code
        out = np.empty(above.shape, np.int64)
        out[..., 0] = _nearest(luma + 10_000 * quantiser.black, 10_000)
        swing, span = (224, 219) if quantiser.range == "narrow" else (1, 1)
        middle = 1 << (quantiser.bits - 1)
        for place, channel, weight in ((1, 2, self.blue), (2, 0, self.red)):
            under = span * 2 * (10_000 - weight)
            over = swing * (10_000 * above[..., channel] - luma)
            out[..., place] = _nearest(over + middle * under, under)
        return out


def _nearest(over: NDArray[np.int64], under: int) -> NDArray[np.int64]:
    """Round(over / under); halves below zero, which no code stands for, go up instead."""
    return (2 * over + under) // (2 * under)


def _chroma(value: Fraction, quantiser: Quantiser) -> int:
    if quantiser.range == "narrow":
        return round_half_away((224 * value + 128) * (1 << (quantiser.bits - 8)))
    code = round_half_away(quantiser.highest * value + (1 << (quantiser.bits - 1)))
    return min(max(code, 0), quantiser.highest)


BT709 = Ycbcr("bt709", 1, 2126, 722)
BT601 = Ycbcr("bt601", 6, 2990, 1140)
BT2020 = Ycbcr("bt2020", 9, 2627, 593)

MATRICES = {each.name: each for each in (BT709, BT601, BT2020)}
