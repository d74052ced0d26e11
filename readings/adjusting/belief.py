"""What readings and turns say of a display: its drives now, and what a click of each control does.

The drives of a display are taken for a Gaussian process over its settings: as found, plus what each
control's clicks add, which is nearly in proportion to them, plus drift. Its posterior from all
readings at once is that of a Kalman filter or of recursive least squares told the same, without the
loss of one that has to forget (C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine
Learning, 2006, chapters 2 and 5, from memory). The sizes that its prior only guesses, such as what
a click of a family of controls does, are those that make the readings likeliest, so that what
contradicts the prior widens it.

Its constants are choices of our own, tried on simulated displays, but where a source is named.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve, solve_triangular

from patterns.control import Control, Does
from readings.adjusting.goal import Goal
from readings.adjusting.priors import (
    ROUGH,
    STRETCHES,
    Effect,
    Hats,
    Layout,
    ShareOf,
    as_found,
    effects,
)
from readings.adjusting.priors import WIDTHS as HAT_WIDTHS

Floats = NDArray[np.float64]

DRIFT = 0.00008
"""Of the drives in a root second, share: warm-up and what else wanders. A choice of our own."""
CURVED = 0.6
"""How far two moves bend each other, as share of their product."""
UNEVEN = 0.08
"""How far clicks differ: share of a move of a tenth of the range."""
JITTER = 1e-4
"""Of each reading's drives: what no part stands for."""
ROUNDED = 1 / 1023 / np.sqrt(12)
"""Of the drives: what a display that computes in 10 bits rounds them by, deviation."""
SAME_CODE = 0.7 * ROUNDED
"""How far a drive may move for most of its rounding to stay: about a fifth of a code."""
DEPTHS = (1.0, 2.0, 4.0)
"""How much coarser than 10 bits a display may round: 8 bits are the last."""
SURPRISE = 25.0
"""Squared distance of three numbers from what was expected, in deviations, that is believed only
when it is read twice: about 1 in 65,000 by chance."""
HATS_KNOWN = 90
"""Readings after which it is settled where the points of a menu act."""
MOST_SEEN, DROPPED = 320, 80
"""Readings at most that are kept in mind, and how many of the oldest are let go then: time and
memory grow with their square."""
UNTRIED = 2.5
"""How much less the size of a click is known while nothing of its family was turned."""
LOCAL = 0.04
"""Share of the drives by which a point changes that is not as its controls let expect."""
NO_REACH = 2e-3
"""Share of the variance of its effect where it acts most, below which a control does nothing."""
WIDTHS = (1.0, 2.5, 6.0)
"""How much wider than supposed sizes may be."""
WORTH_A_WIDTH = 0.3
"""Logarithm by which readings have to be likelier for another width."""
ALL_SIZES = 60
"""Readings up to which all sizes are fitted at each; later some of them in turn."""
Whole = Literal["bumps", "drift", "rounded"]
WHOLE: dict[Whole, tuple[float, ...]] = {"bumps": WIDTHS, "drift": WIDTHS, "rounded": DEPTHS}
"""Of what is true of a display as a whole, the sizes it may have."""
_STEP = 1.25
_SCALE_SPREAD = 0.8
"""Standard deviation of the logarithm of a family's size."""


@dataclass(frozen=True, slots=True)
class Jump:
    """An event at which the display changed for unknown reasons.

    Args:
        number: of the event.
        point: about which it changed; all over where None.
    """

    number: int
    point: int | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """A reading as the belief takes it."""

    point: int
    drives: Floats
    noise: Floats
    """(3, 3)."""
    clicks: Floats
    """(k,) of all controls, from where each was found."""
    at: float
    jumps: tuple[Jump, ...] = ()
    """Events before it at which the display changed for unknown reasons."""


class Family(NamedTuple):
    """What readings say of the controls that do the same, each as share of the prior's."""

    size: float = 1.0
    """How large a click is."""
    own: float = 1.0
    """How much less alike they are than supposed."""
    shape: float = 1.0
    """How much less is known of where they act."""
    uneven: float = 1.0
    """How much less even their clicks are."""


AS_SUPPOSED = Family()


