"""Readings one after another, until two agree: then what they are of has settled."""

from __future__ import annotations

from collections.abc import Sequence

from player.run.watching import Light
from readings.evidence.repeatability import Repeatability
from readings.visit.records import Value

AGREE = 2.0 * 2**0.5
"""Standard deviations of one reading within which two agree: k = 2 of their difference."""
ENOUGH = 6
"""Readings after which the last one is taken although no two agreed: the meter scatters more."""


def agreed(readings: Sequence[Light | Value], scatter: Repeatability) -> bool:
    """Whether the last two agree, or there were so many that it does not matter.

    Args:
        readings: of one picture, the last one last; each with a luminance.
        scatter: of the meter.
    """
    if len(readings) < 2:
        return False
    before, after = readings[-2:]
    spread = scatter.deviations(after.luminance or 0.0, after.y)
    pairs = (
        (before.luminance, after.luminance),
        (before.x, after.x),
        (before.y, after.y),
    )
    near = all(
        one is None or other is None or abs(one - other) <= AGREE * deviation
        for (one, other), deviation in zip(pairs, spread, strict=True)
    )
    return near or len(readings) >= ENOUGH
