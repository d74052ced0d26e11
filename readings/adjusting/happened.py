"""What was told of turns and readings, and what is taken to have happened.

People slip, menus act late, displays change by themselves. A reading that is twice unlike what was
expected is explained by what makes all readings likeliest, less what each explanation has against
it: logarithms of how seldom it happens, choices of our own tried on simulated displays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from readings.adjusting.belief import Belief, Jump, Seen
from readings.adjusting.priors import Hats

Floats = NDArray[np.float64]

WIDER = (3.0, 10.0, 30.0)
"""By how much wider a control is supposed to act that did what nobody expected."""
NOBODY_TOLD = 5.0
"""By how much less likely (logarithm) it is that something changed that nobody told."""
ONE_POINT = 3.0
"""The same of one point that does not do as its controls let expect."""
A_SLIP = 4.5
"""The same of a slip of who turned: a few in a hundred turns."""
ACTS_LATE = 4.0
"""The same of a menu that acts late."""
ELSEWHERE = 3.0
"""The same of points of a menu that act elsewhere than was supposed."""
LAGS = (2.5, 5.0, 8.0)
"""Seconds after which a menu may act that acts late."""
MANY = 120
"""Readings from which on fewer ways to explain a reading are tried: they take time."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A way to explain a reading that nobody expected; with none of them, the sizes do."""

    slips: tuple[tuple[int, float], ...] = ()
    """Controls that were turned by other clicks than was told, each with by how many more."""
    jump: Jump | None = None
    lag: float = 0.0
    opened: tuple[int, ...] = ()
    wider: float = 1.0
    hats: Hats | None = None
    """Where points act, elsewhere than was supposed."""


@dataclass(frozen=True, slots=True)
class Explained:
    """A reading as it is taken.

    Args:
        seen: with the settings and events that make it likeliest.
        everywhere: whether all points have changed.
        late: whether it is of settings before the last turn.
    """

    seen: Seen
    everywhere: bool = False
    late: bool = False


