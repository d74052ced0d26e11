"""What the operator is told beside the run's own messages: alerts, refusals, one question."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from player.run.entry import EntryError
from readings.visit.visit import VisitError

ASK_TO_LEAVE = "Press Escape once more to leave; the run can be resumed."
LEAVE_WITHIN = 3.0
"""Seconds in which a second Escape leaves."""
DARK = "Blackout: nothing is read. The same key brings the step back."
BUSY = "The meter is measuring; Escape gives it up."


class HasMessage(Protocol):
    """A run, as far as it tells what was done last."""

    message: str


class Notices:
    """Holds what has to be told until the next key. Nothing raised by the visit goes further.

    Args:
        run: what tells why it did not do as it was asked.
        clock: seconds; a question stands for `LEAVE_WITHIN` of them.
    """

    def __init__(self, run: HasMessage, clock: Callable[[], float]) -> None:
        self._run = run
        self._clock = clock
        self._alert = ""
        self.warned = 0
        """How often something was told that needs somebody."""
        self._refusal: VisitError | None = None
        self._asked_at: float | None = None

    @property
    def alert(self) -> str:
        """What went wrong last, until the next key; empty where nothing did."""
        return self._alert

    @property
    def refusal(self) -> VisitError | None:
        """What the visit refused last, for whoever plays without an operator."""
        return self._refusal

    @property
    def asking(self) -> bool:
        """Whether the operator was asked to press Escape once more."""
        return self._asked_at is not None

    def warn(self, text: str) -> None:
        """Tell something until the next key."""
        self._alert = text
        self.warned += 1

    def warn_of_refusal(self) -> None:
        """Tell until the next key why the run refused.

        Its message goes: a question must not stand when Enter means something else.
        """
        text, self._run.message = self._run.message, ""
        self.warn(text)

    def clear(self) -> None:
        """Tell nothing of before."""
        self._alert = ""

    def withdraw(self, text: str) -> None:
        """Tell this no longer, where it is what is told."""
        if self._alert == text:
            self._alert = ""

    def begin_anew(self) -> None:
        """Something was pressed or typed: no question stands, and nothing told of before."""
        self._asked_at = None
        self._alert = ""

    def ask_to_leave(self) -> None:
        """Ask for a second Escape."""
        self._asked_at = self._clock()

    def drop_question(self) -> None:
        """Another key than Escape: nobody wants to leave."""
        self._asked_at = None

    def look(self, now: float) -> None:
        """Drop a question that nobody answered."""
        if self._asked_at is not None and now - self._asked_at > LEAVE_WITHIN:
            self._asked_at = None

    def attempt(self, what: Callable[[], object]) -> bool:
        """Do something that the visit may refuse; the refusal is told and nothing typed is lost."""
        try:
            what()
        except (VisitError, EntryError) as error:
            if isinstance(error, VisitError):
                self._refusal = error
            self.warn(error.sentence())
            return False
        return True
