"""How long a run still takes: the order of its steps, and how fast readings are really taken."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from statistics import median

from sequences.model import IMPORTANCES, READING_TAKES, Step

FEWEST, MOST = 3, 15
"""Readings from which the pace of a run is taken, and how many of the last ones count."""


def important_first(
    steps: Iterable[Step],
    is_open: Callable[[Step], bool],
    now: int,
    references: frozenset[int] = frozenset(),
) -> tuple[int, ...]:
    """The numbers of steps in the order for when time runs short.

    First what is done, then the step on screen, then what is open, by importance; each as it was.

    Args:
        steps: in the order so far.
        is_open: whether a step has still to be played.
        now: the number of the step on screen.
        references: numbers of the steps that others need, which are of the first importance.
    """

    def rank(step: Step) -> int:
        if step.number == now:
            return 1
        if not is_open(step):
            return 0
        return 2 + (0 if step.number in references else IMPORTANCES.index(step.importance))

    return tuple(step.number for step in sorted(steps, key=rank))


def numbers_said(numbers: Iterable[int], most: int = 6, thing: str = "step") -> str:
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
    return f"{thing}{'' if one else 's'} {', '.join(said[:most])}{more}"


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
