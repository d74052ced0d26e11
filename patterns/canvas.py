"""The canvas: width, height and refresh."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from patterns.errors import PatternError

SMALLEST, LARGEST = 64, 16_384


@dataclass(frozen=True)
class Canvas:
    """Size in pixels, and the refresh rate in Hz where it matters."""

    width: int
    height: int
    refresh: Fraction = Fraction(60)

    def __post_init__(self) -> None:
        for side in (self.width, self.height):
            if not SMALLEST <= side <= LARGEST:
                raise PatternError(
                    f"A canvas of {self.width}x{self.height} cannot be made: each side has "
                    f"{SMALLEST} to {LARGEST} pixels."
                )
            if side % 2:
                raise PatternError(
                    f"A canvas of {self.width}x{self.height} cannot be made: video is carried in "
                    "pairs of pixels, so both sides are even."
                )
        if not 1 <= self.refresh <= 1000:
            raise PatternError(f"A refresh rate lies between 1 and 1000 Hz, not {self.refresh}.")

    @property
    def pixels(self) -> int:
        """Number of pixels."""
        return self.width * self.height

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"


def parse_canvas(text: str) -> Canvas:
    """``3840x2160``, or ``3840x2160@50`` with a refresh rate."""
    found = re.fullmatch(r"\s*(\d{1,6})\s*[xX]\s*(\d{1,6})\s*(?:@\s*(\d+(?:\.\d+)?))?\s*", text)
    if found is None:
        raise PatternError(f"A size is written WIDTHxHEIGHT, such as 3840x2160, not {text!r}.")
    return Canvas(int(found[1]), int(found[2]), parse_refresh(found[3] or "60"))


def parse_refresh(text: str) -> Fraction:
    """A rate in Hz; 59.94, 29.97, 23.976 and 23.98 mean 60, 30 and 24 times 1000/1001."""
    whole = {"59.94": 60, "29.97": 30, "23.976": 24, "23.98": 24, "119.88": 120}.get(text)
    return Fraction(text) if whole is None else Fraction(whole * 1000, 1001)
