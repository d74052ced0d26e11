"""What the operator is told while playing: refusals, questions, and what was done last."""

from __future__ import annotations

from collections.abc import Callable

from player.run.entry import EntryError
from player.run.live import REST, LiveRun
from player.windows.measuring import Measuring
from readings.visit.visit import VisitError

ASK_TO_LEAVE = "Press Escape once more to leave; the run can be resumed."
LEAVE_WITHIN = 3.0
"""Seconds in which a second Escape leaves."""
DARK = "Blackout: nothing is read. The same key brings the step back."
BUSY = "The meter is measuring; Escape gives it up."


class Telling:
    """A run, its meter, and what is said of them.

    Nothing raised by the visit goes further than ``alert``.
    """

    def __init__(
        self, run: LiveRun, measuring: Measuring | None, clock: Callable[[], float]
    ) -> None:
        self.run = run
        self.measuring = measuring
        self._clock = clock
        self.alert = ""
        """What went wrong last, until the next key."""
        self.refusal: VisitError | None = None
        """What the visit refused last, for whoever plays without an operator."""
        self._asked_at: float | None = None
        self._point_at: float | None = None

    @property
    def asking(self) -> bool:
        """Whether the operator was asked to press Escape once more."""
        return self._asked_at is not None

    @property
    def busy(self) -> bool:
        """Whether a measurement waits or is under way."""
        return self.measuring is not None and self.measuring.busy

    @property
    def saying(self) -> str:
        """What is said now: a question, what went wrong, or what was done last."""
        if self.asking:
            return ASK_TO_LEAVE
        if self.measuring is not None and self.measuring.busy:
            return self.measuring.saying
        said = self.alert or self.run.message
        if self.run.finished and not self.alert and said != REST:
            said = f"{said} {REST}"
        return said

    def attempt(self, what: Callable[[], object]) -> bool:
        """Do something that the visit may refuse; the refusal is told and nothing typed is lost."""
        try:
            what()
        except (VisitError, EntryError) as error:
            if isinstance(error, VisitError):
                self.refusal = error
            said = str(error)
            self.alert = f"{said[:1].upper()}{said[1:].rstrip('.')}."
            return False
        return True

    def _begin_anew(self) -> None:
        """Something was pressed or typed: no question stands, and nothing said of before."""
        self._asked_at = self._point_at = None
        self.alert = ""

    def _refused(self) -> None:
        """Say why until the next key; a question must not stand when Enter means something else."""
        self.alert, self.run.message = self.run.message, ""
