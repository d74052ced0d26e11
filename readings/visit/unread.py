"""The steps of a run that ask for a reading and have none, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from readings.visit.records import Step

SKIPPED = "skipped"
SHOWN = "shown, but nothing was read"
NOT_REACHED = "not reached"


@dataclass(frozen=True, slots=True)
class UnreadStep:
    """A step without a current reading."""

    step: Step
    why: str
    """`skipped: needs someone at the screen to count`, or one of the words above."""


def unread_steps(
    steps: Iterable[Step], read: set[int], skipped: Mapping[int, str], shown: set[int]
) -> Iterator[UnreadStep]:
    """The steps of a run without a reading, in the order of its plan.

    Args:
        steps: the plan.
        read: numbers of the steps with a reading.
        skipped: why a step was passed over, by its number; empty where nobody said.
        shown: numbers of the steps that were on screen.
    """
    for step in steps:
        if step.quantity is None or step.number in read:
            continue
        if step.number in skipped:
            because = skipped[step.number]
            yield UnreadStep(step, f"{SKIPPED}: {because}" if because else SKIPPED)
        else:
            yield UnreadStep(step, SHOWN if step.number in shown else NOT_REACHED)
