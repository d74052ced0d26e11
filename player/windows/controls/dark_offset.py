"""The meter's dark offset, asked for in the window: cap on, read, cap off."""

from __future__ import annotations

from player.keys import Action
from player.meters.base import MeterError
from player.meters.dark import DarkCorrectedMeter
from player.run.live import LiveRun
from player.windows.controls.measuring import at_work
from player.windows.controls.notices import BUSY, Notices
from player.windows.controls.reading_thread import ReadingThread

CAP_ON = "Put the cap on the meter"
CAP_OFF = "Take the cap off and point the meter"
AS_EVER = (Action.HELP, Action.STRIP, Action.LEAVE, Action.PUT_BACK, Action.BLACKOUT)
"""Keys that mean the same as ever while the dark is asked for."""


class DarkOffset:
    """Asks for the dark offset and keeps each one that is read, as a note of the run.

    It is read beside the event loop; `beat` takes the answer up.

    Args:
        run: goes on after it.
        meter: what is read with its cap on, and has the offset subtracted.
        notices: tell what goes wrong.
    """

    def __init__(self, run: LiveRun, meter: DarkCorrectedMeter, notices: Notices) -> None:
        self._run = run
        self._meter = meter
        self._notices = notices
        self._thread = ReadingThread(meter.inner)
        self._read = self._open = False

    @property
    def open(self) -> bool:
        """Whether the operator is asked now."""
        return self._open

    @property
    def needed(self) -> bool:
        """Whether there is no dark offset yet."""
        return self._meter.dark is None

    @property
    def busy(self) -> bool:
        """Whether the dark is being read."""
        return self._thread.busy

    @property
    def done(self) -> bool:
        """Whether the offset was read since it was asked for, so that the cap may come off."""
        return self._read and not self.busy

    @property
    def label(self) -> str:
        """What the operator has to do."""
        return CAP_OFF if self.done else CAP_ON

    @property
    def result(self) -> str:
        """The offset, where there is one, or what it is for."""
        if self.done or not self.needed:
            before = "" if self.done else "So far: "
            return f"{before}{self._meter.offset_text}"
        return "Its dark is subtracted from every reading"

    @property
    def prompt(self) -> str:
        """What is told: what keys do now, or how far the meter is."""
        if self.busy:
            return at_work(self._meter)
        if self.done:
            return "Enter goes on. F2 reads again, cap on."
        without = "without it" if self.needed else "with the one so far"
        return f"Enter reads the dark. The right arrow goes on {without}."

    def ask(self) -> None:
        """Begin to ask."""
        self._open, self._read = True, False

    def put_away(self) -> bool:
        """Ask no more, and leave the run as it was; whether it was asked."""
        asked, self._open = self._open, False
        return asked

    def means_as_ever(self, action: Action) -> bool:
        """Whether a key means what it always does, also while the dark is asked for."""
        return not self._open or action in AS_EVER

    def press(self, action: Action) -> None:
        """Do what a key asks for while the dark is asked for."""
        if self.busy:
            self._notices.warn(BUSY)
        elif action is Action.AGAIN or (action is Action.KEEP and not self.done):
            self.read()
        elif action in (Action.KEEP, Action.ON):
            self.go_on()

    def read(self) -> None:
        """Read the meter with its cap on."""
        self._thread.start()

    def give_up(self) -> bool:
        """End the reading under way; whether there was one."""
        busy = self.busy
        self._thread.forget()
        return busy

    def beat(self) -> None:
        """Take up what the meter said; what went wrong is told.

        Raises VisitError where the note of it cannot be kept: then there is no new offset.
        """
        answer = self._thread.answer()
        if answer is None:
            return
        before = self._meter.dark
        try:
            if isinstance(answer, MeterError):
                raise answer
            self._meter.take(answer)
        except MeterError as error:
            self._notices.warn(f"{error} Enter tries again.")
            return
        try:
            self._run.visit.keep_note(self._meter.note, run=self._run.id)
        except BaseException:
            self._meter.dark = before  # nothing is subtracted that is not on record
            raise
        self._read = True

    def go_on(self) -> None:
        """Go on with the run; where there is no offset, the visit keeps that."""
        if self.needed:
            self._run.visit.keep_note(
                f"Dark offset of {self._meter.name} passed over: nothing is subtracted.",
                run=self._run.id,
            )
        self._open = False
        if self._run.number == 0:
            self._run.begin()
        else:
            self._run.message = self._meter.offset_text or "There is no dark offset."
