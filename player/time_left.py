"""How long a run still takes: what each step needs, and how fast readings are really taken."""

from __future__ import annotations

from statistics import median

from patterns.canvas import Canvas
from patterns.kinds.moving_box import MovingBox
from player.zone_count import is_comb, is_crawl
from sequences.model import READING_TAKES, Sequence, Step

COMBS = 3
"""Combs that a comb step asks for as a rule, until the count is certain."""
FEWEST, MOST = 3, 15
"""Readings from which the pace of a run is taken, and how many of the last ones count."""


def step_seconds(step: Step, canvas: Canvas, reading: float = READING_TAKES) -> float:
    """Seconds that a step takes: it settles, a box goes its way, and it is read.

    Args:
        step: the step.
        canvas: where it is shown, whose size decides how far a box has to go.
        reading: what a reading takes, s.
    """
    taken = float(step.settle)
    if is_crawl(step) and isinstance(step.pattern, MovingBox):
        return taken + max(float(step.pattern.seconds_to_end(canvas)), READING_TAKES)
    if is_comb(step):
        return taken + COMBS * READING_TAKES
    return taken + (reading if step.read is not None else 0)


def sequence_seconds(sequence: Sequence, canvas: Canvas) -> float:
    """Seconds that a whole sequence takes on a canvas, at the usual guess for a reading."""
    return float(sum(step_seconds(step, canvas) for step in sequence.steps))


class Pace:
    """What readings take in this run, once there are some to go by."""

    def __init__(self) -> None:
        self._took: list[float] = []

    def took(self, seconds: float) -> None:
        """A reading was taken so long after its step had settled."""
        self._took.append(max(seconds, 0.0))

    @property
    def seconds(self) -> float:
        """Seconds a reading: the median of the last ones, or the usual guess."""
        if len(self._took) < FEWEST:
            return float(READING_TAKES)
        return float(median(self._took[-MOST:]))
