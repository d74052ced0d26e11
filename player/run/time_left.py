"""How long a run still takes: what each step needs, and how fast readings are really taken."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from statistics import median
from typing import NamedTuple

from patterns.kinds.moving_box import MovingBox
from patterns.picture.canvas import Canvas
from player.run.zone_count import is_comb, is_crawl
from sequences.model import IMPORTANCES, READING_TAKES, Sequence, Step

COMBS = 3
"""Combs that a comb step asks for as a rule, until the count is certain."""
FEWEST, MOST = 3, 15
"""Readings from which the pace of a run is taken, and how many of the last ones count."""


class Takes(NamedTuple):
    """What a step takes, in seconds: worked out once, since it is added up ten times a second."""

    settle: float
    rest: float | None
    """After settling; None for one reading, whose time is that of the run's pace."""
    warm_up: float


def takes(step: Step, canvas: Canvas) -> Takes:
    """What a step takes: it settles, a box goes its way, and it is read.

    Args:
        step: the step.
        canvas: where it is shown, whose size decides how far a box has to go.
    """
    rest = None if step.read is not None else 0.0
    if is_crawl(step) and isinstance(step.pattern, MovingBox):
        rest = max(float(step.pattern.seconds_to_end(canvas)), float(READING_TAKES))
    elif is_comb(step):
        rest = COMBS * READING_TAKES + (COMBS - 1) * float(step.settle)  # each comb settles
    return Takes(float(step.settle), rest, float(step.warm_up))


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
    for settle, fixed, warm_up in steps:
        rest = reading if fixed is None else fixed
        # what has passed eats into no other step
        now += max(settle + rest - passed, 0.0)
        if warm_up > enough and warm_up > on_for:
            now = max(now, warm_up - on_for + rest)  # settling and warming up go on side by side
        passed = 0.0
        done.append(now)
    return done


def sequence_seconds(sequence: Sequence, canvas: Canvas) -> float:
    """Seconds that a whole sequence takes on a canvas, at the usual guess for a reading.

    The display counts as turned on just before, where a step asks for a warm-up.
    """
    return max(ends(takes(step, canvas) for step in sequence.steps), default=0.0)


def important_first(
    steps: Iterable[Step], is_open: Callable[[Step], bool], now: int
) -> tuple[int, ...]:
    """The numbers of steps in the order for when time runs short.

    First what is done, then the step on screen, then what is open, by importance; each as it was.

    Args:
        steps: in the order so far.
        is_open: whether a step has still to be played.
        now: the number of the step on screen.
    """

    def rank(step: Step) -> int:
        if step.number == now:
            return 1
        return 2 + IMPORTANCES.index(step.importance) if is_open(step) else 0

    return tuple(step.number for step in sorted(steps, key=rank))


def numbers_said(numbers: Iterable[int], most: int = 6) -> str:
    """Numbers of steps in words, runs of them together: ``step 3``, ``steps 2, 5 to 9``."""
    spans: list[tuple[int, int]] = []
    for number in sorted(numbers):
        first, last = spans[-1] if spans else (number, number - 2)
        if number == last + 1:
            spans[-1] = first, number
        else:
            spans.append((number, number))
    said: list[str] = []
    for first, last in spans:
        near = last - first < 2  # "3, 4" is shorter than "3 to 4"
        said += [str(n) for n in range(first, last + 1)] if near else [f"{first} to {last}"]
    more = ", …" if len(said) > most else ""
    one = len(said) == 1 and said[0].isdigit()
    return f"step{'' if one else 's'} {', '.join(said[:most])}{more}"


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
