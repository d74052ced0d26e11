"""What interrupts a run from outside: a computer that slept, a screen that went, a moved window."""

from __future__ import annotations

import time

from player.run.live import LiveRun
from player.windows.controls.measuring import Measuring
from player.windows.controls.notices import Notices
from player.windows.pattern.output import WindowOutput
from player.windows.pattern.screens import BACK, GONE, screen_there

LOOK = 1.0
"""Seconds between two looks whether the screen is still connected."""
SLEPT = 20.0
"""Seconds between two beats from which the computer is taken to have slept."""
AWOKEN = "Nothing went on for a while, as when a computer sleeps: the step is shown again."
DISPLACED = (
    "The pattern window was moved or made smaller, and the picture is not exact: F8 puts it back."
)
PUT_BACK = "The pattern window covers its screen again: the step is shown again."
NOT_PUT_BACK = "The pattern window could not be put back: leave and start again."
IN_PLACE = "The pattern window covers its screen."
NO_WINDOW = "There is no pattern window: a media player shows them."


class Interruptions:
    """Halts the run or shows its step again; what is being measured then is given up.

    Args:
        run: what is played.
        window: the pattern window; None where a media player shows the patterns.
        notices: tell the operator.
        measuring: the meter, where there is one.
        mends: whether a window that was moved is put back by itself, once: unattended.
    """

    def __init__(
        self,
        run: LiveRun,
        window: WindowOutput | None,
        notices: Notices,
        measuring: Measuring | None,
        *,
        mends: bool = False,
    ) -> None:
        self._run = run
        self._window = window
        self._notices = notices
        self._measuring = measuring
        self._mends = mends
        self._looked_at = 0.0
        self._beat_at = time.time()

    def look_for_sleep(self) -> None:
        """After the computer slept, show the step again: the display may have slept too."""
        before, self._beat_at = self._beat_at, time.time()
        slept = self._beat_at - before
        run = self._run
        if slept < SLEPT or run.number == 0 or run.finished or run.screen.halted:
            return
        self._show_again(
            AWOKEN, f"Nothing went on here for {slept:.0f} s, as when a computer sleeps."
        )

    def look_for_screen(self) -> None:
        """Halt the run while its screen is gone."""
        now = time.monotonic()
        run, window = self._run, self._window
        if window is None or run.number == 0 or now - self._looked_at < LOOK:
            return
        self._looked_at = now
        there = screen_there(window.pattern.window)
        if there is False and not run.screen.halted:
            self._give_up()
            self.note("The screen of the patterns was gone from now on.")
            run.halt(GONE)
            self._notices.warn(GONE)
        elif there and run.screen.halted and window.pattern.whole:
            self._notices.clear()
            note = "The screen of the patterns was back, and the step was shown again."
            self._notices.attempt(lambda: run.resume(BACK, note))

    def look_for_window(self) -> None:
        """Tell of a pattern window that another program moved, or mend it."""
        if self._window is None or self._run.screen.halted:
            return
        if self._window.pattern.whole:
            self._notices.withdraw(DISPLACED)
        elif self._mends:
            self._mends = False
            self.put_back()
        elif not self._notices.alert:
            self._notices.warn(DISPLACED)

    def put_back(self) -> None:
        """Bring the pattern window back over its screen, and show the step again."""
        run, notices = self._run, self._notices
        if self._window is None or run.screen.halted:
            notices.warn(run.screen.halted or NO_WINDOW)
        elif self._window.pattern.whole:
            run.message = IN_PLACE
        elif not self._window.pattern.put_back():
            notices.warn(NOT_PUT_BACK)
        else:
            notices.clear()
            self._show_again(
                PUT_BACK, "The pattern window had been moved or made smaller, and was put back."
            )

    def note(self, text: str) -> None:
        """Keep a note beside what is on screen, where that has a record."""
        run, showing = self._run, self._run.screen.showing
        if showing is not None:
            self._notices.attempt(lambda: run.visit.keep_note(text, run=run.id, showing=showing.id))

    def _show_again(self, message: str, note: str) -> None:
        self._give_up()
        self._notices.attempt(lambda: self._run.resume(message, note))

    def _give_up(self) -> None:
        if self._measuring is not None:
            self._measuring.give_up()
