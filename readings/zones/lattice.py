"""One pass of presses against a lattice of zone edges: the likelihood on a grid of lattices.

Everything is counted in zones. An axis of `size` pixels holds n zones: n - 2 of pitch p and two
at the ends of e_left p and e_right p, so that size = v p with v = n - 2 + e_left + e_right; all
alike means e = 1 and v = n. Edge j = 0 .. n - 2 lies at (e_left + j) p. A press made `lag` zones
after the edge, with a lag that grows by `drift` zones from one end to the other, lies at
u = x (v - drift) / size - shift = j + error, where shift = e_left + lag - drift / 2. So drift and
narrow zones at the ends act alike on the pitch, and only the shift tells them apart.

Presses are taken as a Poisson process along u: q of them per edge, spread about it, and a few
anywhere. That does not ask which press belongs to which edge, and so neither a run of missed
edges nor doubled presses upset it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from patterns.kinds.moving_box import MOST_ZONES

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.int_]
Table = npt.NDArray[np.float32]

SMALLEST_ZONE = 2
"""Pixels of the smallest zone: those of a comb's smallest box and a gap beside it."""
STEP = 0.125
"""Step of the grids of pitch, drift, lag and narrow zones, in zones."""
SPREADS = (0.10, 0.16, 0.24, 0.38)
"""Standard deviation of a press about its edge, zones."""
SPREAD_WEIGHTS = (0.2, 0.35, 0.3, 0.15)
MISSED = np.array([0.03, 0.08, 0.15, 0.25, 0.4, 0.6])
"""Share of edges without a press, here and there."""
MISSED_WEIGHTS = np.array([0.2, 0.3, 0.23, 0.15, 0.09, 0.03])
LOST = 0.1
"""Share of passes in which attention is lost once, over several edges in a row."""
LONGEST_LOSS = 10
"""Most edges in a row that are lost so."""
DOUBLED = 0.15
"""Weight of a second press at an edge, CLOSE behind the first: 0.05 of them, and 3 times as dense
there as a press about its edge."""
CLOSE = 0.4
"""Zones behind the first press within which the second one lies."""
AGAIN = 0.03
"""Chance of one press more at an edge from elsewhere: a stray, or its neighbour's."""
STRAYS = 0.04
"""Share of presses that have nothing to do with an edge."""
DOUBLES = 0.05
"""Share of presses that come once more, shortly after."""
LAST_SPREAD = 0.2
"""Spread of the press at the last edge, zones."""
BEYOND = 0.5
"""Share of presses that are kept though the box has come to the end of the axis."""
USUAL_MISSED = 0.1
"""Share of edges without a press that the last edge is compared with."""
FINER = 3
"""Times as many zones again that presses may be of, beyond those that are considered."""
_FINE = 100
_REACH = 3.0
_AT_ONCE = 500_000
"""Presses times lattices that are looked at together: it bounds the memory."""


