"""What presses along an axis say of its number of zones: a belief over counts and end zones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from readings.records import Direction
from readings.zones.lattice import STEP, Floats, pass_likelihood

MOST = 200
"""Largest number of zones along an axis that is considered."""
NARROW = np.arange(2, 8) * STEP
"""Widths of a narrower end zone, in zones: 0.25 to 0.875."""
UNEVEN = 0.04
"""Prior share of panels whose end zones are narrower than the others."""
LAGS = np.arange(14) * STEP
"""Lag of a press behind its edge, zones: 0 to 1.625, at about a zone a second."""
DRIFTS = np.arange(-8, 9) * STEP
"""Change of the lag from the beginning to the end of a pass, zones."""
CANDIDATES = 8
"""Counts that a coarse look leaves to be looked at closely, and their neighbours."""


@dataclass(frozen=True, slots=True)
class Pass:
    """The presses of one way of the box along an axis; without any, no hop was seen."""

    direction: Direction
    positions: tuple[float, ...]
    """Middle of the box at each press, pixels from the left or the top."""


@dataclass(frozen=True, slots=True)
class Belief:
    """Probabilities of (count, left end zone, right end zone); they sum to 1."""

    zones: Floats
    """(s,) counts n."""
    pitches: Floats
    """(s,) v = size / pitch: n where all zones are alike."""
    weights: Floats
    """(s,) probabilities."""

    def counts(self) -> Floats:
        """Probability of each count, (MOST + 1,); index n, and 0 at index 0."""
        return np.bincount(self.zones.astype(int), self.weights, MOST + 1)

    def uneven(self) -> float:
        """Probability that an end zone is narrower than the others."""
        return float(self.weights[self.pitches != self.zones].sum())

    def times(self, likelihood: Floats) -> Belief:
        """This belief after more has been seen, of the given likelihood (s,)."""
        weights = self.weights * likelihood
        return Belief(self.zones, self.pitches, weights / weights.sum())


@cache
def _ends() -> tuple[Floats, Floats, Floats]:
    """Left and right end zones in zones, and log prior, (k,) each; the first is: all alike."""
    left = [1.0, *NARROW, *(1.0 for _ in NARROW), *NARROW]
    right = [1.0, *(1.0 for _ in NARROW), *NARROW, *NARROW]
    # the narrower an end zone, the rarer
    prior = np.array(left) * np.array(right)
    prior *= UNEVEN / prior[1:].sum()
    prior[0] = 1 - UNEVEN
    return np.array(left), np.array(right), np.log(prior)


@cache
def _lag_prior() -> Floats:
    weights = np.exp(-0.5 * (np.log((LAGS + 0.05) / 0.45) / 0.6) ** 2) + 0.01
    return np.log(weights / weights.sum())


@cache
def _drift_prior() -> Floats:
    weights = 0.55 * np.exp(-0.5 * (DRIFTS / 0.09) ** 2) / 0.09
    weights += 0.45 * np.exp(-0.5 * (DRIFTS / 0.4) ** 2) / 0.4
    return np.log(weights / weights.sum())


@cache
def _lag_of_a_pass() -> Floats:
    """Log probability (lags, lags) of one pass's lag, given the operator's usual one."""
    apart = (LAGS[:, None] - LAGS[None, :]) / 0.1
    weights = np.exp(-0.5 * apart**2) + 0.005
    return np.log(weights / weights.sum(axis=1, keepdims=True))


def crawl_belief(passes: Sequence[Pass], size: int) -> Belief:
    """The belief after all passes along an axis of `size` pixels.

    Before them every count from 1 to MOST is as likely as any other. Passes share the usual lag
    of the operator, always behind the box's way; drift and spread are each pass's own.
    """
    places = [_places(each, size) for each in passes]
    counts = _promising(places) if any(len(each) for each in places) else np.arange(1, MOST + 1)
    left, right, prior = _ends()
    zones, pitches, logs = [], [], []
    for n in counts:
        if n < 3:
            # one edge, or none, tells nothing of the widths of the ends
            kept = slice(0, 1)
        else:
            kept = slice(None)
        total = _lag_prior()[None, :] + np.zeros((len(left[kept]), 1))
        for each, own in zip(passes, places, strict=True):
            begin, end = (left, right) if each.direction == "forward" else (right, left)
            total = total + _one_pass(own, int(n), begin[kept], end[kept])
        logs.append(np.logaddexp.reduce(total, axis=1) + prior[kept])
        zones.append(np.full(len(logs[-1]), float(n)))
        pitches.append(n - 2 + left[kept] + right[kept])
    log = np.concatenate(logs)
    weights = np.exp(log - log.max())
    return Belief(np.concatenate(zones), np.concatenate(pitches), weights / weights.sum())


def _places(each: Pass, size: int) -> Floats:
    """Presses as shares of the axis from the end where the box began."""
    share = np.array(each.positions, dtype=np.float64) / size
    return share if each.direction == "forward" else 1 - share


def _one_pass(places: Floats, zones: int, begin: Floats, end: Floats) -> Floats:
    """Log likelihood (ends, lags) of a pass, its drift and its own lag summed out."""
    low = zones - 1.5 - 1.0
    pitches = np.arange(low, zones + 1 + STEP / 2, STEP)
    positive = np.maximum(pitches, 0.25)
    shifts = np.arange(-0.25, LAGS[-1] + 1.5 + STEP / 4, STEP / 2)
    if not len(places):
        return np.full(
            (len(begin), len(LAGS)), pass_likelihood(places, zones, positive, shifts)[0, 0]
        )
    grid = pass_likelihood(places, zones, positive, shifts)
    pitch = (zones - 2 + begin + end)[:, None] - DRIFTS
    row = np.rint((pitch - low) / STEP).astype(int)
    shift = begin[:, None, None] + LAGS - DRIFTS[None, :, None] / 2
    column = np.rint((shift + 0.25) / (STEP / 2)).astype(int)
    by_drift = grid[row[:, :, None], column] + _drift_prior()[None, :, None]
    by_lag = np.logaddexp.reduce(by_drift, axis=1)
    mixed: Floats = np.logaddexp.reduce(by_lag[:, None, :] + _lag_of_a_pass(), axis=2)
    return mixed


def _promising(places: Sequence[Floats]) -> Floats:
    """Counts that a coarse look at lattices of even zones does not rule out."""
    shifts = np.arange(0.5, 2.5, 0.2)
    scores = np.zeros(MOST + 1)
    scores[0] = -np.inf
    for n in range(1, MOST + 1):
        for own in places:
            if len(own):
                near = np.maximum(n + np.array([-0.5, 0.0]), 0.25)
                scores[n] += pass_likelihood(own, n, near, shifts, spreads=slice(1, 4, 2)).max()
    best = np.argsort(scores)[::-1][:CANDIDATES]
    best = best[scores[best] > scores.max() - 16]
    around = (best[:2, None] + np.arange(-2, 3)).ravel()
    return np.unique(np.clip(np.concatenate([best, around]), 1, MOST))
