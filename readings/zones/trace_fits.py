"""A meter trace against lattices of zones: how well each explains it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import log

import numpy as np

from readings.zones.lattice import Floats
from readings.zones.linear import Fit, fit
from readings.zones.trace_edges import NARROWEST, Ends, dense_enough, likely_lattices

SHARE = 0.01
"""Expected noise of a reading, share of the reading; the fit finds the real one."""
FLOOR = 0.001
"""Least noise in the dark, share of the brightest reading."""
SOFT = 1.0
"""Pixels of overlap that switch a zone on: its edge is known to no better."""
Curves = tuple[tuple[float, float], ...]
CURVES: Curves = ((1.0, 1.0), (0.7, 1.0), (0.3, 1.0), (0.0, 1.0), (0.0, 0.5))
"""Drive curves (w, alpha): f = w + (1 - w) overlap^alpha as soon as the zone is touched."""
ROUGH: Curves = ((0.5, 1.0),)
"""The one that finds the counts worth a closer look."""
CANDIDATES = 8
"""Counts that are looked at closely."""
ALIKE: Ends = (1.0, 1.0)
FINER = (0.08, 0.04, 0.02, 0.01)
"""Steps by which the widths of end zones are made to fit, in zones of the usual pitch."""
UNEVEN = 0.04
"""Prior share of panels whose end zones are narrower than the others."""
ENDS_PRICE = 7.0
"""What two widths found from the trace cost, log: each is known to a fortieth of its range."""
WAVES = (1, 4, 8, 16, 32)
"""Pieces of the smooth curves that a trace without steps is compared with."""


class TraceFits:
    """One trace, and what lattices of zones make of it.

    Args:
        positions: (n,) middles of the box, pixels, in any order.
        luminances: (n,) readings, cd/m2, 0 or more and not all alike.
        side: of the box along the axis, pixels.
        size: length of the axis, pixels.
    """

    def __init__(
        self, positions: Sequence[float], luminances: Sequence[float], side: float, size: int
    ) -> None:
        order = np.argsort(positions, kind="stable")
        self._size, self._side = size, side
        self._places = np.array(positions, dtype=np.float64)[order]
        self._light = np.array(luminances, dtype=np.float64)[order]

    @property
    def step(self) -> float:
        """Usual distance from one position to the next, pixels."""
        steps = np.diff(np.unique(self._places))
        return float(np.median(steps)) if len(steps) else float(self._size)

    @property
    def dense_enough(self) -> bool:
        """Whether the box went in steps small enough for the zones that are there."""
        return dense_enough(self._light, self._noise)

    def counts(self, finest: int) -> tuple[Floats, float]:
        """Log evidence (finest - 1,) of the counts from 2, and the scatter about the best fit."""
        rough = np.array([self._best(n).evidence for n in range(2, finest + 1)])
        logs, scatter = rough + log(1 - UNEVEN), np.full(len(rough), np.inf)
        likely = likely_lattices(
            self._places, self._light, self._noise, self._side, self._size, finest, CANDIDATES
        )
        for n in self._promising(rough) | {n for n, _ in likely}:
            evidence, scatter[n - 2] = self._summed(n, ALIKE)
            logs[n - 2] = evidence + log(1 - UNEVEN)
        for n, ends in likely:
            evidence, left = self._summed(n, self._fitted(n, ends))
            evidence += log(UNEVEN) - ENDS_PRICE
            if evidence > logs[n - 2]:
                scatter[n - 2] = left
            logs[n - 2] = np.logaddexp(logs[n - 2], evidence)
        return logs, float(scatter[logs.argmax()])

    def smooth(self) -> float:
        """Log evidence of a trace without steps."""
        fits = []
        for pieces in WAVES:
            knots = np.linspace(self._places[0], self._places[-1], pieces + 1)
            hats = np.array([np.interp(self._places, knots, row) for row in np.eye(pieces + 1)])
            design = hats.T if pieces > 1 else np.ones((len(self._places), 1))
            fits.append(fit(design * self._light.max() / self._noise[:, None], self._target, 2))
        return max(each.evidence for each in fits)

    def _promising(self, rough: Floats) -> set[int]:
        """The best counts, and the halves and the double of the first."""
        best = (np.argsort(-rough, kind="stable")[:CANDIDATES] + 2).tolist()
        related = {best[0] // 2, (best[0] + 1) // 2, 2 * best[0]}
        return {n for n in {*best, *related} if 2 <= n < len(rough) + 2}

    def _fitted(self, zones: int, ends: Ends) -> Ends:
        """Widths of the ends near these that explain the trace best."""
        most = self._best(zones, ends).evidence
        for step in FINER:
            for left, right in (
                (1, 0),
                (-1, 0),
                (0, 1),
                (0, -1),
                (1, 1),
                (-1, -1),
                (1, -1),
                (-1, 1),
            ):
                while True:
                    there = ends[0] + left * step, ends[1] + right * step
                    if not (NARROWEST - 0.05 <= min(there) and max(there) <= 1.05):
                        break
                    evidence = self._best(zones, there).evidence
                    if evidence <= most:
                        break
                    ends, most = there, evidence
        return ends

    def _summed(self, zones: int, ends: Ends) -> tuple[float, float]:
        """Log evidence over all curves, and the scatter about the best fit."""
        fits = list(self._fits(zones, CURVES, 2, ends))
        total = np.logaddexp.reduce([each.evidence for each in fits]) - log(len(fits))
        return float(total), max(fits, key=lambda each: each.evidence).scatter

    def _best(self, zones: int, ends: Ends = ALIKE, rounds: int = 1) -> Fit:
        return max(self._fits(zones, ROUGH, rounds, ends), key=lambda each: each.evidence)

    def _fits(
        self,
        zones: int,
        curves: Curves,
        rounds: int,
        ends: Ends,
    ) -> Iterator[Fit]:
        """The trace explained by a lattice with each drive curve, without and with b."""
        widths = np.ones(zones)
        widths[0], widths[-1] = ends
        edges = np.concatenate(([0.0], np.cumsum(widths))) * self._size / widths.sum()
        overlap = self._overlap(edges)
        level = self._level(edges)
        full = np.minimum(self._side, np.diff(edges))
        dark = float(np.quantile(self._light, 0.05))
        for at_once, alpha in curves:
            grown = (overlap / full) ** alpha
            design = at_once * np.minimum(overlap / SOFT, 1.0) + (1 - at_once) * grown
            design /= self._noise[:, np.newaxis]
            yield fit(design * level, self._target, rounds)
            if dark > 0:
                above = np.maximum(level - dark, 0.0) + self._in_the_dark
                constant = dark / self._noise[:, np.newaxis]
                yield fit(np.hstack((design * above, constant)), self._target, rounds)

    def _overlap(self, edges: Floats) -> Floats:
        """(positions, zones) pixels of the box that lie on each zone."""
        places = self._places[:, np.newaxis]
        first = np.maximum(places - self._side / 2, edges[:-1])
        last = np.minimum(places + self._side / 2, edges[1:])
        shared: Floats = np.maximum(last - first, 0.0)
        return shared

    def _level(self, edges: Floats) -> Floats:
        """(zones,) brightest reading while the box touches the zone: the scale of its a_j."""
        reach = self._side / 2
        first = np.searchsorted(self._places, edges[:-1] - reach)
        last = np.searchsorted(self._places, edges[1:] + reach)
        most = float(self._light.max())
        pairs = zip(first, last, strict=True)
        return np.array([self._light[a:b].max() if b > a else most for a, b in pairs])

    @cached_property
    def _in_the_dark(self) -> float:
        """Noise of the dark readings, cd/m2: from one to the next, most of them the same zones."""
        dark = self._light <= np.median(self._light)
        steps = np.abs(np.diff(self._light))[dark[1:] & dark[:-1]]
        steps = steps[steps > 0]
        # a low quantile, since some steps lead over an edge; the 35th of |N(0, 2)| is 0.64
        seen = float(np.quantile(steps, 0.35)) / 0.64 if len(steps) else 0.0
        return max(seen, FLOOR * float(self._light.max()))

    @cached_property
    def _noise(self) -> Floats:
        """(positions,) expected standard deviation, cd/m2."""
        noise: Floats = np.hypot(SHARE * self._light, self._in_the_dark)
        return noise

    @cached_property
    def _target(self) -> Floats:
        target: Floats = self._light / self._noise
        return target
