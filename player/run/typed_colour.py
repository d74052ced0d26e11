"""Three numbers that were typed as a colour: in which order they stand, and x and y without points.

Meters show Y x y or x y Y, and some leave the points of x and y out. What only one order can be is
taken so; otherwise the colour that is coded tells, or the order of this run, or the operator.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import hypot
from typing import Literal

from patterns.signal.colours import to_uv
from patterns.words import figures
from readings.bounds import is_chromaticity

Order = Literal["Y x y", "x y Y"]
ORDERS: tuple[Order, Order] = ("Y x y", "x y Y")
"""The first is taken where nothing tells, once the operator has confirmed it."""
Chromaticity = tuple[float, float]

NEAR = 0.1
"""Distance in CIE 1976 u'v' from the coded colour within which a reading of it lies; our own."""
FARTHER = 3.0
"""How many times farther off the other order has to be, to be ruled out by that; our own."""
_POINTLESS = re.compile(r"\d{3,5}")
"""Digits of x or y whose point was left out: three, as a meter shows at least, to five."""
_NAMED: dict[str, Order] = {"yxy": "Y x y", "xyy": "x y Y"}


@dataclass(frozen=True)
class Typed:
    """One way to read three numbers."""

    luminance: str
    """Y as it was typed; whether it is a luminance is another question."""
    x: float
    y: float
    order: Order


def split(text: str) -> tuple[list[str], Order | None]:
    """The numbers of a text, and the order where it is named before them: `xyY 0.3 0.3 0.2`."""
    parts = [part for part in re.split(r"[;\s]+", text) if part]
    named = _NAMED.get(parts[0].casefold()) if parts else None
    return (parts, None) if named is None else (parts[1:], named)


def ways_of(parts: list[str], room: float) -> tuple[Typed, ...]:
    """The ways in which three numbers can be a colour; empty where there is none.

    Args:
        parts: three texts.
        room: how far x and y may each lie outside what light can be.
    """
    found = []
    for order in ORDERS:
        luminance, x, y = parts if order == "Y x y" else (parts[2], parts[0], parts[1])
        chromaticity = _share(x), _share(y)
        if _is_colour(chromaticity, room):
            found.append(Typed(luminance, *chromaticity, order))
    return tuple(found)


def _is_colour(chromaticity: tuple[float, float], room: float) -> bool:
    x, y = chromaticity
    return x > 0 and is_chromaticity(x, y, room)


def _share(text: str) -> float:
    """x or y, with its point or without; above 1 where it can be neither."""
    if _POINTLESS.fullmatch(text) and int(text):
        return float(f"0.{text}")
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return 2.0


def chosen(
    ways: tuple[Typed, ...], coded: Chromaticity | None, before: Order | None
) -> tuple[Typed, bool]:
    """One of the ways, and whether it is sure.

    Args:
        ways: at least one.
        coded: CIE 1931 x and y that are coded where it was read, where that is known.
        before: the order of the readings before, where that is known.
    """
    if len(ways) == 1:
        return ways[0], True
    if coded is not None:
        near, far = sorted(ways, key=lambda way: _apart(way, coded))
        least = _apart(near, coded)
        if least <= NEAR and _apart(far, coded) >= FARTHER * least:
            return near, True
    for way in ways:
        if way.order == before:
            return way, True
    return ways[0], False


def _apart(way: Typed, coded: Chromaticity) -> float:
    one, other = to_uv((way.x, way.y)), to_uv(coded)
    return hypot(one[0] - other[0], one[1] - other[1])


def told(luminance: float, x: float, y: float) -> str:
    """A colour with its letters: `Y 401.2, x 0.3130, y 0.3290`."""
    return f"Y {figures(luminance, 6)}, x {x:.4f}, y {y:.4f}"
