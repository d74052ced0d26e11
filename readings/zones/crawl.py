"""What presses along an axis say of its number of zones: a belief over counts and end zones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from patterns.kinds.moving_box import MOST_ZONES
from readings.visit.records import Direction
from readings.zones.lattice import (
    STEP,
    STRAYS,
    Counts,
    Floats,
    finer,
    likeliest,
    most_zones,
    nobody_pressed,
    pass_likelihood,
)

NARROW = np.arange(2, 8) * STEP
"""Widths of a narrower end zone, in zones: 0.25 to 0.875."""
UNEVEN = 0.04
"""Prior share of panels whose end zones are narrower than the others."""
ONE_END = 0.75
"""Share of those where only one end is."""
LAGS = np.arange(14) * STEP
"""Lag of a press behind its edge, zones: 0 to 1.625, at about a zone a second."""
DRIFTS = np.arange(-8, 9) * STEP
"""Change of the lag from the beginning to the end of a pass, zones."""
BLIND = 0.1
"""Probability that nobody saw the hops that there were, where no hop at all was pressed."""
CANDIDATES = 8
"""Counts that a coarse look leaves to be looked at closely, and their neighbours."""
RULED_OUT = 16.0
"""Log of how much less likely than the best a count is that a coarse look rules out."""


@dataclass(frozen=True, slots=True)
class Pass:
    """The presses of one way of the box along an axis; without any, no hop was seen."""

    direction: Direction
    positions: tuple[float, ...]
    """Middle of the box at each press, pixels from the left or the top."""


@dataclass(frozen=True, slots=True)
class Belief:
    """Probabilities of (count, left end zone, right end zone); they sum to 1."""

    zones: Counts
    """(s,) counts n."""
    pitches: Floats
    """(s,) v = size / pitch: n where all zones are alike."""
    narrow: Counts
    """(s,) how many of the two end zones are narrower: 0, 1 or 2."""
    weights: Floats
    """(s,) probabilities."""
    beyond: float = 0.0
    """Probability, as far as presses tell, that there are more zones than are considered."""

    def counts(self) -> Floats:
        """Probability of each count, (MOST_ZONES + 1,); index n, and 0 at index 0."""
        counts: Floats = np.bincount(self.zones, self.weights, MOST_ZONES + 1).astype(np.float64)
        return counts

    def uneven(self) -> float:
        """Probability that an end zone is narrower than the others."""
        return float(self.weights[self.narrow > 0].sum())

    def suspecting(self, share: float) -> Belief:
        """This belief if so large a prior share of panels had one end zone narrower."""
        odds = share / (1 - share) / (UNEVEN * ONE_END / (1 - UNEVEN))
        return self.times(np.where(self.narrow == 1, odds, 1.0))

    def times(self, likelihood: Floats) -> Belief:
        """This belief after more has been seen, of the given likelihood (s,)."""
        weights = self.weights * likelihood
        return replace(self, weights=weights / weights.sum())


@cache
def _ends() -> tuple[Floats, Floats, Floats]:
    """Left and right end zones in zones, and log prior, (k,) each; the first is: all alike."""
    left = [1.0, *NARROW, *(1.0 for _ in NARROW), *NARROW]
    right = [1.0, *(1.0 for _ in NARROW), *NARROW, *NARROW]
    # the narrower an end zone, the rarer
    rarer = NARROW / NARROW.sum()
    one, both = ONE_END / 2 * rarer, (1 - ONE_END) * rarer
    prior = np.concatenate([[1 - UNEVEN], UNEVEN * one, UNEVEN * one, UNEVEN * both])
    return np.array(left), np.array(right), np.log(prior)


@cache
def _lag_prior() -> Floats:
    """Log probability of the operator's usual lag: up to 0.9 zones, and seldom anything else.

    About half a zone at a zone a second; next to none where the box goes slowly.
    """
    weights = np.exp(-0.5 * (np.log((LAGS + 0.05) / 0.5) / 0.4) ** 2)
    weights += 0.6 * np.exp(-LAGS / 0.2) + 0.004
    log: Floats = np.log(weights / weights.sum())
    return log


@cache
def _drift_prior() -> Floats:
    weights = 0.55 * np.exp(-0.5 * (DRIFTS / 0.09) ** 2) / 0.09
    weights += 0.45 * np.exp(-0.5 * (DRIFTS / 0.4) ** 2) / 0.4
    log: Floats = np.log(weights / weights.sum())
    return log


@cache
def _lag_of_a_pass() -> Floats:
    """Log probability (lags, lags) of one pass's lag, given the operator's usual one."""
    apart = (LAGS[:, None] - LAGS[None, :]) / 0.1
    weights = np.exp(-0.5 * apart**2) + 0.005
    log: Floats = np.log(weights / weights.sum(axis=1, keepdims=True))
    return log


def crawl_belief(passes: Sequence[Pass], size: int) -> Belief:
    """The belief after all passes along an axis of `size` pixels.

    Before them every count from 1 to :func:`most_zones` is as likely as any other. Passes share the
    usual lag of the operator, always behind the box's way; drift and spread are each pass's own.
    """
    pressed = [(each.direction, _places(each, size)) for each in passes if each.positions]
    without = len(passes) - len(pressed)
    counts = _promising([own for _, own in pressed], without, most_zones(size))
    left, right, prior = _ends()
    narrow = (left < 1).astype(int) + (right < 1)
    parts = []
    for n, alone in zip(counts, without * _unpressed(counts), strict=True):
        # one edge, or none, tells nothing of the widths of the ends: they count as alike
        kept = slice(0, 1) if n < 3 else slice(None)
        share = prior[kept] - np.logaddexp.reduce(prior[kept])
        total = np.broadcast_to(_lag_prior(), (len(left[kept]), len(LAGS)))
        for direction, own in pressed:
            begin, end = (left, right) if direction == "forward" else (right, left)
            total = total + _one_pass(own, int(n), begin[kept], end[kept])
        logs = np.logaddexp.reduce(total, axis=1) + share + alone
        zones = np.full(len(logs), n)
        parts.append((zones, n - 2 + left[kept] + right[kept], narrow[kept], logs))
    zones, pitches, ends, log = (np.concatenate(part) for part in zip(*parts, strict=True))
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    if without and not pressed:
        weights = (1 - BLIND) * weights + BLIND * (ends == 0) / len(counts)
    beyond = 0.0
    if pressed:
        more = sum(finer(len(each.positions), most_zones(size)) for each in passes)
        apart = np.logaddexp.reduce(log) - np.logaddexp.reduce(more)
        beyond = float(1 / (1 + np.exp(np.clip(apart, -700, 700))))
    return Belief(zones, pitches, ends, weights, beyond)


def _unpressed(counts: Counts) -> Floats:
    """Log likelihood (k,) of a pass without a press; one zone has no edge that could be missed."""
    return np.where(counts < 2, 0.0, nobody_pressed(counts))


def _places(each: Pass, size: int) -> Floats:
    """Presses as shares of the axis from the end where the box began, rising."""
    share = np.array(each.positions, dtype=np.float64) / size
    return np.sort(share if each.direction == "forward" else 1 - share)


def _one_pass(places: Floats, zones: int, begin: Floats, end: Floats) -> Floats:
    """Log likelihood (ends, lags) of a pass, its drift and its own lag summed out."""
    if zones == 1:
        return np.full((len(begin), len(LAGS)), len(places) * np.log(STRAYS))
    low = zones - 1.5 - 1.0
    pitches = np.arange(low, zones + 1 + STEP / 2, STEP)
    positive = np.maximum(pitches, 0.25)[None, :]
    shifts = np.arange(-0.25, LAGS[-1] + 1.5 + STEP / 4, STEP / 2)
    grid = pass_likelihood(places, np.array([zones]), positive, shifts)[0]
    pitch = (zones - 2 + begin + end)[:, None] - DRIFTS
    row = np.rint((pitch - low) / STEP).astype(int)
    shift = begin[:, None, None] + LAGS - DRIFTS[None, :, None] / 2
    column = np.rint((shift + 0.25) / (STEP / 2)).astype(int)
    by_drift = grid[row[:, :, None], column] + _drift_prior()[None, :, None]
    by_lag = np.logaddexp.reduce(by_drift, axis=1)
    mixed: Floats = np.logaddexp.reduce(by_lag[:, None, :] + _lag_of_a_pass(), axis=2)
    return mixed


def _promising(places: Sequence[Floats], without: int, most: int) -> Counts:
    """Counts up to `most` that a coarse look at lattices of even zones does not rule out.

    Args:
        places: presses of each pass that has any; without such passes no count is ruled out.
        without: how many passes have none.
        most: the largest count.
    """
    counts = np.arange(1, most + 1)
    if not places:
        return counts
    shifts, spreads = np.arange(0.5, 2.5, 0.2), slice(1, 4, 2)
    scores = without * _unpressed(counts)
    scores[0] += sum(map(len, places)) * np.log(STRAYS)
    can_be = scores[1:] + sum(likeliest(len(own), counts[1:], spreads=spreads) for own in places)
    scores[1:] += -np.inf

    def look(at: Counts) -> None:
        near = np.stack([at - 0.5, at], axis=1)
        scores[at - 1] = without * _unpressed(at)
        for own in places:
            close = pass_likelihood(own, at, near, shifts, spreads=spreads)
            scores[at - 1] += close.max(axis=(1, 2))

    # first where nearly each edge has a press; that rules most others out before they are looked at
    usual = min(max(map(len, places)) + 1, most)
    likely = np.abs(counts[1:] - usual) <= usual // 10 + 1
    look(counts[1:][likely])
    look(counts[1:][~likely & (can_be > scores.max() - RULED_OUT)])
    best = np.argsort(scores)[::-1][:CANDIDATES]
    best = best[scores[best] > scores.max() - RULED_OUT] + 1
    around = (best[:2, None] + np.arange(-2, 3)).ravel()
    return np.unique(np.clip(np.concatenate([best, around]), 1, most))