@dataclass(frozen=True)
class Scales:
    """What readings say of the sizes that the prior guesses."""

    families: tuple[tuple[Does, Family], ...] = ()
    """By what a control does."""
    bumps: float = 1.0
    """How much rougher the display's curve is."""
    drift: float = 1.0
    """How much more it drifts."""
    rounded: float = 1.0
    """How much coarser it rounds."""

    def of(self, does: Does) -> Family:
        return next((family for known, family in self.families if known == does), AS_SUPPOSED)

    def with_family(self, does: Does, family: Family) -> Scales:
        return replace(self, families=tuple({**dict(self.families), does: family}.items()))

    def with_width(self, what: Whole, size: float) -> Scales:
        if what == "bumps":
            return replace(self, bumps=size)
        return replace(self, drift=size) if what == "drift" else replace(self, rounded=size)

    @property
    def unlikely(self) -> float:
        """What counts against them: the prior's sizes are likelier than others."""
        widths = [w for _, family in self.families for w in family[1:]]
        widths += [self.bumps, self.drift, self.rounded]
        sizes = np.log([family.size for _, family in self.families] or [1.0])
        return float(0.5 * (sizes**2).sum() / _SCALE_SPREAD**2 + np.log(widths).sum())


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is believed at the present settings.

    Args:
        drives: (n, 3).
        spread: (3n, 3n) covariance of the drives.
        effects: (n, 3, k) of one click.
        joint: (n, 3 (1 + k), 3 (1 + k)) covariance, per point, of its drives and of the effects.
    """

    drives: Floats
    spread: Floats
    effects: Floats
    joint: Floats


class Belief:
    """Gathers readings, and says what they make likely.

    Args:
        controls: those that may be turned.
        goal: what is aimed at.
    """

    def __init__(self, controls: Sequence[Control], goal: Goal) -> None:
        self.controls = controls
        self._goal = goal
        self.layout = Layout.of(goal)
        self.prior, self.bumps = as_found(self.layout)
        self.version = 0
        """Another number whenever something else is believed."""
        self.hats = Hats()
        self.suppose(self.hats)
        self.families = sorted({control.does for control in controls})
        self._family_of = np.array([self.families.index(c.does) for c in controls], np.intp)
        self.scales = Scales()
        self.open = np.ones(len(controls))
        """(k,) by how much wider than its family's each control's effect is supposed to be."""
        self.uneven = np.ones(len(controls))
        """(k,) how much less even than supposed its clicks are."""
        self.seen: list[Seen] = []

    def suppose(self, hats: Hats) -> None:
        """Take the points of a multi-point control to act so."""
        n = len(self.layout.signal)
        self.hats = hats
        supposed = effects(self.controls, self._goal, hats)
        spreads = [np.diag(each.size + each.shape).reshape(n, 3).sum(1) for each in supposed]
        self.reach = np.array([spread > NO_REACH * spread.max() for spread in spreads])
        """(k, n) which points a control may move at all."""
        self.effects = [_within(*each) for each in zip(supposed, self.reach, strict=True)]
        self._size_blocks = np.array([_blocks(each.size) for each in self.effects])
        self._shape_blocks = np.array([_blocks(each.shape) for each in self.effects])
        self.means = np.array([each.mean.reshape(n, 3) for each in self.effects])
        self.forget()

    # ---- being told

    def add(self, seen: Seen) -> None:
        """Take a reading, and fit the sizes to all of them."""
        if len(self.seen) >= MOST_SEEN:
            self.seen = self.seen[DROPPED:]
            self.forget()
        gram = self._gram if self.seen else None
        earlier = tuple(self.seen)
        self.seen.append(seen)
        self.forget()
        if gram is not None:
            self.__dict__["_gram"] = gram.with_one(
                _Gram(self, earlier, [seen]), _Gram(self, [seen], [seen])
            )
        self._fit()

    def likelihood_with(self, some: Sequence[Seen]) -> float:
        """How likely all readings are with some more, with the sizes as they are."""
        known, earlier = self._gram, list(self.seen)
        try:
            for seen in some:
                cross = _Gram(self, self.seen, [seen])
                grown = self._gram.with_one(cross, _Gram(self, [seen], [seen]))
                self.seen = [*self.seen, seen]
                self.__dict__["_gram"] = grown
            self.__dict__.pop("_tried", None)
            return self._likelihood(self.scales)
        finally:
            self.seen = earlier
            self.__dict__["_gram"] = known
            self.__dict__.pop("_tried", None)

    def drop(self, which: Callable[[Seen], bool]) -> None:
        """Forget readings that say nothing of the display as it is used."""
        self.seen = [each for each in self.seen if not which(each)]
        self.forget()

    def forget(self) -> None:
        """Work everything out anew."""
        self.version += 1
        for name in ("_gram", "_factor", "_tried"):
            self.__dict__.pop(name, None)

    def surprise(self, seen: Seen) -> float:
        """Squared distance of a reading from what is expected, in deviations of three numbers."""
        if not self.seen:
            return 0.0
        mean, cross, own = self._expected(seen)
        factor = self._factor
        gain = cho_solve(factor, cross, check_finite=False)
        spread = own - cross.T @ gain + seen.noise + JITTER**2 * np.eye(3)
        off = seen.drives - mean - gain.T @ self._rest(self.scales)
        return float(off @ np.linalg.solve(spread, off))

    def about(self, point: int) -> Floats:
        """(3n, 3n) covariance of a change at one point, and less beside it."""
        near = self.layout.alike(ROUGH)[point]
        lit = np.maximum(self.layout.drive, 0.05) * near[:, None] * LOCAL
        flat = lit.ravel()
        channels = np.kron(np.ones((len(near),) * 2), 0.3 + 0.7 * np.eye(3))
        return np.asarray(np.outer(flat, flat) * channels)

    def likelihood(self) -> float:
        """Logarithm of how likely all readings are together, up to a constant."""
        return self._likelihood(self.scales)

    # ---- kernels

    @cached_property
    def _tried(self) -> set[Does]:
        """What the controls do of which one was turned when something was read."""
        return {self.controls[k].does for k in self._turned()}

    @cached_property
    def _gram(self) -> _Gram:
        return _Gram(self, self.seen, self.seen)

    def _covariance(self, scales: Scales) -> Floats:
        noise = np.zeros((3 * len(self.seen), 3 * len(self.seen)))
        for place, each in enumerate(self.seen):
            part = slice(3 * place, 3 * place + 3)
            noise[part, part] = each.noise + JITTER**2 * np.eye(3)
        return self._gram.scaled(scales) + noise

    @cached_property
    def _factor(self) -> tuple[Floats, bool]:
        factor: tuple[Floats, bool] = cho_factor(
            self._covariance(self.scales), lower=True, check_finite=False
        )
        return factor

    def _means(self, clicks: Floats, points: NDArray[np.intp], scales: Scales) -> Floats:
        """(r, 3) drives expected before anything was read, for clicks (r, k) at points (r,)."""
        sizes = self._sizes(scales)
        moved = np.einsum("rk,krc->rc", clicks * sizes, self.means[:, points])
        return np.asarray(self.layout.drive[points] + moved)

    def _sizes(self, scales: Scales) -> Floats:
        """(k,) how large a click of each control is, in the prior's."""
        return np.array([scales.of(does).size for does in self.families])[self._family_of]

    def _rest(self, scales: Scales) -> Floats:
        clicks = np.array([each.clicks for each in self.seen])
        points = np.array([each.point for each in self.seen])
        drives = np.array([each.drives for each in self.seen])
        return np.asarray((drives - self._means(clicks, points, scales)).ravel())

    def _expected(self, seen: Seen) -> tuple[Floats, Floats, Floats]:
        cross = _Gram(self, self.seen, [seen]).scaled(self.scales)
        own = _Gram(self, [seen], [seen]).scaled(self.scales)
        mean = self._means(seen.clicks[None], np.array([seen.point]), self.scales)[0]
        return mean, cross, own

    # ---- sizes

    def _likelihood(self, scales: Scales) -> float:
        rest = self._rest(scales)
        try:
            factor, low = cho_factor(self._covariance(scales), lower=True, check_finite=False)
        except np.linalg.LinAlgError:
            return -np.inf
        fit = -0.5 * float(rest @ cho_solve((factor, low), rest, check_finite=False))
        fit -= float(np.log(np.diag(factor)).sum())
        return fit - scales.unlikely

    def _fit(self) -> None:
        """Move each size a step where that makes the readings likelier."""
        if len(self.seen) >= 6:
            count = len(self.seen)
            few = None if count <= ALL_SIZES else 1
            self.fit(few, hats=count % 8 == 0 and count < HATS_KNOWN)

    def fit(self, some: int | None = None, *, hats: bool = True) -> None:
        """Move sizes by steps to where the readings are likeliest.

        Args:
            some: how many families to look at, in turn; all of them where None.
            hats: whether to look where the points of a menu act, too.
        """
        turned = sorted(self._tried)
        best, most = self.scales, self._likelihood(self.scales)
        if some is not None and turned:
            first = len(self.seen) % len(turned)
            turned = [*turned[first:], *turned[:first]][:some]
        for does in turned:
            best, most = self._fitted(best, most, does)
        for what, widths in WHOLE.items():
            for size in _beside(widths, getattr(best, what)):
                tried = best.with_width(what, size)
                fit = self._likelihood(tried)
                if fit > most + WORTH_A_WIDTH:
                    best, most = tried, fit
        if best != self.scales:
            self.scales = best
            self.version += 1
            self.__dict__.pop("_factor", None)
        if hats and "point" in self._tried:
            self._fit_hats(most)

    def _fitted(self, best: Scales, most: float, does: Does) -> tuple[Scales, float]:
        """The sizes with those of one family moved by steps, and how likely they are."""
        for factor in (_STEP, 1 / _STEP):
            while 0.05 < best.of(does).size * factor < 20:
                family = best.of(does)
                tried = best.with_family(does, family._replace(size=family.size * factor))
                fit = self._likelihood(tried)
                if fit <= most + 0.01:
                    break
                best, most = tried, fit
        for what in ("own", "shape", "uneven"):
            for width in _beside(WIDTHS, getattr(best.of(does), what)):
                changed = {what: width}
                tried = best.with_family(does, best.of(does)._replace(**changed))
                fit = self._likelihood(tried)
                if fit > most + WORTH_A_WIDTH:
                    best, most = tried, fit
        return best, most

    def _fit_hats(self, most: float) -> None:
        """Take the points to act where and as widely as makes the readings likeliest."""
        known, gram = self.hats, self._gram
        best = known
        tried = [known._replace(stretch=each) for each in _beside(STRETCHES, known.stretch)]
        tried += [known._replace(width=each) for each in _beside(HAT_WIDTHS, known.width)]
        for hats in tried:
            self.suppose(hats)
            fit = self._likelihood(self.scales)
            if fit > most + 1.0:
                best, most = hats, fit
        self.suppose(best)
        if best == known:
            self.__dict__["_gram"] = gram

    @property
    def elsewhere(self) -> list[Hats]:
        """Where else than supposed, and not beside that, the points of a menu may act."""
        if "point" not in self._tried:
            return []
        known = self.hats
        beside = {known.stretch, *_beside(STRETCHES, known.stretch)}
        shares: tuple[ShareOf, ...] = ("signal", "light") if self._goal.itp else ("signal",)
        return [
            Hats(stretch, known.width, of)
            for of in shares
            for stretch in STRETCHES
            if of != known.of or stretch not in beside
        ]

    # ---- what is believed

    def posterior(self, clicks: Floats, at: float, jumps: tuple[Jump, ...] = ()) -> Posterior:
        """What is believed at these settings, (k,) clicks from where each was found."""
        n, count = len(self.layout.signal), len(self.controls)
        nothing = np.zeros(3)
        here = [Seen(j, nothing, np.zeros((3, 3)), clicks, at, jumps) for j in range(n)]
        among = _Gram(self, here, here)
        own = among.scaled(self.scales)
        mean = self._means(np.tile(clicks, (n, 1)), np.arange(n), self.scales).ravel()
        slopes = np.zeros((n, 3, count))
        joint = np.zeros((n, 3 * (1 + count), 3 * (1 + count)))
        spreads = self._effect_spreads()
        moving = self._turned(clicks)
        for k, effect in enumerate(self.effects):
            size = self.scales.of(self.controls[k].does).size
            slopes[:, :, k] = effect.mean.reshape(n, 3) * size
            at_k = slice(3 + 3 * k, 6 + 3 * k)
            joint[:, at_k, at_k] = spreads[k]
        if self.seen:
            gram = _Gram(self, self.seen, here)
            low = self._factor[0]
            half = solve_triangular(low, gram.scaled(self.scales), lower=True, check_finite=False)
            rest = solve_triangular(low, self._rest(self.scales), lower=True, check_finite=False)
            mean = mean + half.T @ rest
            own = own - half.T @ half
            crosses = {k: gram.effect(k, self.scales) for k in moving}
            halves = {}
            if moving:
                whole = np.concatenate([cross for _, cross in crosses.values()], 1)
                solved = solve_triangular(low, whole, lower=True, check_finite=False)
                ends = np.cumsum([len(columns) for columns, _ in crosses.values()])
                parts = np.split(solved, ends[:-1], axis=1)
                halves = {k: (crosses[k][0], each) for k, each in zip(moving, parts, strict=True)}
            for k, (columns, part_of) in halves.items():
                slopes.reshape(3 * n, count)[columns, k] += part_of.T @ rest
            for j in range(n):
                part = slice(3 * j, 3 * j + 3)
                near = [(k, c, h) for k, (c, h) in halves.items() if self.reach[k, j]]
                stack = np.concatenate([half[:, part], *(h[:, c // 3 == j] for _, c, h in near)], 1)
                places = np.r_[0:3, *(slice(3 + 3 * k, 6 + 3 * k) for k, _, _ in near)]
                joint[j][np.ix_(places, places)] -= stack.T @ stack
        for j in range(n):
            part = slice(3 * j, 3 * j + 3)
            joint[j][:3, :3] = own[part, part]
        joint += self._bend(clicks, among)
        for k in moving if clicks.any() else ():
            columns, shared = among.effect(k, self.scales)
            for j in map(int, np.flatnonzero(self.reach[k])):
                part, at_k = slice(3 * j, 3 * j + 3), slice(3 + 3 * k, 6 + 3 * k)
                joint[j][:3, at_k] += shared[part, columns // 3 == j]
                joint[j][at_k, :3] += shared[part, columns // 3 == j].T
        return Posterior(mean.reshape(n, 3), own, slopes, joint)

    def _bend(self, clicks: Floats, among: _Gram) -> Floats:
        """(n, 3 (1 + k), 3 (1 + k)) how much moves so far may have changed what a click does."""
        n, count = len(self.layout.signal), len(self.controls)
        found = np.zeros((n, 1 + count, 3, 1 + count, 3))
        if clicks.any():
            axes = np.arange(3)
            spreads = self._effect_spreads()
            sizes = self._sizes(self.scales)
            known = np.isin(np.arange(count), self._turned(clicks))
            for j in range(n):
                part, near = slice(3 * j, 3 * j + 3), np.flatnonzero(self.reach[:, j])
                weight = 2 * CURVED**2 / among.weight[part, part]
                one = spreads[near, j]
                means = self.means[near, j] * sizes[near, None]
                moved = clicks[near] @ means
                slope = clicks[near, None, None] * one + means[:, :, None] * moved[None, None, :]
                back = slope.transpose(0, 2, 1)
                both = np.einsum("kab,lab->kalb", slope, back) * weight[None, :, None, :]
                pulled = among.whole[part, part] * weight
                both += np.einsum("ka,lb,ab->kalb", means, means, pulled)
                for place, its in enumerate(one):
                    both[place, :, place] += its * pulled
                # of one never turned nothing was learnt, so it must not seem to go with another
                both *= np.equal.outer(known[near], known[near])[:, None, :, None]
                found[j][np.ix_(1 + near, axes, 1 + near, axes)] = both
        return found.reshape(n, 3 * (1 + count), 3 * (1 + count))

    def _turned(self, now: Floats | None = None) -> list[int]:
        """Controls that were turned when something was read, or are now."""
        clicks = [s.clicks for s in self.seen] + ([] if now is None else [now])
        return [int(k) for k in np.flatnonzero(np.any(clicks, axis=0))] if clicks else []

    def own(self, does: Does, scales: Scales) -> float:
        """How much less alike than supposed the controls of a family are."""
        return scales.of(does).own if does in self._tried else UNTRIED

    def _effect_spreads(self) -> Floats:
        """(k, n, 3, 3) covariance of what a click adds to each point."""
        families = [self.scales.of(control.does) for control in self.controls]
        own = np.array([self.own(control.does, self.scales) for control in self.controls])
        shape = np.array([family.shape for family in families])
        scale = np.array([family.size for family in families]) * self.open
        spread = (own**2)[:, None, None, None] * self._size_blocks
        spread += (shape**2)[:, None, None, None] * self._shape_blocks
        return np.asarray(spread * (scale**2)[:, None, None, None])


class _Gram:
    """Covariances of readings with readings, in parts that sizes only scale."""

    def __init__(self, belief: Belief, rows: Sequence[Seen], columns: Sequence[Seen]) -> None:
        self._belief = belief
        self.a, self.b = _places(rows), _places(columns)
        layout = belief.layout
        drive = layout.drive.ravel()
        times = np.minimum.outer(
            np.repeat([each.at for each in rows], 3), np.repeat([each.at for each in columns], 3)
        )
        channel = np.equal.outer(self.a % 3, self.b % 3)
        lit = np.outer(drive[self.a], drive[self.b])
        cells = np.ix_(self.a, self.b)
        self.still = belief.prior[cells] + self._jumps(rows, columns)
        self.same = np.nonzero(np.equal.outer(self.a, self.b))
        self.bumps = belief.bumps[cells]
        self.drift = DRIFT**2 * times * lit * (0.8 + 0.4 * channel)
        weight = np.maximum(np.abs(drive), 0.1)
        self.weight = np.outer(weight[self.a], weight[self.b])
        self.clicks_a = np.repeat([each.clicks for each in rows], 3, axis=0)
        self.clicks_b = np.repeat([each.clicks for each in columns], 3, axis=0)
        either = self.clicks_a.any(0) | self.clicks_b.any(0)
        self._moved = [int(k) for k in np.flatnonzero(either)]
        self.parts = {
            does: self._family([k for k in self._moved if belief.controls[k].does == does])
            for does in belief.families
        }

    def _jumps(self, rows: Sequence[Seen], columns: Sequence[Seen]) -> Floats:
        events = {event for each in (*rows, *columns) for event in each.jumps}
        found = np.zeros((len(self.a), len(self.b)))
        belief = self._belief
        for event in sorted(events, key=lambda each: each.number):
            after_a = np.repeat([event in each.jumps for each in rows], 3)
            after_b = np.repeat([event in each.jumps for each in columns], 3)
            prior = belief.prior if event.point is None else belief.about(event.point)
            found += np.outer(after_a, after_b) * prior[np.ix_(self.a, self.b)]
        return found

    def with_one(self, cross: _Gram, own: _Gram) -> _Gram:
        """The same with one more reading, from its covariances with the others and its own."""
        grown = copy(self)
        grown.a = grown.b = np.concatenate([self.a, own.a])
        grown.same = np.nonzero(np.equal.outer(grown.a, grown.b))
        grown.clicks_a = grown.clicks_b = np.concatenate([self.clicks_a, own.clicks_a])

        def joined(old: Floats, beside: Floats, new: Floats) -> Floats:
            return np.block([[old, beside], [beside.T, new]])

        grown.still = joined(self.still, cross.still, own.still)
        grown.bumps = joined(self.bumps, cross.bumps, own.bumps)
        grown.drift = joined(self.drift, cross.drift, own.drift)
        grown.weight = joined(self.weight, cross.weight, own.weight)
        grown.parts = {}
        for does, (size, form, uneven, mean, _) in self.parts.items():
            beside, new = cross.parts[does], own.parts[does]
            means = np.concatenate([mean, new[3]])
            grown.parts[does] = (
                joined(size, beside[0], new[0]),
                joined(form, beside[1], new[1]),
                joined(uneven, beside[2], new[2]),
                means,
                means,
            )
        return grown

    def _family(self, controls: Sequence[int]) -> tuple[Floats, ...]:
        """Of a family's clicks: by their size, by their shape, by their mean, and uneven ones."""
        shape = (len(self.a), len(self.b))
        size, form, uneven = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        mean_a, mean_b = np.zeros(shape[0]), np.zeros(shape[1])
        belief = self._belief
        for k in controls:
            u, v = self.clicks_a[:, k], self.clicks_b[:, k]
            reach = belief.reach[k]
            at = np.flatnonzero(u * reach[self.a // 3]), np.flatnonzero(v * reach[self.b // 3])
            effect, control = belief.effects[k], belief.controls[k]
            mean_a += u * effect.mean[self.a]
            mean_b += v * effect.mean[self.b]
            if not at[0].size or not at[1].size:
                continue
            grid, cells = np.ix_(*at), np.ix_(self.a[at[0]], self.b[at[1]])
            both = np.outer(u[at[0]], v[at[1]]) * belief.open[k] ** 2
            size[grid] += both * effect.size[cells]
            form[grid] += both * effect.shape[cells]
            tenth = (control.highest - control.lowest) / control.step / 10
            same = np.sign(u[at[0]])[:, None] == np.sign(v[at[1]])
            least = np.minimum.outer(np.abs(u[at[0]]), np.abs(v[at[1]])) * same
            own = np.outer(effect.mean[self.a[at[0]]], effect.mean[self.b[at[1]]])
            uneven[grid] += (
                (UNEVEN * belief.uneven[k]) ** 2 * tenth * least * (own + effect.shape[cells])
            )
        return size, form, uneven, mean_a, mean_b

    def _linear(self, scales: Scales) -> tuple[Floats, Floats]:
        """What clicks add in proportion, with and without their mean, and unevenly."""
        line = np.zeros((len(self.a), len(self.b)))
        rough = np.zeros_like(line)
        mean_a, mean_b = np.zeros(len(self.a)), np.zeros(len(self.b))
        for does, (size, form, uneven, u, v) in self.parts.items():
            family = scales.of(does)
            scale, own = family.size, self._belief.own(does, scales)
            line += scale**2 * (own**2 * size + family.shape**2 * form)
            rough += (scale * family.uneven) ** 2 * uneven
            mean_a += scale * u
            mean_b += scale * v
        self.whole = line + np.outer(mean_a, mean_b)
        self.moved_a, self.moved_b = mean_a, mean_b
        return line, rough

    def scaled(self, scales: Scales) -> Floats:
        """(3 rows, 3 columns) for these sizes."""
        line, rough = self._linear(scales)
        bent = CURVED**2 * self.whole**2 / self.weight
        still = self.still + scales.bumps**2 * self.bumps + scales.drift**2 * self.drift
        found = np.asarray(still + line + rough + bent)
        found[self.same] += self._rounding(scales.rounded)
        return found

    def _rounding(self, coarser: float) -> Floats:
        """Of the same channels of the same points: alike where they were hardly moved between."""
        rows, columns = self.same
        away = np.abs(self.moved_a[rows] - self.moved_b[columns])
        return np.asarray((ROUNDED * coarser) ** 2 * np.exp(-away / (SAME_CODE * coarser)))

    def effect(self, k: int, scales: Scales) -> tuple[NDArray[np.intp], Floats]:
        """Covariance of the rows with what one click of a control adds to the columns.

        Returns:
            The columns (c,) that the control reaches, and (3 rows, c). Call `scaled` before.
        """
        belief = self._belief
        effect, family = belief.effects[k], scales.of(belief.controls[k].does)
        scale = family.size
        columns = np.flatnonzero(belief.reach[k][self.b // 3])
        cells = np.ix_(self.a, self.b[columns])
        own = belief.own(belief.controls[k].does, scales)
        one = own**2 * effect.size[cells] + family.shape**2 * effect.shape[cells]
        one = one * belief.open[k] ** 2
        u = self.clicks_a[:, k][:, None] * scale**2
        rise = u * one + np.outer(self.moved_a, effect.mean[self.b[columns]] * scale)
        bend = 2 * CURVED**2 * self.whole[:, columns] * rise / self.weight[:, columns]
        return columns, np.asarray(u * one + bend)


def _within(effect: Effect, reach: NDArray[np.bool_]) -> Effect:
    """An effect without what is next to nothing."""
    there = np.repeat(reach, 3).astype(np.float64)
    both = np.outer(there, there)
    return Effect(effect.mean * there, effect.size * both, effect.shape * both)


def _blocks(whole: Floats) -> Floats:
    """(n, 3, 3) of each point with itself, of (3n, 3n)."""
    n = len(whole) // 3
    return np.asarray(np.einsum("nanb->nab", whole.reshape(n, 3, n, 3)))


def _beside(grid: Sequence[float], value: float) -> list[float]:
    """What stands next to a value in a grid."""
    place = list(grid).index(value)
    return [*grid[max(place - 1, 0) : place], *grid[place + 1 : place + 2]]


def _places(seen: Sequence[Seen]) -> NDArray[np.intp]:
    return np.array([3 * each.point + c for each in seen for c in range(3)], np.intp)
