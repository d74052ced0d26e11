"""Chromaticities and the light that has them: named colours, lines from white, strongest channel.

Chromaticities are exact fractions throughout; u', v' of CIE 1976 (CIE 15:2004 clause 8.1, from
memory) are rational in x, y, and so a line in either diagram has exact points.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal, TypeVar

from patterns.signal.exact import REAL, to_decimal
from patterns.signal.primaries import Point, Primaries, apply
from patterns.signal.signal import Signal
from patterns.signal.transfer import Light, Transfer

Diagram = Literal["uv", "xy"]
"""CIE 1976 u', v' or CIE 1931 x, y."""

Real = TypeVar("Real", float, Fraction)

_CLOSE = Decimal("1e-45")
"""Signal that may be missing at the end of a search; Ink counts 1e-40 as nothing."""
_TRIALS = 400


def chromaticity(primaries: Primaries, mix: tuple[int, int, int]) -> Point:
    """x, y of linear R, G, B in these parts: (1, 0, 0) is red, (0, 1, 1) cyan, (1, 1, 1) white."""
    red, green, blue = (Fraction(part) for part in mix)
    x, y, z = apply(primaries.rgb_to_xyz, (red, green, blue))
    return x / (x + y + z), y / (x + y + z)


def to_uv(point: tuple[Real, Real]) -> tuple[Real, Real]:
    """x, y to u', v': u' = 4x / (-2x + 12y + 3), v' = 9y / (-2x + 12y + 3)."""
    x, y = point
    under = -2 * x + 12 * y + 3
    return 4 * x / under, 9 * y / under


def from_uv(point: Point) -> Point:
    """u', v' to x, y: x = 9u' / (6u' - 16v' + 12), y = 4v' / (6u' - 16v' + 12)."""
    u, v = point
    under = 6 * u - 16 * v + 12
    return 9 * u / under, 4 * v / under


def along(start: Point, end: Point, share: Fraction, diagram: Diagram) -> Point:
    """x, y at a share (0 to 1) of the straight line from start to end in that diagram."""
    if diagram == "uv":
        start, end = to_uv(start), to_uv(end)
    point = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
    between = point[0], point[1]
    return from_uv(between) if diagram == "uv" else between


@lru_cache(maxsize=1024)
def light_at(signal: Signal, point: Point, share: Fraction) -> Light:
    """Light of R, G, B in cd/m2 of a chromaticity, its strongest channel at signal ``share``.

    A chromaticity outside the signal's primaries has a channel below 0; a share of 0 or less is
    black. Exact to 45 digits of signal.
    """
    if share <= 0:
        return (signal.transfer.floor,) * 3
    red, green, blue = signal.channel_light(*point, Fraction(1))
    most = max(red, green, blue)
    parts = (REAL.divide(red, most), REAL.divide(green, most), REAL.divide(blue, most))
    return _times(parts, _strength(signal.transfer, parts, to_decimal(min(share, Fraction(1)))))


def luminance_of(signal: Signal, light: Light) -> Fraction:
    """Luminance in cd/m2 of linear light of R, G, B."""
    weights = signal.primaries.rgb_to_xyz[1]
    return sum((w * Fraction(each) for w, each in zip(weights, light, strict=True)), Fraction(0))


def _times(parts: Light, by: Decimal) -> Light:
    red, green, blue = (REAL.multiply(part, by) for part in parts)
    return red, green, blue


def _strength(transfer: Transfer, parts: Light, share: Decimal) -> Decimal:
    """cd/m2 of a part of 1 at which the strongest channel's signal is ``share`` (0 to 1).

    By false position (Illinois), as no transfer offers its inverse at 60 digits, and under HLG a
    channel's signal depends on the other two.
    """
    shown = (max(parts[0], Decimal(0)), max(parts[1], Decimal(0)), max(parts[2], Decimal(0)))

    def missing(root: Decimal) -> tuple[Decimal, Decimal]:
        # fourth power: signal against the fourth root of light is nearly straight
        strength = REAL.multiply(transfer.peak, REAL.power(root, 4))
        return strength, REAL.subtract(max(transfer.encode(_times(shown, strength))), share)

    low, high = Decimal(0), Decimal(1)
    (strength, over), (_, under) = missing(high), missing(low)
    if abs(over) <= _CLOSE:
        return strength
    last: bool | None = None
    for _ in range(_TRIALS):
        span = REAL.subtract(high, low)
        root = REAL.subtract(
            high, REAL.divide(REAL.multiply(over, span), REAL.subtract(over, under))
        )
        strength, rest = missing(root)
        if abs(rest) <= _CLOSE:
            break
        above = rest > 0
        if above:
            high, over = root, rest
            under = under / 2 if last is above else under
        else:
            low, under = root, rest
            over = over / 2 if last is above else over
        last = above
    return strength
