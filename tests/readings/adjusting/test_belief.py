"""What is believed of a display is what its Gaussian says, worked out in other ways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import solve
from scipy.stats import binom, chi2, multivariate_normal

from readings.adjusting import belief as module
from readings.adjusting.belief import Belief, Family, Jump, Posterior, Scales, Seen
from readings.adjusting.priors import ROUGH, Hats, effects
from tests.readings.adjusting.made import (
    JUMPS,
    control,
    every_kind,
    grey_goal,
    readings,
    two_point,
)

Floats = NDArray[np.float64]
AS_SUPPOSED = Scales()
SCALES = Scales(
    (
        ("gain", Family(1.6, 1.4, 2.5, 1.2)),
        ("offset", Family(0.7, 2.0, 1.0, 2.5)),
        ("preset", Family(0.5, 1.0, 1.3, 1.0)),
        ("point", Family(uneven=6.0)),
    ),
    1.7,
    2.0,
    1.5,
)


def told(belief: Belief, seen: Sequence[Seen], scales: Scales = AS_SUPPOSED) -> Belief:
    """A belief that was told readings all at once, with sizes that stay as they are."""
    belief.seen, belief.scales = list(seen), scales
    belief.forget()
    return belief


def of_all_kinds(seed: int, scales: Scales = SCALES, count: int = 24, turns: int = 5) -> Belief:
    belief = Belief(every_kind(), grey_goal())
    belief.open[1], belief.uneven[2] = 2.0, 3.0
    return told(belief, readings(belief, np.random.default_rng(seed), count, turns), scales)


# ---- the same Gaussian, written out plainly


def wide(rows: Sequence[Seen]) -> tuple[NDArray[np.intp], Floats, Floats]:
    places = np.array([3 * row.point + c for row in rows for c in range(3)])
    clicks = np.repeat([row.clicks for row in rows], 3, axis=0)
    return places, clicks, np.repeat([row.at for row in rows], 3)


def own_of(belief: Belief, k: int) -> float:
    """How much less alike than supposed the controls of its family are."""
    family = [i for i, each in enumerate(belief.controls) if each.does == belief.controls[k].does]
    tried = any(each.clicks[family].any() for each in belief.seen)
    return belief.scales.of(belief.controls[k].does).own if tried else module.UNTRIED


def moves(belief: Belief, rows: Sequence[Seen], columns: Sequence[Seen]) -> Floats:
    """Covariance of what clicks add in proportion, and of how they bend each other."""
    (a, u, _), (b, v, _) = wide(rows), wide(columns)
    straight, up, along = np.zeros((len(a), len(b))), np.zeros(len(a)), np.zeros(len(b))
    for k, effect in enumerate(belief.effects):
        size, _, shape, _ = belief.scales.of(belief.controls[k].does)
        one = own_of(belief, k) ** 2 * effect.size + shape**2 * effect.shape
        one *= (size * belief.open[k]) ** 2
        straight += np.outer(u[:, k], v[:, k]) * one[np.ix_(a, b)]
        up += size * u[:, k] * effect.mean[a]
        along += size * v[:, k] * effect.mean[b]
    weight = np.maximum(np.abs(belief.layout.drive.ravel()), 0.1)
    whole = straight + np.outer(up, along)
    bent = module.CURVED**2 * whole**2 / np.outer(weight[a], weight[b])
    return np.asarray(straight + bent)


def about(belief: Belief, point: int) -> Floats:
    """Covariance of a change at one grey: as much as it is lit, less beside it, channels alike."""
    n, layout = len(belief.layout.signal), belief.layout
    found = np.zeros((n, 3, n, 3))
    falls = np.exp(-0.5 * ((layout.signal - layout.signal[point]) / ROUGH) ** 2)
    for i, a, j, b in np.ndindex(n, 3, n, 3):
        one = module.LOCAL * max(layout.drive[i, a], 0.05) * falls[i]
        other = module.LOCAL * max(layout.drive[j, b], 0.05) * falls[j]
        found[i, a, j, b] = one * other * (1.0 if a == b else 0.3)
    return found.reshape(3 * n, 3 * n)


def rounding(belief: Belief, rows: Sequence[Seen], columns: Sequence[Seen]) -> Floats:
    """Covariance of what a display rounds by: of one channel of one grey, and while it stays."""
    (a, u, _), (b, v, _) = wide(rows), wide(columns)
    sizes = np.array([belief.scales.of(each.does).size for each in belief.controls])
    means = np.array([effect.mean for effect in belief.effects]) * sizes[:, None]
    up, along = np.einsum("rk,kr->r", u, means[:, a]), np.einsum("rk,kr->r", v, means[:, b])
    coarser = belief.scales.rounded
    away = np.abs(np.subtract.outer(up, along)) / (module.SAME_CODE * coarser)
    return np.asarray((module.ROUNDED * coarser) ** 2 * np.exp(-away) * np.equal.outer(a, b))


def kernel(belief: Belief, rows: Sequence[Seen], columns: Sequence[Seen]) -> Floats:
    """Covariance of the drives of rows with those of columns."""
    (a, u, s), (b, v, t) = wide(rows), wide(columns)
    cells, scales = np.ix_(a, b), belief.scales
    drive = belief.layout.drive.ravel()
    found = belief.prior[cells] + scales.bumps**2 * belief.bumps[cells]
    alike = np.where(np.equal.outer(a % 3, b % 3), 1.2, 0.8)
    drift = (module.DRIFT * scales.drift) ** 2 * np.minimum.outer(s, t)
    found += drift * np.outer(drive[a], drive[b]) * alike
    for jump in {jump for each in (*rows, *columns) for jump in each.jumps}:
        both = [[jump in row.jumps and jump in column.jumps for column in columns] for row in rows]
        change = belief.prior if jump.point is None else about(belief, jump.point)
        found += np.kron(both, np.ones((3, 3))) * change[cells]
    for k, effect in enumerate(belief.effects):
        its = belief.controls[k]
        size = module.UNEVEN * belief.uneven[k] * scales.of(its.does).size
        size *= scales.of(its.does).uneven
        x, y = u[:, k][:, None], v[:, k][None]
        walked = np.minimum(abs(x), abs(y)) * (x * y > 0)
        tenth = (its.highest - its.lowest) / its.step / 10
        spread = np.outer(effect.mean, effect.mean) + effect.shape
        found += size**2 * tenth * walked * spread[cells]
    return np.asarray(found + rounding(belief, rows, columns) + moves(belief, rows, columns))


def nudged(rows: Sequence[Seen], k: int, by: float) -> list[Seen]:
    ahead = np.eye(len(rows[0].clicks))[k] * by
    return [replace(row, clicks=row.clicks + ahead) for row in rows]


def rise(belief: Belief, rows: Sequence[Seen], here: Sequence[Seen], k: int) -> Floats:
    """Covariance of drives with what a click adds, by differences: exact, as it is of degree 2."""
    ahead, behind = (moves(belief, rows, nudged(here, k, by)) for by in (0.5, -0.5))
    return np.asarray(ahead - behind)


def twice(belief: Belief, here: Sequence[Seen], k: int, other: int) -> Floats:
    """Covariance of what a click of one control adds with what one of another does."""
    ahead, behind = (rise(belief, nudged(here, k, by), here, other) for by in (0.5, -0.5))
    return np.asarray(ahead - behind)


def at_all_points(belief: Belief, clicks: Floats, at: float, jumps: tuple[Jump, ...]) -> list[Seen]:
    n = len(belief.layout.signal)
    return [Seen(j, np.zeros(3), np.zeros((3, 3)), clicks, at, jumps) for j in range(n)]


def expected(belief: Belief, rows: Sequence[Seen]) -> Floats:
    a, u, _ = wide(rows)
    moved = belief.layout.drive.ravel()[a]
    for k, effect in enumerate(belief.effects):
        moved = moved + u[:, k] * belief.scales.of(belief.controls[k].does).size * effect.mean[a]
    return np.asarray(moved)


def noisy(belief: Belief) -> Floats:
    found = kernel(belief, belief.seen, belief.seen)
    for place, each in enumerate(belief.seen):
        part = slice(3 * place, 3 * place + 3)
        found[part, part] += each.noise + module.JITTER**2 * np.eye(3)
    return found


def conditioned(
    belief: Belief, clicks: Floats, at: float, jumps: tuple[Jump, ...], which: Sequence[int]
) -> tuple[Floats, Floats]:
    """Mean and covariance of all drives, then of the effects of some controls."""
    here, seen = at_all_points(belief, clicks, at, jumps), belief.seen
    own = np.block(
        [
            [kernel(belief, here, here), *(rise(belief, here, here, k) for k in which)],
            *(
                [rise(belief, here, here, k).T, *(twice(belief, here, k, m) for m in which)]
                for k in which
            ),
        ]
    )
    sizes = [belief.scales.of(belief.controls[k].does).size for k in which]
    effects = [belief.effects[k].mean * size for k, size in zip(which, sizes, strict=True)]
    mean = np.concatenate([expected(belief, here), *effects])
    if not seen:
        return mean, own
    ways = [kernel(belief, seen, here), *(rise(belief, seen, here, k) for k in which)]
    cross = np.concatenate(ways, axis=1)
    gain = solve(noisy(belief), cross, assume_a="pos").T
    drives = np.concatenate([each.drives for each in seen])
    return mean + gain @ (drives - expected(belief, seen)), own - gain @ cross


def compare(belief: Belief, found: Posterior, mean: Floats, whole: Floats, which: list[int]):
    """A posterior with the mean and covariance of all drives and of some effects."""
    n = len(belief.layout.signal)
    blocks = whole.reshape(1 + len(which), 3 * n, 1 + len(which), 3 * n)
    parts = mean.reshape(1 + len(which), n, 3)
    assert np.allclose(found.drives, parts[0], rtol=0, atol=1e-7)
    assert np.allclose(found.spread, blocks[0, :, 0], rtol=0, atol=1e-8)
    for place, k in enumerate(which):
        assert np.allclose(found.effects[:, :, k], parts[1 + place], rtol=1e-5, atol=1e-8)
    steps = [1.0] + [np.abs(belief.effects[k].mean).max() for k in which]
    unit = np.repeat(steps, 3)
    places = np.r_[0:3, *(range(3 + 3 * k, 6 + 3 * k) for k in which)]
    for j in range(n):
        part = slice(3 * j, 3 * j + 3)
        mine = blocks[:, part, :, part].reshape(len(unit), len(unit))
        its = found.joint[j][np.ix_(places, places)]
        assert np.allclose(its / np.outer(unit, unit), mine / np.outer(unit, unit), atol=1e-6)


# ---- what is believed


def kalman(belief: Belief, k: int, clicks: Floats) -> tuple[Floats, Floats]:
    """Drives of all points, then what a click of one control adds, by a Kalman filter."""
    n, size = 3 * len(belief.layout.signal), belief.scales.of(belief.controls[k].does).size
    effect = belief.effects[k]
    x = np.concatenate([belief.layout.drive.ravel(), effect.mean * size])
    p = np.zeros((2 * n, 2 * n))
    p[:n, :n] = belief.prior + belief.scales.bumps**2 * belief.bumps
    shape = belief.scales.of(belief.controls[k].does).shape
    p[n:, n:] = own_of(belief, k) ** 2 * effect.size + shape**2 * effect.shape
    p[n:, n:] *= size**2
    before = 0.0
    for seen in [*belief.seen, None]:
        move = np.eye(2 * n)
        move[:n, n:] = ((clicks if seen is None else seen.clicks)[k] - before) * np.eye(n)
        x, p = move @ x, move @ p @ move.T
        if seen is not None:
            before = seen.clicks[k]
            h = np.eye(2 * n)[3 * seen.point : 3 * seen.point + 3]
            gain = p @ h.T @ np.linalg.inv(h @ p @ h.T + seen.noise + module.JITTER**2 * np.eye(3))
            x, p = x + gain @ (seen.drives - h @ x), p - gain @ h @ p
    return x, p


@pytest.mark.parametrize("does", ["gain", "offset", "backlight", "preset"])
def test_on_a_display_that_is_linear_it_is_what_a_kalman_filter_comes_to(
    does, monkeypatch: pytest.MonkeyPatch
):
    for name in ("CURVED", "UNEVEN", "DRIFT", "ROUNDED"):
        monkeypatch.setattr(module, name, 0.0)
    its = control(does) if does in ("backlight", "preset") else control(does, "green")
    belief = Belief([its], grey_goal(range(0, 101, 10)))
    seen = readings(belief, np.random.default_rng(3), 20, 4)
    assert len({float(each.clicks[0]) for each in seen}) > 2
    told(belief, [replace(each, jumps=()) for each in seen], SCALES)
    clicks = np.array([7.0])
    compare(belief, belief.posterior(clicks, 500.0), *kalman(belief, 0, clicks), [0])


@pytest.mark.parametrize("seed", range(3))
def test_it_is_the_gaussian_of_all_readings_conditioned_at_once(seed: int):
    belief = of_all_kinds(seed)
    clicks = belief.seen[-1].clicks
    which = [k for k in range(len(clicks)) if any(each.clicks[k] for each in belief.seen)]
    assert len(which) > 2
    found = belief.posterior(clicks, 400.0, JUMPS)
    compare(belief, found, *conditioned(belief, clicks, 400.0, JUMPS, which), which)


def test_before_anything_was_read_moves_bend_effects_as_differences_of_the_covariance_say():
    belief = Belief(every_kind(), grey_goal())
    belief.scales = SCALES
    clicks = np.array([12.0, 0, -7, 5, 0, 0, 9, 3, 0, -14])
    which = [int(k) for k in np.flatnonzero(clicks)]
    found = belief.posterior(clicks, 60.0)
    compare(belief, found, *conditioned(belief, clicks, 60.0, (), which), which)


def settings(belief: Belief, chance: np.random.Generator) -> list[Floats]:
    """As found, as at each reading, and farther on."""
    met = [each.clicks for each in belief.seen]
    return [np.zeros(len(belief.controls)), *met[:: len(met) // 4], chance.integers(-30, 31, 10)]


@pytest.mark.parametrize("seed", range(8))
def test_what_is_not_known_is_a_covariance_whatever_was_turned_and_turned_back(seed: int):
    chance = np.random.default_rng([seed, 5])
    widths = chance.choice([1, 2.5, 6], 8)
    gain, backlight = Family(3.0, *widths[:3]), Family(0.4, *widths[3:6])
    scales = Scales((("gain", gain), ("backlight", backlight)), *widths[6:])
    belief = of_all_kinds(seed, scales, 30, 6)
    of_effects = np.einsum("knaa->kna", belief._effect_spreads()).reshape(10, -1)
    spreads = [np.diag(belief.prior), *of_effects]
    for clicks in settings(belief, chance):
        found = belief.posterior(clicks, 700.0)
        assert np.linalg.eigvalsh(found.spread).min() > -1e-9
        for j, joint in enumerate(found.joint):
            unit = np.concatenate([np.sqrt(each[3 * j : 3 * j + 3]) for each in spreads]) + 1e-7
            assert np.array_equal(joint, joint.T)
            assert np.linalg.eigvalsh(joint / np.outer(unit, unit)).min() > -1e-6


def test_readings_one_by_one_say_what_they_say_all_at_once():
    whole = of_all_kinds(1)
    one_by_one = Belief(whole.controls, grey_goal())
    one_by_one.open, one_by_one.uneven = whole.open, whole.uneven
    for each in whole.seen:
        one_by_one.add(each)
    assert one_by_one.scales != Scales()
    whole.suppose(one_by_one.hats)
    told(whole, whole.seen, one_by_one.scales)
    same(whole, one_by_one)


def same(one: Belief, other: Belief) -> None:
    clicks = np.arange(10.0) - 4
    first, second = one.posterior(clicks, 900.0), other.posterior(clicks, 900.0)
    for name in ("drives", "spread", "effects", "joint"):
        assert np.allclose(getattr(first, name), getattr(second, name), rtol=1e-7, atol=1e-9)
    assert one.likelihood() == pytest.approx(other.likelihood(), abs=1e-6)


def test_without_drift_the_order_of_readings_does_not_matter():
    whole = of_all_kinds(2)
    at_once = [replace(each, at=0.0) for each in whole.seen]
    other = of_all_kinds(2)
    order = np.random.default_rng(1).permutation(len(at_once))
    same(told(whole, at_once, SCALES), told(other, [at_once[i] for i in order], SCALES))


def test_with_drift_readings_of_long_ago_say_less():
    belief = Belief(two_point(), grey_goal())
    told(
        belief,
        [replace(each, at=10.0) for each in readings(belief, np.random.default_rng(4), 12, 0)],
    )
    soon, late = (belief.posterior(np.zeros(6), at).spread for at in (10.0, 4000.0))
    lit = belief.layout.drive.ravel()
    grown = module.DRIFT**2 * 3990 * 1.2 * lit**2
    assert np.allclose(np.diag(late - soon), grown)


def test_how_surprising_a_reading_is_is_told_by_the_gaussian():
    belief = of_all_kinds(0)
    last = belief.seen[-1]
    told(belief, belief.seen[:-1], SCALES)
    cross = kernel(belief, belief.seen, [last])
    gain = solve(noisy(belief), cross, assume_a="pos").T
    rest = np.concatenate([each.drives for each in belief.seen]) - expected(belief, belief.seen)
    spread = kernel(belief, [last], [last]) - gain @ cross + last.noise
    spread += module.JITTER**2 * np.eye(3)
    off = last.drives - expected(belief, [last]) - gain @ rest
    assert belief.surprise(last) == pytest.approx(off @ np.linalg.inv(spread) @ off, rel=1e-6)


def test_nothing_surprises_who_knows_nothing():
    belief = Belief(two_point(), grey_goal())
    assert belief.surprise(Seen(2, np.full(3, 9.0), np.eye(3), np.zeros(6), 0.0)) == 0.0


def test_likelihoods_of_two_sets_of_sizes_are_as_far_apart_as_their_densities():
    def plain(scales: Scales) -> float:
        belief = of_all_kinds(1, scales)
        drives = np.concatenate([each.drives for each in belief.seen])
        fit = multivariate_normal(expected(belief, belief.seen), noisy(belief)).logpdf(drives)
        sizes = [np.log(family.size) for _, family in scales.families]
        before = multivariate_normal(np.zeros(4), 0.8**2).logpdf(sizes)
        widths = [width for _, (_, *its) in scales.families for width in its]
        return float(
            fit + before - np.log([*widths, scales.bumps, scales.drift, scales.rounded]).sum()
        )

    other = Scales(
        (
            ("gain", Family(0.6, 2.5, 1.0, 6.0)),
            ("offset", Family()),
            ("preset", Family(2.0)),
            ("point", Family(shape=2.5)),
        ),
        6.0,
        2.5,
        4.0,
    )
    apart = of_all_kinds(1, other).likelihood() - of_all_kinds(1).likelihood()
    assert apart == pytest.approx(plain(other) - plain(SCALES), abs=1e-5)


@pytest.mark.parametrize("some", [1, 2, 7])
def test_how_likely_readings_are_with_some_more_is_how_likely_all_of_them_are(some: int):
    whole = of_all_kinds(3)
    part = told(of_all_kinds(3), whole.seen[:-some], SCALES)
    before, version = part.likelihood(), part.version
    assert part.likelihood_with(whole.seen[-some:]) == pytest.approx(whole.likelihood(), abs=1e-6)
    assert part.likelihood() == before != pytest.approx(whole.likelihood(), abs=0.5)
    assert (part.version, len(part.seen)) == (version, 24 - some)
    same(part, told(of_all_kinds(3), whole.seen[:-some], SCALES))


def test_with_a_first_turn_of_a_family_likelihood_counts_its_size_as_known_better():
    """Sizes are unsure while nothing of a family was turned; one that is asked about is turned."""
    belief = Belief(two_point(), grey_goal())
    seen = readings(belief, np.random.default_rng(4), 9, 0)
    turned = replace(seen[-1], clicks=np.array([0.0, 20, 0, 0, 0, 0]))
    told(belief, seen[:-1])
    for _ in range(2):
        with_it = belief.likelihood_with([turned])
        assert with_it == pytest.approx(told(belief, [*seen[:-1], turned]).likelihood(), abs=1e-6)
        told(belief, seen[:-1]).posterior(np.zeros(6), 100.0)


def test_a_change_about_one_point_leaves_the_others_known():
    belief = Belief(two_point(), grey_goal(range(0, 101, 10)))
    told(belief, [replace(s, jumps=()) for s in readings(belief, np.random.default_rng(5), 30, 0)])

    def spreads(*jumps: Jump) -> Floats:
        here = belief.posterior(np.zeros(6), 400.0, jumps)
        return np.sqrt(np.diag(here.spread).reshape(-1, 3).sum(1))

    # white stays as well known as it was, and of the sixth point 4 % more is not known
    grown = spreads(Jump(0, 6)) ** 2 - spreads() ** 2
    lit = belief.layout.drive[6]
    assert grown[6] == pytest.approx((0.04 * lit) @ (0.04 * lit))
    assert grown.argmax() == 6
    assert grown[[0, 1, 2, 3, 9, 10]].max() < 1e-3 * grown[6]
    all_over = spreads(Jump(0)) ** 2 - spreads() ** 2
    assert all_over[[2, 3, 9, 10]].min() > 3 * grown[6]


def test_what_was_dropped_says_nothing_any_more():
    whole = of_all_kinds(1)
    kept = [each for each in whole.seen if each.point != 2]
    whole.drop(lambda each: each.point == 2)
    assert 0 < len(kept) < 24
    same(whole, told(of_all_kinds(1), kept, SCALES))


# ---- displays drawn from the model itself


def drawn(belief: Belief, chance: np.random.Generator, clicks: Floats, at: float) -> Floats:
    """True drives (n, 3) at these settings, and readings told to the belief that go with them."""
    here = at_all_points(belief, clicks, at, ())
    rows = [*belief.seen, *here]
    spread = kernel(belief, rows, rows)
    root = np.linalg.cholesky(spread + 1e-11 * np.eye(len(spread)))
    truth = (expected(belief, rows) + root @ chance.standard_normal(len(spread))).reshape(-1, 3)
    seen = []
    for each, true in zip(belief.seen, truth, strict=False):
        noise = each.noise + module.JITTER**2 * np.eye(3)
        seen.append(replace(each, drives=chance.multivariate_normal(true, noise)))
    belief.seen = seen
    belief.forget()
    return np.asarray(truth[len(seen) :])


def test_of_displays_that_are_as_supposed_k2_holds_95_percent():
    inside, far, count = 0, 0.0, 150
    for seed in range(count):
        chance = np.random.default_rng([seed, 11])
        belief = Belief(two_point(), grey_goal())
        clicks = chance.integers(-20, 21, 6).astype(float)
        told(belief, [replace(s, jumps=()) for s in readings(belief, chance, 14, 3)])
        truth = drawn(belief, chance, clicks, 400.0)
        found = belief.posterior(clicks, 400.0)
        off, deviations = truth - found.drives, np.sqrt(np.diag(found.spread)).reshape(-1, 3)
        place = int(chance.integers(6)), int(chance.integers(3))
        inside += abs(off[place]) < 2 * deviations[place]
        far += float(off.ravel() @ np.linalg.solve(found.spread, off.ravel()))
    assert binom.ppf(0.0005, count, 0.9545) <= inside
    low, high = chi2.ppf([0.0005, 0.9995], 18 * count)
    assert low < far < high


@pytest.mark.parametrize("true", [0.4, 1.0, 2.5])
def test_what_a_click_does_is_learnt_whatever_was_supposed(true: float):
    """Of a display by formula whose gains all do more, or less, than supposed."""
    chance = np.random.default_rng(8)
    belief = Belief(two_point(), grey_goal(range(0, 101, 10)))
    clicks, at = np.zeros(6), 0.0
    noise = 0.001**2 * np.eye(3)
    for turned in (None, *(0, 1, 2) * 4):
        if turned is not None:
            clicks = clicks.copy()
            clicks[turned] += float(chance.choice([-8, 8]))
        for point in (10, 7, 4):
            at += 5
            moved = sum(clicks[k] * true * belief.means[k, point] for k in range(6))
            drives = belief.layout.drive[point] + moved + chance.normal(0, 0.001, 3)
            belief.add(Seen(point, drives, noise, clicks, at))
    assert belief.scales.of("offset") == Family()
    found = belief.posterior(clicks, at)
    for k in range(3):
        its, supposed = found.effects[10, k, k], belief.means[k, 10, k]
        assert its / supposed == pytest.approx(true, rel=0.06)
        spread = np.sqrt(found.joint[10, 3 + 4 * k, 3 + 4 * k])
        assert spread < 0.15 * true * supposed
        assert abs(its - true * supposed) < 3 * spread


def test_the_size_of_a_family_comes_near_that_of_displays_drawn_with_it():
    found = []
    for seed in range(12):
        chance = np.random.default_rng([seed, 12])
        belief = Belief(two_point(), grey_goal())
        seen = [replace(each, jumps=()) for each in readings(belief, chance, 24, 7)]
        moved = [replace(s, clicks=s.clicks * [1, 1, 1, 0, 0, 0]) for s in seen]
        told(belief, moved, Scales((("gain", Family(3.0)),)))
        drawn(belief, chance, np.zeros(6), 0.0)
        again = Belief(two_point(), grey_goal())
        for each in belief.seen:
            again.add(each)
        found.append(again.scales.of("gain").size)
    assert 1.8 < np.exp(np.log(found).mean()) < 4


@pytest.mark.parametrize("stretch", [0.91, 1.0])
def test_it_is_found_out_where_the_points_of_a_menu_act(stretch: float):
    controls = [control("point", "green", level) for level in range(10, 101, 10)]
    goal = grey_goal(range(0, 101, 5))
    belief, chance = Belief(controls, goal), np.random.default_rng(6)
    true = [each.mean.reshape(-1, 3) for each in effects(controls, goal, Hats(stretch))]
    clicks, at = np.zeros(10), 0.0
    for turned in (None, 9, 6, 3, 8, 5):
        if turned is not None:
            clicks = clicks.copy()
            clicks[turned] += 25
        for point in range(4, 21, 2):
            at += 5
            moved = sum(clicks[k] * true[k][point] for k in range(10))
            drives = belief.layout.drive[point] + moved + chance.normal(0, 0.001, 3)
            belief.add(Seen(point, drives, 0.001**2 * np.eye(3), clicks, at))
    assert belief.hats.stretch == stretch


def rounded(seed: int, bits: int) -> Belief:
    """Readings of a display that rounds its drives to codes, while green's gain is turned."""
    belief = Belief([control("gain", "green")], grey_goal(range(0, 101, 5)))
    chance, steps, at = np.random.default_rng(seed), 2**bits - 1, 0.0
    for turn in range(8):
        for point in range(4, 21):
            at += 5
            part = slice(3 * point, 3 * point + 3)
            drives = belief.layout.drive[point] + 3 * turn * belief.effects[0].mean[part]
            drives = np.round(drives * steps) / steps + chance.normal(0, 0.0005, 3)
            belief.seen.append(
                Seen(point, drives, 0.0005**2 * np.eye(3), np.array([3.0 * turn]), at)
            )
    belief.forget()
    return belief


