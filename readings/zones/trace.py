"""What a meter on a dark spot says of a count, while a small box steps along an axis.

With the box at x the zones that it touches are on, and each throws a little of its light on the
spot: L(x) = sum over zones j of f(overlap of the box with zone j) a_j + b, with a_j free and not
negative, b what is there without a box, and f one of a few drive curves. Zones begin at the
screen's edge, so that a count fixes where each of them lies; what remains is how well the best
a_j explain the trace, and how many of them it took (the evidence of a linear model with a prior
on each a_j: twice the zones explain a trace as well, with twice the a_j).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, log

import numpy as np

from patterns.kinds.moving_box import MOST_ZONES
from readings.zones.lattice import Floats, most_zones
from readings.zones.trace_fits import TraceFits

FEWEST_POSITIONS = 40
"""Positions of the box below which a trace says nothing."""
A_ZONE = 4
"""Positions a zone needs to be seen as one; with fewer, finer zones pass for coarser ones."""
FINEST = 200
"""Counts beyond this are taken to be as likely as a trace without steps: they would need more
positions than anybody waits for."""
BLIND = 0.05
"""Share of traces that show nothing of the zones: the spot is too far, or too bright."""
BADLY = 1.6
"""Scatter about the best fit, of the expected noise, above which a trace is not trusted."""
DOUBT = 0.02
"""Share of traces that mislead, whatever they seem to say."""
DOUBT_BADLY = 0.5
"""The same of traces that no lattice of zones explains well."""


@dataclass(frozen=True)
class Trace:
    """Luminance of a fixed dark spot while a box steps along an axis.

    Raises ValueError where the positions and readings are no pairs, or not finite.
    """

    positions: tuple[float, ...]
    """Middle of the box, pixels from the left or the top, in any order."""
    luminances: tuple[float, ...]
    """Settled reading at each of them, cd/m2, 0 or more."""
    side: float
    """Of the box along the axis, pixels."""

    def __post_init__(self) -> None:
        if len(self.positions) != len(self.luminances):
            raise ValueError(
                f"A trace has a reading for each position, not {len(self.luminances)} for "
                f"{len(self.positions)}."
            )
        if not all(map(isfinite, (*self.positions, *self.luminances, self.side))):
            raise ValueError("A trace has a number that is not finite.")
        if min(self.luminances, default=0.0) < 0 or self.side <= 0:
            raise ValueError("Readings of a trace are 0 cd/m2 or more, and its box above 0 pixels.")


@lru_cache(maxsize=32)
def trace_likelihood(trace: Trace, size: int) -> Floats:
    """Likelihood of each count of zones along an axis of `size` pixels, in relation to the others.

    Flat from 1 to :func:`most_zones` where the trace can't tell: too few positions, no light of the
    box on the spot, no steps in it, or the finest zones that it can tell are the likeliest. One
    zone alone gives no steps and can't be told from none seen. Counts finer than A_ZONE positions
    a zone are as likely as a trace without steps.

    Takes a second once; then it is kept.

    Returns:
        (MOST_ZONES + 1,) read-only, index n, 0 at index 0; the sum is 1.
    """
    likelihood = _likelihood(trace, size)
    likelihood.setflags(write=False)
    return likelihood


def _likelihood(trace: Trace, size: int) -> Floats:
    most = most_zones(size)
    flat = np.zeros(MOST_ZONES + 1)
    flat[1 : most + 1] = 1 / most
    if len(trace.positions) < FEWEST_POSITIONS or min(trace.luminances) == max(trace.luminances):
        return flat
    fits = TraceFits(trace.positions, trace.luminances, trace.side, size)
    finest = min(most, FINEST, int(size / (A_ZONE * fits.step)))
    if finest < 2 or not fits.dense_enough:
        return flat
    logs = np.full(MOST_ZONES + 1, -np.inf)
    logs[2 : finest + 1], scatter = fits.counts(finest)
    if logs.argmax() == finest:
        return flat  # it may well be finer still
    logs = np.logaddexp(logs + log(1 - BLIND), fits.smooth() + log(BLIND))
    logs[flat == 0] = -np.inf
    likelihood = np.exp(logs - logs.max())
    doubt = DOUBT if scatter < BADLY else DOUBT_BADLY
    told: Floats = (1 - doubt) * likelihood / likelihood.sum() + doubt * flat
    return told
