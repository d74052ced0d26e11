"""What was typed or measured and could not be kept: shown apart, never under what is typed next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from readings.visit.records import Showing, Value

Purpose = Literal["reading", "note", "minutes"]
SEEN = 2.0
"""Seconds without a key in which an operator has seen what is shown as not kept."""


@dataclass(frozen=True)
class Refused:
    """A text that was ended with Enter, or a value that a meter gave, and that was not kept."""

    purpose: Purpose
    """What it was to be."""
    text: str
    picture: object
    """What was on screen, so that Enter keeps it for that alone; None where it kept nothing."""
    at: float = 0.0
    """When it was refused."""
    value: Value | None = None
    """What a meter gave; None for what was typed."""
    note_to: tuple[int, Showing | None] | None = None
    """What a note is to: the number of a step, and its showing where that was kept."""


class NotKept:
    """Holds what was refused, until it is kept after all, brought back, forgotten or out of date.

    What is typed next begins on an empty line. Enter on an empty line tries the last one again,
    as long as the picture is the one that it was refused at.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._held: list[Refused] = []
        self._touched = clock()
        self._looked = float("-inf")
        """When the operator went on after a look."""

    def at_a_key(self) -> None:
        """A key was pressed: whether after a while without one, in which there was time to look."""
        now = self._clock()
        if now - self._touched >= SEEN:
            self._looked = now
        self._touched = now

    def add(self, refused: Refused) -> None:
        """Hold what was refused now."""
        if refused.text.strip():
            self._held.append(replace(refused, at=self._clock()))

    def of(self, purpose: Purpose) -> tuple[str, ...]:
        """The texts of a line that are held, the oldest first."""
        return tuple(each.text.strip() for each in self._held if each.purpose == purpose)

    def pending(self, purpose: Purpose, picture: object) -> Refused | None:
        """What Enter on an empty line keeps at this picture: the last one, or None."""
        last = next((each for each in reversed(self._held) if each.purpose == purpose), None)
        return last if last is not None and last.picture == picture is not None else None

    def again(self, purpose: Purpose, picture: object) -> Refused | None:
        """Take out what Enter tries once more; what is refused again is to be added again."""
        found = self.pending(purpose, picture)
        if found is not None:
            self._held.remove(found)
        return found

    def bring_back(self, purpose: Purpose) -> Refused | None:
        """Take out what was typed last, to be typed on; None where nothing was."""
        for each in reversed(self._held):
            if each.purpose == purpose and each.value is None:
                self._held.remove(each)
                return each
        return None

    def take(self, purpose: Purpose) -> list[Refused]:
        """Take out all of a line, the oldest first."""
        found = [each for each in self._held if each.purpose == purpose]
        self.forget(purpose)
        return found

    def forget(self, purpose: Purpose) -> bool:
        """Let all of a line go; whether there was any."""
        there = bool(self.of(purpose))
        self._held = [each for each in self._held if each.purpose != purpose]
        return there

    def kept(self, purpose: Purpose, text: str) -> None:
        """Something was kept on this line.

        The same text, and what there was time to look at before this was typed, are done with. All
        else stays in sight, since nobody may have seen it, but Enter no longer keeps it.
        """
        for each in self._held:
            if each.purpose == purpose and each.text.strip() == text.strip():
                self._held.remove(each)
                break
        self._held = [
            each for each in self._held if each.purpose != purpose or self._looked < each.at + SEEN
        ]
        self.part(purpose)

    def part(self, purpose: Purpose) -> None:
        """Another picture is up, or a reading was taken: Enter keeps none of these any more."""
        self._held = [
            replace(each, picture=None) if each.purpose == purpose else each for each in self._held
        ]
