"""Where a meter trace jumps, and the lattices of zones whose edges lie there.

Each time the box touches a zone or leaves one, the trace jumps. For every place of the axis it is
looked up how far the trace jumps where the box would touch and where it would leave an edge there;
for every count and every width of the zones at the ends that is summed over the edges. Quick and
rough: it only finds what is worth a closer look.
"""

from __future__ import annotations

import numpy as np

from readings.zones.lattice import Floats

Ends = tuple[float, float]
"""Widths of the first and the last zone, in zones of the usual pitch."""
NARROWEST = 0.2
FINEST = 33
"""Widths from NARROWEST to 1 that are tried for each end, at most."""
CHANCE = 3.0
"""Jumps below this, in standard deviations, may be chance."""
MOST_WORTH = 6.0
"""A jump counts for no more than this: one bright edge is still one edge."""
PLAIN = 4.0
"""Light of the zones, in standard deviations of a jump, above which none could be missed."""
BRIGHT = 6.0
"""Light of the zones, in standard deviations of a jump, from which readings are judged alone."""
FEWEST_BRIGHT = 24
"""Such readings below which nothing is known of how the trace goes up and down."""
TURNS = 0.44
"""Turns from up to down or back for each of them. A zone has two: above this it has fewer than
five positions of the box, and finer zones pass for coarser ones, as a wheel in a film stands."""


def dense_enough(light: Floats, noise: Floats) -> bool:
    """Whether the box went in steps small enough for the zones that are there.

    `light` and `noise` (n,) are in the order of the places, cd/m2.
    """
    scatter = np.hypot(noise[1:], noise[:-1])
    jumps = np.diff(light) / scatter
    bright = _above_dark(light) > BRIGHT * scatter
    plain = np.sign(jumps[bright & (np.abs(jumps) > CHANCE + 1)])
    turns = np.count_nonzero(np.diff(plain))
    return bool(bright.sum() >= FEWEST_BRIGHT and turns <= TURNS * bright.sum())


def likely_lattices(
    places: Floats, light: Floats, noise: Floats, side: float, size: int, finest: int, many: int
) -> list[tuple[int, Ends]]:
    """The likeliest lattices, no two with the same count, the best first.

    Args:
        places: (n,) middles of the box, pixels, rising.
        light: (n,) readings, cd/m2.
        noise: (n,) their standard deviations, cd/m2.
        side: of the box, pixels.
        size: of the axis, pixels.
        finest: largest count.
        many: lattices at most.
    """
    worth = _worth(places, light, noise, side, size)
    step = float(np.median(np.diff(places)))
    best = []
    for zones in range(2, finest + 1):
        left, right = _ends(zones, size / zones / step)
        pitches = size / (zones - 2 + left + right)
        edges = (left[:, np.newaxis] + np.arange(zones - 1)) * pitches[:, np.newaxis]
        scores = worth[np.rint(edges).astype(int)].sum(axis=1)
        first = int(scores.argmax())
        best.append((float(scores[first]), zones, (float(left[first]), float(right[first]))))
    return [(zones, ends) for _, zones, ends in sorted(best, reverse=True)[:many]]


def _worth(places: Floats, light: Floats, noise: Floats, side: float, size: int) -> Floats:
    """(size + 1,) how much speaks for an edge at each pixel of the axis; below 0, against one."""
    scatter = np.hypot(noise[1:], noise[:-1])
    jumps = np.abs(np.diff(light)) / scatter
    seen = np.clip(_above_dark(light) / scatter / PLAIN, 0.0, 1.0)
    each = np.clip(jumps - CHANCE, -CHANCE, MOST_WORTH)
    each = np.where(each < 0, each * seen, each)
    pixels = np.arange(size + 1)
    total = np.zeros(size + 1)
    for place in (pixels - side / 2, pixels + side / 2):
        between = np.searchsorted(places, place) - 1
        held = (between >= 0) & (between < len(each))
        total += np.where(held, each[np.clip(between, 0, len(each) - 1)], 0.0)
    return total


def _above_dark(light: Floats) -> Floats:
    """(n - 1,) how far both of two neighbouring readings are above the darkest, cd/m2."""
    above: Floats = np.minimum(light[1:], light[:-1]) - np.quantile(light, 0.05)
    return above


def _ends(zones: int, positions: float) -> tuple[Floats, Floats]:
    """Widths of both ends (k,), as finely as `positions` of the box in a zone can tell."""
    count = int(np.clip(1.2 * positions + 1, 3, FINEST))
    widths = np.linspace(NARROWEST, 1.0, count)
    if zones == 2:
        # two zones are alike, or one of them is narrower
        return np.concatenate((widths, np.ones(count))), np.concatenate((np.ones(count), widths))
    left, right = np.meshgrid(widths, widths, indexing="ij")
    return left.ravel(), right.ravel()
