"""Motion in whole pixels and whole refreshes, exact at any time and refresh rate."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from patterns.errors import ParameterPath, PatternError
from patterns.picture.canvas import Canvas
from patterns.signal.exact import round_half_away
from patterns.signal.measures import Measure, seconds

SHORTEST_CYCLE = Fraction(36, 100)
"""Seconds from flash to flash that any refresh rate may have: Rec. ITU-R BT.1702-3 (11/2023)
accepts leading edges 360 ms apart at 50 Hz and 334 ms apart at 60 Hz; second-hand."""


def a_second(speed: Measure, canvas: Canvas, side: int) -> Fraction:
    """Pixels a second; ``side`` is the canvas's side along the way, for ``s/screen``."""
    if speed.unit == "px/frame":
        return speed.exact * canvas.refresh
    return side / speed.exact if speed.unit == "s/screen" else speed.exact


def whole_step(speed: Measure, canvas: Canvas, side: int) -> int:
    """Pixels from one refresh to the next; an error where they are not whole."""
    step = a_second(speed, canvas, side) / canvas.refresh
    if step.denominator != 1:
        raise PatternError(
            f"A speed of {speed} is {float(step):.6g} pixels a frame at "
            f"{float(canvas.refresh):.6g} Hz; it takes whole ones, such as "
            f"{max(round_half_away(step), 1)} px/frame.",
            ("speed",),
        )
    return step.numerator


def refreshes(canvas: Canvas, time: Fraction) -> int:
    """Number of the refresh that is on screen at ``time``, from 0."""
    return floor(time * canvas.refresh)


def at_least(duration: Measure, canvas: Canvas) -> int:
    """The fewest whole refreshes that last as long as a duration, one or more."""
    return max(1, ceil(seconds(duration) * canvas.refresh))


def nearest(duration: Measure, canvas: Canvas) -> int:
    """The whole refreshes nearest to a duration, one or more."""
    return max(1, round_half_away(seconds(duration) * canvas.refresh))


def hold_back(what: str, cycle: Fraction, *parameters: ParameterPath, fast: bool) -> None:
    """PatternError where light comes and goes faster than is safe and nobody asked for that.

    ``parameters`` are those that the cycle, in seconds, comes from.
    """
    if cycle < SHORTEST_CYCLE and not fast:
        raise PatternError(
            f"{what} flashes every {float(1000 * cycle):.4g} ms, faster than the 360 ms that are "
            "safe; make it slower, or say fast: true and heed the warning.",
            *parameters,
        )


Draws = NDArray[np.uint64]

STRIDE = 0x9E3779B97F4A7C15
_WORD = 0xFFFFFFFFFFFFFFFF


def draws(seed: int, count: int) -> Draws:
    """The first ``count`` 64-bit draws of a seed, 0 to 2**64 - 1."""
    numbers = np.arange(1, count + 1, dtype=np.uint64)
    mixed = numbers * np.uint64(STRIDE) + np.uint64(seed & _WORD)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))


def below(drawn: Draws, limit: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Whole numbers 0 to limit - 1 from draws, limit up to 2**31: their upper half, scaled."""
    scaled = (drawn >> np.uint64(32)) * np.asarray(limit, np.uint64)
    return (scaled >> np.uint64(32)).astype(np.int64)
