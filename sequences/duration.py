"""How long steps and a whole sequence take."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from patterns.kinds.moving_box import MovingBox
from patterns.picture.canvas import Canvas
from sequences.model import READING_TAKES, Sequence, Step
from sequences.zone_steps import is_comb, is_crawl

ADJUSTING_TAKES = 15 * 60
"""Seconds that ten-point or six-colour controls take: a choice of our own. In trials of ours on
invented displays ten-point controls took 10 minutes (median) to 18 (nine of ten)."""
FEW_TAKE = 6 * 60
"""The same of other controls; two-point controls took 5.4 minutes there (median)."""
MANY = ("multi-point", "six-colour")
"""Menus of many controls."""
STILL_TAKES = 0.2
"""Share of these that an adjustment is taken to take still, once they have passed: our own."""
COMBS = 3
"""Combs that a comb step asks for as a rule, until the count is certain."""


class Takes(NamedTuple):
    """What a step takes, in seconds: worked out once, since it is added up ten times a second."""

    settle: float
    rest: float | None
    """After settling; None for one reading, whose time is that of the run's pace."""
    warm_up: float
    at_least: float = 0.0
    """Seconds that are taken to be left as long as it is not done, however long it took."""


def takes(step: Step, canvas: Canvas) -> Takes:
    """What a step takes: it settles, a box goes its way, and it is read.

    Args:
        step: the step.
        canvas: where it is shown, whose size decides how far a box has to go.
    """
    rest, at_least = None if step.read is not None else 0.0, 0.0
    if is_crawl(step) and isinstance(step.pattern, MovingBox):
        rest = max(float(step.pattern.seconds_to_end(canvas)), float(READING_TAKES))
    elif step.read is not None and step.read.adjusts:
        rest = float(ADJUSTING_TAKES if set(MANY) & set(step.read.adjusts) else FEW_TAKE)
        at_least = STILL_TAKES * rest
    elif is_comb(step):
        rest = COMBS * READING_TAKES + (COMBS - 1) * float(step.settle)  # each comb settles
    return Takes(float(step.settle), rest, float(step.warm_up), at_least)


def ends(
    steps: Iterable[Takes],
    reading: float = READING_TAKES,
    on_for: float = 0.0,
    *,
    passed: float = 0.0,
    enough: float = 0.0,
) -> list[float]:
    """Seconds until each of these steps is done, one after another.

    Args:
        steps: what each takes, in the order in which they are played.
        reading: what a reading takes, s.
        on_for: how long the display has been on already, s, where a step asks for a warm-up.
        passed: seconds since the first of them came up.
        enough: the longest warm-up that need not be waited for any more, s.
    """
    now, done = 0.0, []
    for settle, fixed, warm_up, at_least in steps:
        rest = reading if fixed is None else fixed
        # what has passed eats into no other step
        now += max(settle + rest - passed, at_least)
        if warm_up > enough and warm_up > on_for:
            now = max(now, warm_up - on_for + rest)  # settling and warming up go on side by side
        passed = 0.0
        done.append(now)
    return done


def sequence_seconds(sequence: Sequence, canvas: Canvas, on_for: float = 0.0) -> float:
    """Seconds that a whole sequence takes on a canvas, at the usual guess for a reading.

    Args:
        sequence: which.
        canvas: where it is shown.
        on_for: how long the display has been on before it, s, where a step asks for a warm-up.
    """
    steps = (takes(step, canvas) for step in sequence.steps)
    return max(ends(steps, on_for=on_for), default=0.0)