@pytest.mark.parametrize(("bits", "coarser"), [(8, 4.0), (12, 1.0)])
def test_how_coarsely_a_display_rounds_is_found_out(bits: int, coarser: float):
    belief = rounded(1, bits)
    for _ in range(3):
        belief.fit(hats=False)
    assert belief.scales.rounded == coarser


def test_what_is_rounded_stays_so_however_often_it_is_read_until_it_is_turned():
    """In 8 bits it is 0.0011 of the drives: a reading more does not tell it from what they are."""
    belief = Belief([control("point", "green", 50)], grey_goal(range(0, 101, 50)))
    noise = 0.0004**2 * np.eye(3)
    seen = [Seen(1, belief.layout.drive[1], noise, np.zeros(1), 5.0 * n) for n in range(40)]
    told(belief, seen, Scales(rounded=4.0, drift=0.0))

    def unknown(clicks: float) -> float:
        there = belief.posterior(np.array([clicks]), 200.0).spread
        return float(np.sqrt(there[4, 4]))

    assert unknown(0) < 0.0002
    assert unknown(25) > 0.0011


@pytest.mark.parametrize("rough", [1.0, 6.0])
def test_a_curve_that_is_rougher_than_supposed_is_found_to_be(rough: float):
    found = []
    for seed in range(8):
        chance = np.random.default_rng([seed, 13])
        belief = Belief(two_point(), grey_goal(range(0, 101, 10)))
        told(belief, [replace(s, jumps=()) for s in readings(belief, chance, 24, 0)])
        belief.scales = Scales(bumps=rough)
        drawn(belief, chance, np.zeros(6), 0.0)
        again = Belief(two_point(), grey_goal(range(0, 101, 10)))
        for each in belief.seen:
            again.add(each)
        found.append(again.scales.bumps)
    assert (np.median(found) > 2) == (rough > 1)


