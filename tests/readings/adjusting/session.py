"""A sitting with one display: a clock that all share, a meter with its noise, and slips."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from readings.adjusting.goal import Goal
from tests.readings.adjusting.displays import Display
from tests.readings.adjusting.goals import signals_of

Floats = NDArray[np.float64]

AGAIN = 0.4
"""Of the seconds of a change, where the page is open already."""
CLICK_SECONDS = 0.12
SLIPS = ("wrong control", "wrong sign", "forgotten", "wrong number told")


class TimeIsUpError(Exception):
    """The sitting has had its time."""


@dataclass(frozen=True)
class MeterNoise:
    """How a meter reads; k = 1."""

    relative: float = 0.005
    chromaticity: float = 0.0007
    """In good light. With the floor, x and y scatter by 0.002 at about half a cd/m2."""
    floor: float = 0.002
    """Of X, Y, Z, cd/m2."""
    factor: float = 1.0
    """Its calibration of light is off by that."""
    off: tuple[float, float] = (0.0, 0.0)
    """Its x and y are off by that."""

    @property
    def scatter(self) -> tuple[float, float, float]:
        """Relative, of x and y, and in the dark."""
        return self.relative, self.chromaticity, self.floor

    def read(self, light: Floats, chance: np.random.Generator) -> Floats:
        """What it reads (3,) of true light (3,)."""
        total = max(float(light.sum()), 1e-9)
        x, y = light[:2] / total + self.off + chance.normal(0, self.chromaticity, 2)
        luminance = self.factor * light[1] * (1 + chance.normal(0, self.relative))
        y = max(y, 0.02)
        made = luminance / y * np.array([x, y, 1 - x - y])
        return np.asarray(made + chance.normal(0, self.floor, 3))


@dataclass
class Session:
    """Turns and reads a display, and counts what it took.

    Args:
        slips: how often a person does something else than meant.
        limit: seconds until TimeIsUpError.
    """

    display: Display
    goal: Goal
    chance: np.random.Generator
    meter: MeterNoise = MeterNoise()
    slips: float = 0.0
    limit: float = 3600.0
    clock: float = 0.0
    changes: int = 0
    readings: int = 0
    slipped: list[str] = field(default_factory=list)
    _page: tuple[object, ...] = ()
    _turned: float = -np.inf

    def __post_init__(self) -> None:
        self.signals = signals_of(self.goal)

    def turn(self, control: int, value: float) -> float:
        """Make a menu read a value, as far as the person does. What is told to have been done."""
        self._in_time()
        now = self.display.menu_values[control]
        page = self._page_of(control)
        its = self.display.controls[control]
        self.clock += self.display.turn_seconds * (AGAIN if page == self._page else 1.0)
        self.clock += CLICK_SECONDS * abs(value - now) / its.step
        self._page, self._turned = page, self.clock
        self.changes += 1
        told = value
        slip = "" if self.chance.random() >= self.slips else str(self.chance.choice(SLIPS))
        if slip:
            self.slipped.append(slip)
        if slip == "wrong control":
            others = [
                i
                for i in range(len(self.display.controls))
                if i != control and self._page_of(i) == page
            ]
            if others:
                other = int(self.chance.choice(others))
                there = self.display.menu_values[other]
                by = (value - now) / its.step * self.display.controls[other].step
                self.display.set(other, there + by, self.clock)
        elif slip == "wrong sign":
            self.display.set(control, 2 * now - value, self.clock)
        elif slip != "forgotten":
            self.display.set(control, value, self.clock)
        if slip == "wrong number told":
            by = float(self.chance.choice([-10, -5, -1, 1, 5, 10]))
            told = min(max(value + by * its.step, its.lowest), its.highest)
        return told

    def _page_of(self, control: int) -> tuple[object, ...]:
        """Controls of one page are before the eyes together."""
        its = self.display.controls[control]
        if its.menu == "six-colour":
            return its.menu, its.channel
        return its.menu, its.does, its.level

    def read(self, point: int) -> Floats:
        """Read a point: XYZ (3,)."""
        self._in_time()
        self.clock += self.display.read_seconds
        self.readings += 1
        light = self.display.xyz(self.signals[point], self.clock)
        return self.meter.read(light, self.chance)

    def settle(self) -> None:
        """Wait until the picture has done what the menu says, as those do who watch it."""
        self.clock = max(self.clock, self._turned + self.display.lag)

    def errors(self) -> Floats:
        """True errors (p,) now, of what the menu reads."""
        return self.goal.errors(self.display.truth(self.signals, self.clock))

    def _in_time(self) -> None:
        if self.clock > self.limit:
            raise TimeIsUpError
