"""What a run has no sound reading of, and why: what the terminal says when it ends."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.control import ADJUSTING
from player.outcome import NOT_FINISHED, CommandError
from readings.visit.visit import Visit
from sequences.model import Sequence

NOT_YET = "not played yet; the same command goes on there"
PASSED_OVER = "passed over by hand"
MOST = 12
"""Numbers of steps that are listed beside a reason."""


@dataclass(frozen=True)
class Unread:
    """The steps of a run that ask for a reading and have none."""

    asked: int
    """Steps that ask for a reading."""
    why: dict[str, list[int]]
    """Numbers of those without one, by the reason."""

    @property
    def count(self) -> int:
        """Steps without a reading."""
        return sum(map(len, self.why.values()))

    @property
    def text(self) -> str:
        """Lines for the terminal; empty where nothing is missing."""
        if not self.count:
            return ""
        have = "has" if self.count == 1 else "have"
        lines = [f"{self.count} of {self.asked} steps that ask for a reading {have} none:"]
        for why, steps in self.why.items():
            named = ", ".join(map(str, steps[:MOST])) + (", …" if len(steps) > MOST else "")
            what = f"step {named}" if len(steps) == 1 else f"{len(steps)} steps ({named})"
            lines.append(f"  {what}: {why}")
        return "\n".join(lines)


def unread_of(visit: Visit, run: int, sequence: Sequence) -> Unread:
    """What a run has no reading of; of a step that adjusts, no end.

    Args:
        visit: the visit that keeps it.
        run: the run's id.
        sequence: what was played.
    """
    adjusts = {step.number for step in sequence.steps if step.role == ADJUSTING}
    ended = {each.step for each in visit.adjustments(run) if each.ended}
    read = {reading.step for reading in visit.readings(run)} - adjusts | ended
    skipped = {skip.step: skip.why or PASSED_OVER for skip in visit.skips(run)}
    asked = [step.number for step in sequence.steps if step.read is not None]
    why: dict[str, list[int]] = {}
    for number in asked:
        if number not in read:
            why.setdefault(skipped.get(number, NOT_YET), []).append(number)
    return Unread(len(asked), why)


def require_readings(unread: Unread) -> None:
    """Refuse to call a run done that nobody watched and that has not read every step.

    Raises:
        CommandError: a step that asks for a reading has none; the exit code is 1.
    """
    if unread.count:
        raise CommandError(unread.text, NOT_FINISHED)


def altered_told(visit: Visit, run: int) -> str:
    """Which readings were taken of pictures that something altered, and by what; or nothing."""
    showings = {each.id: each for each in visit.showings(run) if each.guard == "altered"}
    why: dict[str, list[int]] = {}
    for reading in visit.readings(run):
        if reading.showing in showings:
            why.setdefault(showings[reading.showing].guard_why, []).append(reading.step)
    if not why:
        return ""
    number = sum(map(len, why.values()))
    lines = [f"{number} readings are of" if number > 1 else "1 reading is of"]
    lines[0] += " a picture that was altered on its way to the screen:"
    for reason, steps in why.items():
        named = ", ".join(map(str, steps[:MOST])) + (", …" if len(steps) > MOST else "")
        lines.append(f"  step{'s' * (len(steps) > 1)} {named}: {reason}")
    return "\n".join(lines)