def click_by_click(
    chance: np.random.Generator, effects_of: Floats, curve: Floats | None = None
) -> Belief:
    """Told of a display by formula: drives go with each control's effect (6, n, 3) and clicks.

    Args:
        chance: of the noise, 0.001 of the drives.
        effects_of: what a click adds.
        curve: (6, 101) where each control stands after so many clicks above -50; in proportion
            where None.
    """
    belief = Belief(two_point(), grey_goal(range(0, 101, 10)))
    clicks, at = np.zeros(6), 0.0
    there = np.tile(np.arange(101.0), (6, 1)) - 50 if curve is None else curve
    for turned in (None, *range(6), *range(6)):
        if turned is not None:
            clicks = clicks.copy()
            clicks[turned] = (clicks[turned] + chance.choice([-9, 7, 11])).clip(-50, 50)
        stands = there[np.arange(6), (clicks + 50).astype(int)]
        for point in (10, 6, 2):
            at += 5
            drives = belief.layout.drive[point] + stands @ effects_of[:, point]
            drives = drives + chance.normal(0, 0.001, 3)
            belief.add(Seen(point, drives, 0.001**2 * np.eye(3), clicks, at))
    return belief


def test_sizes_are_found_family_by_family():
    """Of a display by formula whose gains do twice what is supposed, and offsets half of it."""
    supposed = Belief(two_point(), grey_goal(range(0, 101, 10))).means
    shares = np.array([2.0, 2, 2, 0.5, 0.5, 0.5])
    belief = click_by_click(np.random.default_rng(14), supposed * shares[:, None, None])
    # it goes by steps of a quarter, and stops where they are as likely to be unlike each other
    assert belief.scales.of("gain").size > 1.1
    assert belief.scales.of("offset").size < 0.7