class Happened:
    """Keeps what was set and when, as it is taken to be.

    Args:
        belief: what readings say.
        least: (k,) clicks from as found to each control's lowest.
        most: (k,) to its highest.
        pages: (k,) which page of the menu each control is on.
    """

    def __init__(
        self, belief: Belief, least: Floats, most: Floats, pages: NDArray[np.intp]
    ) -> None:
        self.belief = belief
        self._least, self._most, self._pages = least.copy(), most.copy(), pages
        self.clicks = np.zeros(len(least))
        """(k,) now."""
        self.before = self.clicks.copy()
        """(k,) at the last reading that was taken."""
        self.at = 0.0
        """When something was told last."""
        self.turned_at = -np.inf
        self.lag = 0.0
        """Seconds after which the menu acts."""
        self.jumps: tuple[Jump, ...] = ()
        self._events = 0
        self._slipped: list[int] = []
        """Controls at which a slip was supposed."""
        self._settings: list[tuple[float, Floats]] = [(-np.inf, self.clicks.copy())]
        """What was set, and when."""

    def turn(self, control: int, clicks: float, at: float) -> None:
        """A control was turned by some clicks."""
        self.at = self.turned_at = at
        self.clicks = self.clicks.copy()
        self.clicks[control] += clicks
        self._settings.append((at, self.clicks.copy()))

    @property
    def turned(self) -> list[int]:
        """Controls that were turned since the last reading that was taken."""
        return [int(k) for k in np.flatnonzero(self.clicks != self.before)]

    @property
    def acts(self) -> bool:
        """Whether what was turned last has come to act, as far as is known."""
        return self.at >= self.turned_at + self.lag

    def seen(self, point: int, drives: Floats, noise: Floats) -> Seen:
        """A reading at this moment, of what was set then."""
        seen = Seen(point, drives, noise, self.clicks.copy(), self.at, self.jumps)
        return self._late(seen, self.lag) if self.lag else seen

    def take(self, seen: Seen) -> None:
        """A reading is taken: what it saw acting is what was before what comes."""
        self.before = seen.clicks.copy()

    def explain(self, first: Seen, second: Seen) -> Explained:
        """Take a reading that was twice unlike what was expected with what makes it likeliest.

        Sizes that the prior guesses wrongly; points of a menu that act elsewhere; a menu that acts
        late; a slip of who turned; a control that does something else than supposed; a point that
        does; or something that nobody told.
        """
        belief, both = self.belief, [first, second]
        scales, hats, count = belief.scales, belief.hats, len(belief.seen)
        told = [(self._how_unlikely(way), way) for way in self._slips()]
        for point, unlikely in ((second.point, ONE_POINT), (None, NOBODY_TOLD)):
            told.append((unlikely, _Way(jump=Jump(self._events, point))))
        fits = [
            (belief.likelihood_with([self._as(seen, way) for seen in both]) - unlikely, way)
            for unlikely, way in told
        ]
        belief.seen += both
        just_turned = self.at - self.turned_at < LAGS[-1]
        for lag in [each for each in LAGS if just_turned and each > self.lag]:
            kept, belief.seen = belief.seen, [self._late(seen, lag) for seen in belief.seen]
            belief.forget()
            fits.append((belief.likelihood() - ACTS_LATE, _Way(lag=lag)))
            belief.seen = kept
        belief.forget()
        fits += self._opened(second)
        fits += self._elsewhere()
        belief.fit()
        fits.append((belief.likelihood(), _Way()))
        best = max(fits, key=lambda each: each[0])[1]
        if best != _Way():
            belief.scales = scales
            if belief.hats != hats:
                belief.suppose(hats)
        del belief.seen[count:]
        return self._believe(best, second)

    def _slips(self) -> list[_Way]:
        """What may have been turned instead of what was told, since the last reading."""
        turned, found = self.turned, list[_Way]()
        for k in turned:
            clicks = self.clicks[k] - self.before[k]
            found.append(_Way(slips=((k, -clicks),)))
            found.append(_Way(slips=((k, -2 * clicks),)))
            page = [int(each) for each in np.flatnonzero(self._pages == self._pages[k])]
            found += [
                _Way(slips=((k, -clicks), (beside, clicks)))
                for beside in page
                if beside not in turned
            ]
        if len(turned) > 1:
            back = self.before - self.clicks
            found.append(_Way(slips=tuple((k, float(back[k])) for k in turned)))
        return found

    def _how_unlikely(self, way: _Way) -> float:
        again = sum(k in dict(way.slips) for k in self._slipped)
        return A_SLIP + A_SLIP * again

    def _as(self, seen: Seen, way: _Way) -> Seen:
        """A reading as it would be in one way of explaining it."""
        jumps = seen.jumps if way.jump is None else (*seen.jumps, way.jump)
        return replace(seen, clicks=self._shifted(seen.clicks, way), jumps=jumps)

    def _shifted(self, clicks: Floats, way: _Way) -> Floats:
        found = clicks.copy()
        for k, by in way.slips:
            found[k] = np.clip(found[k] + by, self._least[k], self._most[k])
        return found

    def _late(self, seen: Seen, lag: float) -> Seen:
        """A reading with the settings as they were some seconds earlier."""
        clicks = [clicks for at, clicks in self._settings if at <= seen.at - lag]
        return replace(seen, clicks=clicks[-1] if clicks else self._settings[0][1])

    def _opened(self, seen: Seen) -> list[tuple[float, _Way]]:
        """How likely it is that controls that were turned act in a way that nobody expected."""
        belief = self.belief
        turned = [int(k) for k in np.flatnonzero(seen.clicks != self.before)]
        known, found = belief.open.copy(), []
        widths = WIDER if len(belief.seen) < MANY else WIDER[1:2]
        for some in [turned, *([k] for k in turned if len(turned) > 1)] if turned else []:
            for wider in widths:
                belief.open[some] = known[some] * wider
                belief.forget()
                fit = belief.likelihood() - float(np.log(wider))
                found.append((fit, _Way(opened=tuple(some), wider=wider)))
        belief.open[:] = known
        belief.forget()
        return found

    def _elsewhere(self) -> list[tuple[float, _Way]]:
        """How likely it is that the points of a menu act elsewhere."""
        belief = self.belief
        scales, hats, found = belief.scales, belief.hats, []
        others = belief.elsewhere if len(belief.seen) < MANY else []
        for other in others:
            belief.suppose(other)
            belief.fit(hats=False)
            found.append((belief.likelihood() - ELSEWHERE, _Way(hats=other)))
            belief.scales = scales
        if others:
            belief.suppose(hats)
        return found

    def _believe(self, way: _Way, seen: Seen) -> Explained:
        """Take what was told as explained so. The reading to go on with."""
        belief = self.belief
        if way.opened:
            some = list(way.opened)
            belief.open[some] *= way.wider
            belief.uneven[some] = 3.0
        if way.hats is not None:
            belief.suppose(way.hats)
        if way.lag:
            self.lag = way.lag
            belief.seen = [self._late(each, way.lag) for each in belief.seen]
            belief.forget()
            return Explained(self._late(seen, way.lag), late=True)
        if way.jump is not None:
            self._events += 1
            self.jumps = (*self.jumps, way.jump)
        if way.slips:
            self._slipped += [k for k, _ in way.slips]
            self.clicks = self._shifted(self.clicks, way)
            self._settings[-1] = (self._settings[-1][0], self.clicks.copy())
        belief.forget()
        everywhere = way.jump is not None and way.jump.point is None
        return Explained(self._as(seen, way), everywhere=everywhere)
