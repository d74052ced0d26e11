"""The canvas: width, height and refresh."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Literal

from patterns.errors import PatternError
from patterns.signal.exact import round_half_away

SMALLEST_SIDE, LARGEST_SIDE = 64, 16_384


@dataclass(frozen=True)
class Canvas:
    """Size in pixels, and the refresh rate in Hz where it matters."""

    width: int
    height: int
    refresh: Fraction = Fraction(60)

    def __post_init__(self) -> None:
        for side in (self.width, self.height):
            if not SMALLEST_SIDE <= side <= LARGEST_SIDE:
                raise PatternError(
                    f"A canvas of {self.width}x{self.height} cannot be made: each side has "
                    f"{SMALLEST_SIDE} to {LARGEST_SIDE} pixels."
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


Shape = Literal["picture", "square"]


def nearest_rectangle(
    canvas: Canvas, share: Fraction, shape: Shape, step: Literal[1, 2] = 1
) -> tuple[int, int]:
    """Width and height whose area is nearest to ``share`` (0 to 1) of the canvas.

    A rectangle has the shape where both sides are within half a pixel of one and the same scale:
    width = Round(s W), height = Round(s H) for ``picture`` (W, H the canvas), s by s for
    ``square``. Among equally near ones the smaller is taken. With ``step`` 2 the sides are even:
    pixels are then counted in pairs, as 4:2:0 shares chroma among them.
    """
    # a canvas has even sides, so that pairs of pixels fill it
    width, height = _nearest(canvas.width // step, canvas.height // step, share, shape)
    return width * step, height * step


def _nearest(width: int, height: int, share: Fraction, shape: Shape) -> tuple[int, int]:
    target = share * width * height
    if shape == "square":
        side = isqrt(target.numerator // target.denominator)
        largest = min(width, height)
        sides = {min(max(side + step, 1), largest) for step in (0, 1)}
        best = min(sides, key=lambda each: (abs(each * each - target), each))
        return best, best
    wide = width >= height
    long, short = (width, height) if wide else (height, width)
    rough = isqrt(int(target * short / long))
    pairs: set[tuple[int, int]] = set()
    for low in range(max(1, rough - 2), min(short, rough + 3) + 1):
        least = max(1, _first(Fraction(2 * low - 1, 2) * long / short))
        most = min(long, _last(Fraction(2 * low + 1, 2) * long / short))
        guess = target / low
        near = {round_half_away(guess) + step for step in (-1, 0, 1)} | {least, most}
        pairs |= {(high, low) for high in near if least <= high <= most}
    high, low = min(pairs, key=lambda pair: (abs(pair[0] * pair[1] - target), pair[0] * pair[1]))
    return (high, low) if wide else (low, high)


def _first(edge: Fraction) -> int:
    """Round(x) just at the lower edge of a scale interval, which belongs to it."""
    return round_half_away(edge)


def _last(edge: Fraction) -> int:
    """Round(x) just below the upper edge, which does not: one less where the edge is a half."""
    rounded = round_half_away(edge)
    return rounded - 1 if edge + Fraction(1, 2) == rounded else rounded


def split(side: int, parts: int) -> list[int]:
    """Edges of ``parts`` even pieces of a side: Round(i side / parts), parts + 1 numbers."""
    return [round_half_away(Fraction(i * side, parts)) for i in range(parts + 1)]