def test_controls_that_are_less_alike_than_supposed_widen_their_own_family_alone():
    """Of a display by formula whose gains of red and of blue do the opposite of each other."""
    supposed = Belief(two_point(), grey_goal(range(0, 101, 10))).means
    shares = np.array([1.5, 1.0, -1.5, 1, 1, 1])
    belief = click_by_click(np.random.default_rng(15), supposed * shares[:, None, None])
    gain, offset = (belief.scales.of(does) for does in ("gain", "offset"))
    assert gain.own > 1
    assert offset == offset._replace(own=1.0, shape=1.0, uneven=1.0)
    found = belief.posterior(belief.seen[-1].clicks, belief.seen[-1].at)
    for k, share in ((0, 1.5), (2, -1.5)):
        assert found.effects[10, k, k] / supposed[k, 10, k] == pytest.approx(share, rel=0.1)


@pytest.mark.parametrize("rough", [False, True])
def test_a_family_of_uneven_clicks_is_found_to_be_one(rough: bool):
    """Of a display by formula whose gains skip: each click does nothing or up to thrice as much."""
    supposed = Belief(two_point(), grey_goal(range(0, 101, 10))).means
    found = []
    for seed in range(3):
        chance = np.random.default_rng([seed, 16])
        curve = np.tile(np.arange(101.0), (6, 1)) - 50
        if rough:
            steps = chance.choice([0, 0, 3], (3, 100))
            curve[:3, 1:] = np.cumsum(steps, 1)
            curve[:3] -= curve[:3, 50:51]
        belief = click_by_click(chance, supposed, curve)
        found.append([belief.scales.of(does).uneven for does in ("gain", "offset")])
    gain, offset = np.median(found, axis=0)
    assert (gain > 1) == rough
    assert offset == 1


def test_of_very_many_readings_the_oldest_are_let_go(monkeypatch):
    monkeypatch.setattr(module, "MOST_SEEN", 30)
    monkeypatch.setattr(module, "DROPPED", 10)
    belief = Belief(two_point(), grey_goal())
    rows = readings(belief, np.random.default_rng(3), 35, 5)
    for row in rows:
        belief.add(row)
    assert [each.at for each in belief.seen] == [row.at for row in rows[10:]]
    whole = told(Belief(two_point(), grey_goal()), belief.seen, belief.scales)
    assert whole.likelihood() == pytest.approx(belief.likelihood())
