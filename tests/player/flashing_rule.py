"""How often a screen flashed, counted from what was on it: independent of the player's own gate.

WCAG 2.2, "general flash and red flash thresholds": a flash is a pair of opposing changes of
relative luminance of 10 % or more of the maximum, where the darker is below 0.80; more than three
within any one second are too many. (Read in the W3C's own source, see docs/safety.md.)
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

LEAST = 0.1
DARKER = 0.8
Frames = NDArray[np.floating]


def flashes(times: Sequence[float], levels: Frames) -> NDArray[np.float64]:
    """The most flashes within a second, in each place: half of the opposing changes.

    Args:
        times: (n,) when each picture came up, s.
        levels: (n, ...) relative luminance of each place, 0 to 1.
    """
    extreme = np.array(levels[0], dtype=float)
    way = np.zeros(extreme.shape, dtype=int)
    changed = []
    for level in np.asarray(levels[1:], dtype=float):
        on = way * (level - extreme) > 0  # on in the same direction: the same change
        extreme = np.where(on, level, extreme)
        new = (abs(level - extreme) >= LEAST) & (np.minimum(level, extreme) < DARKER)
        way = np.where(new, np.sign(level - extreme).astype(int), way)
        extreme = np.where(new, level, extreme)
        changed.append(new)
    if not changed:
        return np.zeros(extreme.shape)
    at = np.asarray(times[1:])
    sums = np.concatenate([np.zeros((1, *extreme.shape), int), np.cumsum(changed, axis=0)])
    ends = np.searchsorted(at, at + 1.0, side="left")
    return (sums[ends] - sums[np.arange(len(at))]).max(axis=0) / 2


def most_flashes(changes: Sequence[tuple[float, float]]) -> float:
    """The same of one place: when it took which relative luminance."""
    return float(flashes([at for at, _ in changes], np.array([level for _, level in changes])))


def light(codes: NDArray[np.integer]) -> Frames:
    """Relative luminance of 8-bit codes (..., 3), near enough: BT.709 weights, exponent 2.4."""
    return ((codes / 255.0) ** 2.4 @ np.array([0.2126, 0.7152, 0.0722])).astype(np.float32)


def recorded(
    see: Callable[[], NDArray[np.integer]], going_on: Callable[[], bool]
) -> tuple[list[float], Frames]:
    """Pictures of a screen, as fast as they can be taken, every other row and column of them."""
    times, frames = [], []
    while going_on():
        codes = see()[::2, ::2]
        times.append(time.monotonic())
        frames.append(light(codes))
    return times, np.stack(frames)
