"""What a gamma ramp of the graphics card does to codes, whichever system it was read from."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from player.outputs.base import Guard

Ramps = Sequence[Sequence[int]]
"""Red, green and blue, each of two or more 16-bit values."""

FULL = 65535
"""The height of a ramp."""
WARM = 0.02
"""A share of full scale by which blue has to end below red for a ramp to count as warm."""


def believed(ramps: Ramps) -> bool:
    """Whether this can be a ramp that somebody set, and not memory that nobody wrote to.

    A virtual X server gives such memory: nothing, or noise. No curve goes to and fro by more than
    its whole height, and none shows white and black alike as nothing.
    """
    to_and_fro = any(map(_back, ramps))
    nothing = all(ramp[0] == ramp[-1] == 0 for ramp in ramps)
    return not (to_and_fro or nothing)


def _back(ramp: Sequence[int]) -> bool:
    steps = [after - before for before, after in pairwise(ramp)]
    return min(sum(s for s in steps if s > 0), -sum(s for s in steps if s < 0)) > FULL


def straight(ramp: Sequence[int]) -> bool:
    """Whether a ramp of 16-bit values is the identity, to within its own rounding."""
    steps = len(ramp) - 1
    # servers write the identity as i * FULL / steps, as i << 8, or as i * 257
    return all(abs(value - i * FULL / steps) <= 65536 / len(ramp) for i, value in enumerate(ramp))


def warm(ramps: Ramps) -> bool:
    """Whether blue is held back against red, as night light does."""
    return ramps[2][-1] < ramps[0][-1] - WARM * FULL and all(a <= b for a, b in pairwise(ramps[2]))


def ramp_guard(ramps: Ramps | None) -> Guard:
    """The guard `gamma ramp`; None where the ramp could not be read."""
    if ramps is not None and not believed(ramps):
        return Guard("unknown", "the graphics card tells numbers that are no gamma ramp")
    if ramps is None:
        return Guard("unknown", "the graphics card's gamma ramp cannot be read here")
    if all(map(straight, ramps)):
        return Guard("verified", "the graphics card's gamma ramp is straight")
    return Guard(
        "altered",
        "the graphics card's gamma ramp changes the codes on the way: turn night light and colour "
        "profiles of the desktop off",
    )


def night_guard(ramps: Ramps | None) -> Guard:
    """The guard `night light`: a warm ramp shows it, a straight one does not rule it out."""
    ramps = ramps if ramps is not None and believed(ramps) else None
    if ramps is not None and not all(map(straight, ramps)) and warm(ramps):
        return Guard("altered", "the gamma ramp is warm, as night light makes it: turn it off")
    return Guard(
        "unknown",
        "no night light shows in the gamma ramp; a desktop can tint the screen elsewhere"
        if ramps is not None
        else "whether night light is on cannot be seen here",
    )
