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

Floats = npt.NDArray[np.float64]
Table = npt.NDArray[np.float32]

STEP = 0.125
"""Step of the grids of pitch, drift, lag and narrow zones, in zones."""
SPREADS = (0.10, 0.16, 0.24, 0.38)
"""Standard deviation of a press about its edge, zones."""
SPREAD_WEIGHTS = (0.2, 0.35, 0.3, 0.15)
RATES = np.array([0.2, 0.4, 0.6, 0.75, 0.85, 0.95, 1.05, 1.2])
"""Presses per edge: below 1 where presses are missed."""
RATE_WEIGHTS = np.array([0.03, 0.06, 0.11, 0.15, 0.2, 0.25, 0.15, 0.05])
STRAYS = 0.04
"""Share of presses that have nothing to do with an edge."""
DOUBLES = 0.05
"""Share of presses that come once more, shortly after."""
_FINE = 100
_REACH = 3.0


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
    places: Floats, zones: int, pitches: Floats, shifts: Floats, *, spreads: slice = slice(None)
) -> Floats:
    """Log likelihood of one pass for each lattice, spread and rate of presses summed out.

    Args:
        places: the presses as shares of the axis, 0 to 1, from the end where the box began.
        zones: n; there are n - 1 edges.
        pitches: (a,) apparent zones along the axis, v - drift.
        shifts: (b,) where the first edge seems to lie, zones.
        spreads: which of SPREADS to sum over.

    Returns:
        (a, b), natural logarithm, but for a constant that is the same for every lattice.
    """
    count = len(places)
    rates = np.log(RATE_WEIGHTS) + count * np.log(RATES) - RATES * (zones - 1 + STRAYS)
    rate = np.logaddexp.reduce(rates)
    if not count:
        return np.full((len(pitches), len(shifts)), rate)
    u = np.asarray(
        np.multiply.outer(pitches, places)[:, None, :] - shifts[None, :, None], dtype=np.float32
    )
    if zones > 1:
        r = u - np.clip(np.rint(u), 0, zones - 2)
        bins = np.clip((r + np.float32(_REACH)) * _FINE + np.float32(0.5), 0, 2 * _REACH * _FINE)
        index = bins.astype(np.int16)
        logs = np.stack([table[index].sum(axis=2) for table in spread_tables()[spreads]])
    else:
        logs = np.full((1, len(pitches), len(shifts)), count * np.log(STRAYS))
    weights = np.log(np.array(SPREAD_WEIGHTS)[spreads])[: len(logs), None, None]
    summed: Floats = np.logaddexp.reduce(logs.astype(np.float64) + weights, axis=0)
    return summed + count * np.log(pitches)[:, None] + rate
