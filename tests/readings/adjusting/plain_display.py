"""A display by formula whose menu does as told, later, or not: for tests of what an adviser says.

Drives (`goal.py`) are those wanted times what it was made with, plus what clicks add in proportion:
a gain the drive itself, an offset what is left to white, a point a triangle about its level.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from patterns.control import PRIMARIES, Control
from readings.adjusting.advice import Advice, Look, Turn
from readings.adjusting.adviser import Adviser
from readings.adjusting.goal import Goal
from readings.evidence.repeatability import Repeatability
from tests.readings.adjusting.made import grey_goal, two_point

Floats = NDArray[np.float64]
PER_CLICK = {"gain": 0.0022, "offset": 0.001, "point": 0.0016}
METER = Repeatability(0.005, 0.0007, 0.002)
TURN = 8.0
"""Seconds."""


class PlainDisplay:
    """What is read and turned of one, with a clock.

    Args:
        off: share by which red, green and blue drives are too high as found.
        controls: gains and offsets where not said.
        lag: seconds after which the menu acts.
        read: seconds of a reading.
        seed: of the meter's noise.
    """

    def __init__(
        self,
        off: Sequence[float] = (0.0, 0.0, 0.0),
        controls: Sequence[Control] | None = None,
        lag: float = 0.0,
        read: float = 4.0,
        seed: int = 1,
        levels: Sequence[float] = range(0, 101, 10),
    ) -> None:
        self.controls = list(controls or two_point())
        self.goal: Goal = grey_goal(levels)
        self.signal = np.array([point.signal[0] for point in self.goal.points])
        self.found = self.goal.wanted * (1 + np.array(off))
        self.lag, self.read_seconds, self.clock = lag, read, 0.0
        self.chance = np.random.default_rng(seed)
        self.menu = np.zeros(len(self.controls))
        """Clicks of each control from where it was found."""
        self._settings = [(-np.inf, self.menu.copy())]
        self.besides: Callable[[Floats], Floats] = lambda drives: drives
        """What else happens to its drives (n, 3)."""

    def adviser(self) -> Adviser:
        return Adviser(self.controls, self.goal, METER)

    def effect(self, k: int) -> Floats:
        """(n, 3) what a click adds to the drives."""
        its = self.controls[k]
        lit = self.goal.wanted.mean(1)
        added = {"gain": lit, "offset": 1 - lit}.get(its.does)
        if added is None:
            away = np.abs(self.signal - (its.level or 0) / 100)
            added = np.maximum(1 - away / 0.1, 0)
        own = np.eye(3)[PRIMARIES.index(its.channel or "red")]
        return np.asarray(np.outer(added, own) * PER_CLICK[its.does])

    def drives(self) -> Floats:
        """(n, 3) now."""
        acting = [menu for at, menu in self._settings if at + self.lag <= self.clock][-1]
        moved = sum(acting[k] * self.effect(k) for k in range(len(self.controls)))
        return self.besides(self.found + moved)

    def errors(self) -> Floats:
        """(n,) true delta E now."""
        return self.goal.errors(self.goal.light(self.drives()))

    def set(self, control: int, clicks: float) -> None:
        """Turn a control by some clicks."""
        self.menu[control] += clicks
        self._settings.append((self.clock, self.menu.copy()))

    def read(self, point: int) -> Floats:
        """XYZ (3,) of a point, after the time that it takes."""
        self.clock += self.read_seconds
        light = self.goal.light(self.drives()[point])
        return np.asarray(self.chance.multivariate_normal(light, METER.covariance(light)))


Told = Callable[[Adviser], None]


class Sitting:
    """Somebody who does with a display what an adviser says; keeps what the adviser was told."""

    def __init__(self, display: PlainDisplay) -> None:
        self.display, self.adviser = display, display.adviser()
        self.told: list[Told] = []

    def tell(self, told: Told) -> None:
        self.told.append(told)
        told(self.adviser)

    def read(self, point: int) -> None:
        """Read a point, after a turn until it is as expected or two agree, and tell it."""
        xyz = self.display.read(point)
        for _ in range(4):
            if not self.adviser.turn_unread or self.adviser.expects(point, xyz):
                break
            before, xyz = xyz, self.display.read(point)
            spread = np.sqrt(np.diag(METER.covariance(xyz)))
            if (np.abs(xyz - before) <= 2 * np.sqrt(2) * spread).all():
                break
        at = self.display.clock
        self.tell(lambda adviser: adviser.read(point, xyz, at))

    def say(self, control: int, clicks: float) -> None:
        """Tell that a control was turned by some clicks, whatever was."""
        its, at = self.adviser.controls[control], self.display.clock
        now = self.adviser.values[control]
        to = now + clicks * its.step
        self.tell(lambda adviser: adviser.turned(control, to, at))

    def turn(self, control: int, clicks: float) -> None:
        """Turn a control, and tell it."""
        self.display.clock += TURN
        self.display.set(control, clicks)
        self.say(control, clicks)

    def follow(self) -> Advice:
        """Do what is advised once. What that was."""
        advice = self.adviser.advice
        if isinstance(advice, Look):
            self.read(advice.point)
        elif isinstance(advice, Turn):
            for move in advice.moves:
                its = self.adviser.controls[move.control]
                self.turn(move.control, round((move.to - move.now) / its.step))
        return advice

    def until(self, *kinds: type, most: int = 60) -> Advice:
        """Do what is advised until it is one of these. It, not yet done."""
        for _ in range(most):
            if isinstance(self.adviser.advice, kinds):
                return self.adviser.advice
            self.follow()
        raise AssertionError(f"{most} pieces of advice, and none is {kinds}")

    def all_read(self) -> None:
        """Read until nothing is asked for first, after a turn, or again."""
        while isinstance(advice := self.adviser.advice, Look) and advice.why in (
            *("first", "after", "late", "again"),
        ):
            self.follow()
