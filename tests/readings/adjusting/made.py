"""A goal, controls of every kind, and readings by chance, for tests of the mathematics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.aim import D65, NOT_STATED, Aim
from patterns.control import PRIMARIES, Channel, Control, Does
from patterns.signal.signal import named_signal
from readings.adjusting.belief import Belief, Jump, Posterior, Seen
from readings.adjusting.goal import Goal, greys
from readings.adjusting.planning import Loss
from readings.evidence.aim import matrix_of

Floats = NDArray[np.float64]
JUMPS = (Jump(0), Jump(1, 2))


def mixed(channels: ArrayLike, signal: str = "sdr10") -> Floats:
    """XYZ of light of the channels in cd/m2, with the primaries of a signal."""
    matrix = matrix_of(named_signal(signal).primaries, D65)
    return np.asarray(np.asarray(channels, np.float64) @ matrix.T)


def grey_goal(
    levels: Sequence[float] = range(0, 101, 20),
    white: ArrayLike = (104, 100, 92),
    black: ArrayLike = (0.06, 0.05, 0.05),
    aim: Aim = NOT_STATED,
    signal: str = "sdr10",
) -> Goal:
    """A goal of greys, with white and black as found in light of the channels, cd/m2."""
    lights = mixed(white, signal), mixed(black, signal)
    return Goal.of(greys(levels), named_signal(signal), *lights, aim)


def believing(goal: Goal, its: Posterior, errors: ArrayLike, spread: float) -> Loss:
    """With the greys' delta E as believed, and its deviation; black is as wanted.

    Of three numbers that are not known two are across what is known to be off.
    """
    drives, joint = goal.wanted.copy(), its.joint.copy()
    drives[1:, 1] += np.asarray(errors, np.float64) / np.sqrt(goal.squares[1:, 1, 1])
    joint[1:, :3, :3] *= (2 * spread**2 / Loss(goal, its).unsure[1:])[:, None, None]
    return Loss(goal, replace(its, drives=drives, joint=joint))


def control(does: Does, channel: Channel | None = None, level: float | None = None) -> Control:
    """A control of 101 clicks, found a little above its middle."""
    name = " ".join(str(each) for each in (does, channel, level) if each is not None)
    return Control(name, does, channel, level, -50, 50, 1, 10)


def two_point() -> list[Control]:
    """Gains, then offsets, of red, green and blue."""
    return [control(does, channel) for does in ("gain", "offset") for channel in PRIMARIES]


def every_kind() -> list[Control]:
    """Two-point controls, a backlight, a preset, two points."""
    points = [control("point", "green", 60), control("point", "red", 40)]
    return [*two_point(), control("backlight"), control("preset"), *points]


def readings(belief: Belief, chance: np.random.Generator, count: int, turns: int) -> list[Seen]:
    """Readings of points by chance, with turns between them, some of them back to as found.

    Late among them all of the display changes, and later what is about its third point.
    """
    controls, found, at = belief.controls, [], 0.0
    clicks = np.zeros(len(controls))
    for place in range(count):
        if place % max(count // (turns + 1), 1) == 0 and place:
            k = int(chance.integers(len(controls)))
            clicks = clicks.copy()
            clicks[k] = chance.integers(-30, 31) * (chance.random() < 0.7)
        at += float(chance.uniform(2, 20))
        point = int(chance.integers(len(belief.layout.signal)))
        off = chance.normal(0, 0.03, 3)
        root = chance.normal(0, 0.002, (3, 3))
        noise = root @ root.T + 1e-6 * np.eye(3)
        drives = belief.layout.drive[point] + off
        jumps = JUMPS[: (3 * place > 2 * count) + (6 * place > 5 * count)]
        found.append(Seen(point, drives, noise, clicks, at, jumps))
    return found
