"""What a clip is to be: size, rate, signal, chroma; and what its stream says of that."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, get_args

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas, parse_refresh
from patterns.picture.light import Light
from patterns.signal.exact import round_half_away
from patterns.signal.signal import Signal
from patterns.signal.ycbcr import BT709, BT2020, Ycbcr

RATES: dict[str, Fraction] = {
    "23.976": Fraction(24_000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30_000, 1001),
    "30": Fraction(30),
    "50": Fraction(50),
    "59.94": Fraction(60_000, 1001),
    "60": Fraction(60),
}
"""Frames a second by the name that the trade uses, as Rec. ITU-R BT.2020-2 Table 2 lists them
(without its 100, 119.88 and 120). From memory."""


def parse_rate(text: str) -> Fraction:
    """A frame rate by its name; PatternError where players have no such rate."""
    # no more digits than a rate has: 1e99999999 would be worked out to the last of them
    plain = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,6})?)\s*", text)
    rate = parse_refresh(plain[1]) if plain else Fraction(0)
    return require_rate(rate, text.strip()[:40])


def require_rate(rate: Fraction, text: str = "") -> Fraction:
    """The rate itself if it is one of :data:`RATES`; otherwise PatternError."""
    if rate not in RATES.values():
        raise PatternError(
            f"A clip has {', '.join(RATES)} frames a second, not {text or f'{float(rate):.6g}'}."
        )
    return rate


def frames_in(seconds: Fraction, rate: Fraction) -> int:
    """The nearest whole number of frames, at least one."""
    return max(round_half_away(seconds * rate), 1)


Chroma = Literal["4:2:0", "4:4:4"]
CHROMAS: tuple[Chroma, ...] = get_args(Chroma)

PROFILES: dict[tuple[Chroma, int], str] = {
    ("4:2:0", 8): "Main",
    ("4:2:0", 10): "Main 10",
    ("4:2:0", 12): "Main 12",
    ("4:4:4", 8): "Main 4:4:4",
    ("4:4:4", 10): "Main 4:4:4 10",
    ("4:4:4", 12): "Main 4:4:4 12",
}
"""Profiles of Rec. ITU-T H.265 clauses A.3.2, A.3.3 and A.3.5, by chroma and bits (from memory)."""

LEFT, TOP_LEFT = 0, 2
"""ChromaLocType of H.265 Figure E.1: where a chroma sample lies in its block (from memory)."""


@dataclass(frozen=True)
class Settings:
    """One way of making clips.

    Args:
        canvas: size in pixels; its refresh rate is not used.
        rate: frames a second, one of :data:`~patterns.video.settings.RATES`.
        signal: of every picture; 8, 10 or 12 bits.
        chroma: 4:2:0, which every player has, or 4:4:4.
        compat: a capped bit rate instead of lossless coding.
        light: what a PQ clip states of its light: None for that of its own pictures, one that is
            to be the same in several clips, or ``nothing``.

    Raises:
        PatternError: a rate, depth or chroma that there is none of.
    """

    canvas: Canvas
    rate: Fraction
    signal: Signal
    chroma: Chroma = "4:2:0"
    compat: bool = False
    light: Light | Literal["nothing"] | None = None

    def __post_init__(self) -> None:
        require_rate(self.rate)
        if self.chroma not in CHROMAS:
            raise PatternError(f"Chroma is {' or '.join(CHROMAS)}, not {self.chroma}.")
        if (self.chroma, self.signal.bits) not in PROFILES:
            raise PatternError(f"HEVC carries 8, 10 or 12 bits, not {self.signal.bits}.")

    @property
    def playing(self) -> Canvas:
        """The canvas with the clip's rate as its refresh rate, to draw moving patterns on."""
        return replace(self.canvas, refresh=self.rate)

    @property
    def matrix(self) -> Ycbcr:
        """Of R'G'B' to Y'CbCr."""
        return matrix_of(self.signal)

    @property
    def profile(self) -> str:
        """Name of the HEVC profile."""
        return PROFILES[self.chroma, self.signal.bits]

    @property
    def pixel_format(self) -> str:
        """As libavutil calls it."""
        depth = "" if self.signal.bits == 8 else f"{self.signal.bits}le"
        return f"yuv{self.chroma.replace(':', '')}p{depth}"

    @property
    def transfer_point(self) -> int:
        """TransferCharacteristics of H.273 Table 3.

        SDR with BT.2020 primaries is 14, or 15 at 12 bits: functionally 1, and what BT.2020
        streams say.
        """
        signal = self.signal
        if signal.transfer.name == "bt1886" and signal.primaries.name == "bt2020":
            return 15 if signal.bits == 12 else 14
        return signal.transfer.code_point

    @property
    def siting(self) -> int | None:
        """ChromaLocType: top-left with HDR and BT.2020 (BT.2100-3 Table 6), left with BT.709.

        Every block of a lossless clip has one colour, so that either place shows the same.
        None at 4:4:4.
        """
        if self.chroma == "4:4:4":
            return None
        plain = self.signal.transfer.name == "bt1886" and self.signal.primaries.name != "bt2020"
        return LEFT if plain else TOP_LEFT


def matrix_of(signal: Signal) -> Ycbcr:
    """The matrix that a signal's R'G'B' is carried by.

    BT.709 for BT.709 primaries, BT.2020 (non-constant luminance) for BT.2020. P3-D65 has no
    matrix of its own that players know: with PQ or HLG it goes by BT.2020's, as all HDR video
    does, in SDR by BT.709's. The stream says which, and R'G'B' comes back either way.
    """
    name = signal.primaries.name
    hdr = signal.transfer.name != "bt1886"
    return BT2020 if name == "bt2020" or (hdr and name != "bt709") else BT709
