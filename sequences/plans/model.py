"""What a plan is, once read: the tasks of one sitting, in order."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from patterns.aim import NOT_STATED, Aim
from sequences.model import CAUTIONS, IMPORTANCES, Importance, Sequence

Role = Literal["spot meter", "reference"]
"""The instrument that a sequence is read with."""
Shown = Literal["window", "files"]
"""What shows a sequence: the pattern window, or a media player with exported files."""
Need = Literal["mask", "reference", "stick"]
NEEDS: tuple[Need, ...] = get_args(Need)


@dataclass(frozen=True)
class Play:
    """A sequence to play."""

    sequence: Sequence
    condition: str = ""
    instrument: Role = "spot meter"
    output: Shown = "window"


@dataclass(frozen=True)
class Adjust:
    """Controls of the display to adjust; it is played as its sequence is."""

    what: str
    """The adjustment's name, such as `two-point`."""
    sequence: Sequence
    """The shipped one of that name: `adjust-two-point`."""
    condition: str = ""
    instrument: Role = "spot meter"
    output: Shown = "window"
    """Levels are put up as they are needed, which only the pattern window can."""


@dataclass(frozen=True)
class Tell:
    """Something that the person has to do: `Switch local dimming on`."""

    text: str


@dataclass(frozen=True)
class Ask:
    """A question whose answer is kept, and that later tasks may hang on."""

    text: str
    name: str
    """By which `only_if` knows the answer."""
    choices: tuple[str, ...] = ()
    """None where the answer is free."""


@dataclass(frozen=True)
class Note:
    """Something to write down: it becomes a note of the visit."""

    text: str


What = Play | Adjust | Tell | Ask | Note
Kind = Literal["play", "adjust", "tell", "ask", "note"]
KINDS: dict[Kind, type[What]] = {
    "play": Play,
    "adjust": Adjust,
    "tell": Tell,
    "ask": Ask,
    "note": Note,
}
"""By the key that a plan writes."""


def kind_of(what: What) -> Kind:
    """The key that a plan writes for it."""
    return next(name for name, kind in KINDS.items() if isinstance(what, kind))


def usual_label(what: What) -> str:
    """What a task is called where its plan does not say."""
    if isinstance(what, Play):
        return ", ".join(filter(None, [what.sequence.title, what.condition]))
    if isinstance(what, Adjust):
        return ", ".join(filter(None, [f"Adjust: {what.what}", what.condition]))
    return what.text


@dataclass(frozen=True)
class Task:
    """One task of a sitting.

    Args:
        number: its place in the plan, from 1.
        label: what the operator calls it.
        what: what is to be done.
        minutes: how long it takes; stated, or of a sequence worked out from its steps.
        importance: which tasks go first where time runs short.
        only_if: answers that it hangs on: the name of a question and those of its answers with
            which the task is there.
        needs: what has to be at hand.
        line, column: where it begins in the file, from 1.
    """

    number: int
    label: str
    what: What
    minutes: float
    importance: Importance = "usual"
    only_if: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    needs: tuple[Need, ...] = ()
    line: int = 1
    column: int = 1

    def wanted(self, answers: Mapping[str, str]) -> bool | None:
        """Whether it is there after these answers; None while one that it hangs on is missing."""
        known = [answers[name] in kept for name, kept in self.only_if.items() if name in answers]
        if not all(known):
            return False
        return None if len(known) < len(self.only_if) else True


@dataclass(frozen=True)
class Plan:
    """A whole plan; ``sha256`` is that of ``text`` in UTF-8."""

    title: str
    tasks: tuple[Task, ...]
    text: str
    sha256: str
    source: str
    minutes: float | None = None
    """The time that there is; None where the plan does not say."""
    aim: Aim = NOT_STATED

    def sequences(self, shown: Shown | None = None) -> list[Sequence]:
        """The sequences that it plays or adjusts by, each once, in their order.

        Args:
            shown: only those that are shown so; None for all.
        """
        played = (task.what for task in self.tasks if isinstance(task.what, Play | Adjust))
        kept = (each.sequence for each in played if shown in (None, each.output))
        return list({each.sha256: each for each in kept}.values())

    def needs(self) -> dict[Need, tuple[int, ...]]:
        """What has to be at hand, and for which tasks by number."""
        by_need = {need: tuple(t.number for t in self.tasks if need in t.needs) for need in NEEDS}
        return {need: numbers for need, numbers in by_need.items() if numbers}

    def cautions(self) -> tuple[str, ...]:
        """Those of all its sequences, each once."""
        named = {caution for each in self.sequences() for caution in each.cautions}
        return tuple(caution for caution in CAUTIONS if caution in named)


def minutes_of(tasks: Iterable[Task]) -> float:
    """How long tasks take together."""
    return sum(task.minutes for task in tasks)


MOST_CASES = 4096
"""Combinations of answers that are gone through; a plan with more is taken as if all were given."""


def longest(tasks: Iterable[Task]) -> tuple[Task, ...]:
    """The tasks that are there with those answers with which they take longest."""
    every = tuple(tasks)
    hangs = {name for task in every for name in task.only_if}
    asked = {
        task.what.name: task.what.choices
        for task in every
        if isinstance(task.what, Ask) and task.what.name in hangs
    }
    if math.prod(map(len, asked.values())) > MOST_CASES:
        return every
    cases = (
        dict(zip(asked, answers, strict=True)) for answers in itertools.product(*asked.values())
    )
    there = (tuple(task for task in every if task.wanted(case)) for case in cases)
    return max(there, key=minutes_of)


def left_out(tasks: Iterable[Task], minutes: float) -> tuple[Task, ...]:
    """The tasks that there is no time for, in their order.

    Those of the first importance get their time first, then the usual ones, then the last; within
    each they go by their order, and one that does not fit makes room for shorter ones after it.
    """
    every = tuple(tasks)
    out: set[int] = set()
    left = minutes
    for task in sorted(every, key=lambda task: IMPORTANCES.index(task.importance)):
        if task.minutes <= left + 1e-9:  # sums of minutes are rounded
            left -= task.minutes
        else:
            out.add(task.number)
    return tuple(task for task in every if task.number in out)