def most_zones(size: int) -> int:
    """Largest number of zones considered along an axis of `size` pixels, 2 to MOST_ZONES."""
    return max(2, min(MOST_ZONES, size // SMALLEST_ZONE))


@cache
def spread_tables() -> Table:
    """Log density (4, bins) of a press at r zones from the nearest edge, for each spread."""
    r = np.arange(-_REACH * _FINE, _REACH * _FINE + 1) / _FINE
    rows = []
    for spread in SPREADS:
        density = np.zeros_like(r)
        # between edges the neighbours count too; beyond the last there is none
        for neighbour in (-1, 0, 1):
            near = (np.abs(r) <= 0.5) | (neighbour == 0)
            density += near * _press(r - neighbour, spread)
        rows.append(np.log((1 - STRAYS) * density + STRAYS))
    return np.array(rows, dtype=np.float32)


def _press(r: Floats, spread: float) -> Floats:
    return (1 - DOUBLES) * _normal(r, spread) + DOUBLES * _normal(r - 0.25, spread + 0.1)


def _normal(r: Floats, spread: float) -> Floats:
    density: Floats = np.exp(-0.5 * (r / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    return density


def pass_likelihood(
    places: Floats,
    zones: Counts,
    pitches: Floats,
    shifts: Floats,
    *,
    spreads: slice = slice(None),
) -> Floats:
    """Log likelihood of one pass for each lattice, spread and share of misses summed out.

    Args:
        places: (p,) the presses as shares of the axis, 0 to 1, rising, from where the box began.
        zones: (k,) counts n, 2 or more; there are n - 1 edges.
        pitches: (k, a) apparent zones along the axis, v - drift.
        shifts: (b,) where the first edge seems to lie, zones.
        spreads: which of SPREADS to sum over.

    Returns:
        (k, a, b), natural logarithm, but for a constant that is the same for every lattice.
    """
    if not len(places):
        return np.broadcast_to(nobody_pressed(zones)[:, None, None], (*pitches.shape, len(shifts)))
    edges = np.broadcast_to((zones - 1)[:, None], pitches.shape).ravel()
    rows = pitches.ravel()
    many = max(1, _AT_ONCE // (len(places) * len(shifts)))
    found = np.empty((len(rows), len(shifts)))
    for at in range(0, len(rows), many):
        these = slice(at, at + many)
        found[these] = _lattices(places, edges[these], rows[these], shifts, spreads)
    return found.reshape(*pitches.shape, len(shifts))


def nobody_pressed(zones: Counts) -> Floats:
    """Log likelihood (k,) of a pass without any press, for counts (k,) of 1 or more."""
    edges = zones - 1
    return _pressed(edges, np.minimum(edges, LONGEST_LOSS), np.zeros_like(edges))


def likeliest(count: int, zones: Counts, *, spreads: slice = slice(None)) -> Floats:
    """What :func:`pass_likelihood` can be at most (k,) for so many presses and counts (k,).

    As if every press lay at its edge, or close behind one that has a press.
    """
    edges = zones - 1
    each = float(spread_tables()[spreads].max()) + np.log(DOUBLED) + np.log(zones)
    most: Floats = count * each + _fewest_missed()[edges, np.minimum(edges, count)]
    return most - float(np.log(USUAL_MISSED))


def finer(count: int, most: int) -> Floats:
    """Log likelihood (most * FINER,) of so many presses for each count of zones beyond `most`.

    Wherever the presses lie: those of finer lattices lie anywhere on the coarser ones.
    """
    edges = most + np.arange(most * FINER)
    held = np.minimum(count, edges)[:, None]
    missed = np.log(MISSED) * (edges[:, None] - held) + np.log(1 - MISSED) * held
    rates = np.logaddexp.reduce(missed + np.log(MISSED_WEIGHTS), axis=1)
    log: Floats = rates + (count - held[:, 0]) * np.log(AGAIN) + count * np.log(edges + 1)
    return log


def _lattices(
    places: Floats, edges: Counts, pitches: Floats, shifts: Floats, spreads: slice
) -> Floats:
    """The same (r, b) for lattices (r,) of so many edges (r,)."""
    count = len(places)
    u = np.multiply.outer(pitches, places).astype(np.float32)[:, None, :]
    u = u - shifts.astype(np.float32)[:, None]
    nearest = np.rint(u)
    last = (edges - 1)[:, None]
    np.clip(nearest, 0, last[:, :, None], out=nearest)
    steps = np.diff(nearest, axis=-1)
    held = 1 + np.count_nonzero(steps, axis=-1)
    close = np.diff(places) * pitches[:, None] < CLOSE
    doubled = np.count_nonzero((steps == 0) & close[:, None, :], axis=-1)
    gap = np.maximum(nearest[..., 0], last - nearest[..., -1])
    if count > 1:
        gap = np.maximum(gap, steps.max(axis=-1) - 1)
    u -= nearest
    u += np.float32(_REACH + 0.5 / _FINE)
    u *= np.float32(_FINE)
    bins = u.astype(np.intp)
    logs = np.stack(
        [table.take(bins, mode="clip").sum(axis=-1) for table in spread_tables()[spreads]]
    )
    weights = np.log(np.array(SPREAD_WEIGHTS)[spreads])[:, None, None]
    summed: Floats = np.logaddexp.reduce(logs.astype(np.float64) + weights, axis=0)
    room = pitches[:, None] - shifts - last
    summed += _last_edge(room, nearest[..., -1] == last)
    gap = np.minimum(gap, LONGEST_LOSS).astype(np.intp)
    rates = _pressed(edges[:, None], gap, held)
    rates = rates + doubled * np.log(DOUBLED) + (count - held - doubled) * np.log(AGAIN)
    summed += rates + count * np.log(pitches)[:, None]
    return summed


def _last_edge(room: Floats, held: npt.NDArray[np.bool_]) -> Floats:
    """Log factor for the last edge, whose press may come when the box has left the axis.

    Args:
        room: zones from where the last press is due to the end of the axis; below 0 beyond it.
        held: whether a press lies there.
    """
    seen = np.clip(_normal_share(room / LAST_SPREAD), BEYOND, 1.0)
    missed = (1 - (1 - USUAL_MISSED) * seen) / USUAL_MISSED
    factor: Floats = np.log(np.where(held, seen, missed))
    return factor


def _normal_share(z: Floats) -> Floats:
    """Share of a normal distribution below z, to 0.02 (a logistic curve)."""
    share: Floats = 1 / (1 + np.exp(-1.702 * np.clip(z, -20, 20)))
    return share


def _pressed(edges: Counts, gap: Counts, held: Counts) -> Floats:
    """Log probability of which edges have a press.

    By how many edges there are, by the longest row of them without a press (longer ones count as
    LONGEST_LOSS), and by how many have one. Some are missed here and there; once in a while one
    row of them is lost on top.
    """
    without = np.maximum(edges - held, 0)
    begin = LONGEST_LOSS * np.maximum(edges, 1)
    on_top = _here_and_there()[np.maximum(without - gap, 0), held]
    log: Floats = np.log((1 - LOST) * _here_and_there()[without, held] + LOST / begin * on_top)
    return log


@cache
def _here_and_there() -> Floats:
    """Probability that so many edges are missed here and there, so many not: MOST_ZONES each."""
    many = np.arange(MOST_ZONES)[:, None]
    chances: Floats = (MISSED**many * MISSED_WEIGHTS) @ ((1 - MISSED) ** many).T
    return chances


@cache
def _fewest_missed() -> Floats:
    """By edges e and presses p, MOST_ZONES each: what the missed and doubled ones cost at least.

    Log of the probability that at most p edges have a press, less what a second press at an edge
    costs for each of them.
    """
    edges, held = np.ix_(np.arange(MOST_ZONES), np.arange(MOST_ZONES))
    gap = np.full_like(edges, LONGEST_LOSS)
    costs = _pressed(edges, gap, held) - held * np.log(DOUBLED)
    most: Floats = np.maximum.accumulate(np.where(held <= edges, costs, -np.inf), axis=1)
    return most
