"""Frame rates of clips, and holds in whole frames."""

from __future__ import annotations

import re
from fractions import Fraction

from patterns.canvas import parse_refresh
from patterns.errors import PatternError
from patterns.exact import round_half_away

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
