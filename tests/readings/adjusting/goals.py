"""What is asked of an invented display, and the best that its menu can do about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear

from patterns.aim import NOT_STATED, Aim
from patterns.signal.signal import named_signal
from readings.adjusting.goal import Goal, Point, greys
from tests.readings.adjusting.displays import MENUS, Display

Floats = NDArray[np.float64]
COLOURS = {
    "red": (0.75, 0.2, 0.2),
    "green": (0.2, 0.75, 0.2),
    "blue": (0.2, 0.2, 0.75),
    "cyan": (0.2, 0.75, 0.75),
    "magenta": (0.75, 0.2, 0.75),
    "yellow": (0.75, 0.75, 0.2),
}


def signals_of(goal: Goal) -> Floats:
    """The signals (n, 3) of a goal's points."""
    return np.array([point.signal for point in goal.points], np.float64)


def goal_of(display: Display, seed: int) -> Goal:
    """What is asked of a display, from readings of it as it was found: of 20 s each."""
    chance = np.random.default_rng([seed, MENUS.index(display.menu), 7])
    noise = 1 + chance.normal(0, 0.002, 3)
    found = [control.found for control in display.controls]
    white = display.xyz_at(found, np.ones((1, 3)))[0] * noise
    black = display.xyz_at(found, np.zeros((1, 3)))[0] * noise
    aim = NOT_STATED
    if any(control.does == "backlight" for control in display.controls) and not display.pq:
        aim = Aim(white=round(float(white[1]) * chance.uniform(0.5, 0.95)))
    if not display.pq and chance.random() < 0.6:
        aim = Aim(curve=str(chance.choice(["power 2.2", "power 2.4"]))).over(aim)
    signal = named_signal("pq10" if display.pq else "sdr10")
    return Goal.of(_points(display), signal, white, black, aim)


def _points(display: Display) -> tuple[Point, ...]:
    if display.menu == "six-colour":
        return tuple(Point(name, at) for name, at in COLOURS.items())
    if display.pq:
        return greys([*range(10, 60, 5), 60, 65, 70, 75, 100])
    return greys(range(0, 101, 5 if display.menu == "twenty-point" else 10))


@dataclass(frozen=True)
class Best:
    """The best that was found of a display by whole clicks."""

    largest: float
    """Largest delta E over the points, true light, warm."""
    values: tuple[float, ...]
    """What the menus read there."""


def reachable(display: Display, goal: Goal, seed: int = 0, restarts: int = 2) -> Best:
    """Search with all that there is to know of a display, of whole clicks of its controls."""
    return _Search(display, goal, np.random.default_rng([seed, 99])).best(restarts)


class _Search:
    def __init__(self, display: Display, goal: Goal, chance: np.random.Generator) -> None:
        self.display, self.goal, self.chance = display, goal, chance
        self.signals = signals_of(goal)
        self.top = np.array([len(table) - 1.0 for table in display.tables])

    def best(self, restarts: int) -> Best:
        found = self.display.clicks_found()
        starts = [found, self.squares(found)]
        ends = [self.descend(start) for start in starts]
        for _ in range(restarts):
            best = min(ends, key=self.largest)
            away = self.chance.normal(0, 2, len(best)) * (self.chance.random(len(best)) < 0.3)
            ends.append(self.descend(self.inside(np.round(self.squares(best + away, 3)))))
        best = min(ends, key=self.largest)
        values = tuple(
            float(min(control.lowest + clicks * control.step, control.highest))
            for control, clicks in zip(self.display.controls, best, strict=True)
        )
        return Best(self.largest(best), values)

    def errors(self, clicks: Floats) -> Floats:
        """(b, p) of (b, n)."""
        return self.goal.errors(self.display.many(clicks, self.signals))

    def largest(self, clicks: Floats) -> float:
        return float(self.errors(clicks[None]).max())

    def cost(self, clicks: Floats) -> Floats:
        """(b,): a smooth maximum, the worst point far above the others."""
        errors = self.errors(clicks)
        return np.asarray((errors**12).mean(1) ** (1 / 12) + 0.02 * errors.mean(1))

    def inside(self, clicks: Floats) -> Floats:
        return np.asarray(np.clip(clicks, 0, self.top))

    def squares(self, start: Floats, rounds: int = 12) -> Floats:
        """Least squares of the drives' errors, weighed as delta E weighs them, by whole clicks."""
        at, best = start, start
        for _ in range(rounds):
            reach = np.maximum(1.0, 0.02 * self.top)
            ways = np.concatenate([at + np.diag(reach), at - np.diag(reach)])
            ways = self.inside(ways)
            off = self._weighed(np.concatenate([at[None], ways]))
            n = len(at)
            apart = np.maximum((ways[:n] - ways[n:]).sum(1), 1e-9)
            slopes = ((off[1 : n + 1] - off[n + 1 :]) / apart[:, None]).T
            hold = 0.02 * np.eye(n)
            step = lsq_linear(
                np.concatenate([slopes, hold]),
                np.concatenate([-off[0], np.zeros(n)]),
                bounds=(-at - 1e-6, self.top - at + 1e-6),
            ).x
            tries = self.inside(np.round(at + np.array([1, 0.6, 0.3])[:, None] * step))
            at = tries[self.cost(tries).argmin()]
            if self.cost(at[None])[0] < self.cost(best[None])[0]:
                best = at
        return best

    def _weighed(self, clicks: Floats) -> Floats:
        """(b, 3 p)."""
        light = self.display.many(clicks, self.signals)
        off = self.goal.drives(light) - self.goal.wanted
        values, vectors = np.linalg.eigh(self.goal.squares)
        roots = np.sqrt(np.maximum(values, 0))[..., None] * vectors.transpose(0, 2, 1)
        return np.einsum("pij,bpj->bpi", roots, off).reshape(len(clicks), -1)

    def descend(self, start: Floats, most: int = 250) -> Floats:
        """By the best of single steps; where there is none, by pairs of steps."""
        at, cost = start, self.cost(start[None])[0]
        stuck = 0
        sizes = np.array([1, -1, 2, -2, 4, -4, 8, -8])
        singles = np.concatenate([size * np.eye(len(at)) for size in sizes])
        for _ in range(most):
            ways = singles if not stuck else self._pairs(len(at))
            tries = self.inside(at + ways)
            costs = self.cost(tries)
            if costs.min() < cost - 1e-6:
                at, cost, stuck = tries[costs.argmin()], costs.min(), 0
            else:
                stuck += 1
            if stuck > 6:
                break
        return at

    def _pairs(self, n: int) -> Floats:
        ways = np.zeros((300, n))
        for _ in range(2):
            place = self.chance.integers(n, size=len(ways))
            ways[np.arange(len(ways)), place] += self.chance.choice([-2, -1, 1, 2], len(ways))
        if self.display.points is not None or n <= 8:
            # the channels of one place together move its luminance alone
            three = self.chance.integers(n // 3, size=100) * 3
            for k in range(3):
                ways[np.arange(100), np.minimum(three + k, n - 1)] = self.chance.choice(
                    [-1, 0, 1], 100
                )
        return ways
