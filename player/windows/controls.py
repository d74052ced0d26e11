"""What the operator's keys do to the run: going on and back, measuring, leaving. No OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable

from player import keys
from player.adjusting import Change
from player.keys import Action
from player.run import LiveRun
from player.warm_up import WarmUp
from player.windows.counting import Counting
from player.windows.dark_controls import DarkControls
from player.windows.measuring import Measuring
from player.windows.sparing import Sparing
from player.windows.telling import ASK_TO_LEAVE, BUSY, DARK, LEAVE_WITHIN
from readings.visit import VisitError

__all__ = ["ASK_TO_LEAVE", "Controls"]

WHILE_CAPPED = (Action.HELP, Action.STRIP, Action.LEAVE, Action.PUT_BACK)
"""Keys that mean the same as ever while the dark is asked for."""
NOT_WHILE_BUSY = (Action.KEEP, Action.ON, Action.BACK, Action.AGAIN, Action.BLACKOUT)


class Controls(DarkControls):
    """Takes actions and typed text, whatever window they come from."""

    def __init__(
        self,
        run: LiveRun,
        measuring: Measuring | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(run, measuring, clock)
        self.helping = False
        self.strip = False
        """Whether the operator strip was called by its key."""
        self._sparing = Sparing(run)
        self.standing = self._sparing.standing
        self.warm_up: WarmUp | None = None
        self.counting = Counting(run)
        self.left = False
        self.put_back: Callable[[], object] = lambda: None
        """Brings the pattern window back over its screen; whoever plays sets it."""
        self._actions: dict[Action, Callable[[], object]] = {
            Action.KEEP: self._keep,
            Action.ON: lambda: self._move(self.run.go_on),
            Action.BACK: lambda: self._move(self.run.back),
            Action.AGAIN: lambda: self._move(self.run.again),
            Action.ERASE: self._erase,
            Action.CLEAR: self._clear,
            Action.NOTE: self._toggle_note,
            Action.BLACKOUT: self._blackout,
            Action.TALLY: self.run.tally,
            Action.MEASURE: self._measure,
            Action.PUT_BACK: self._bring_back,
            Action.STRIP: self._toggle_strip,
            Action.HELP: self._toggle_help,
            Action.STEPS: self.steps.toggle,
            Action.PHOTO: self._photo,
            Action.TIME: self._time,
            Action.DARK: self._dark,
            Action.LEAVE: self._leave,
            Action.PAUSE: self.run.pause,
        }

    # ---- what the windows send

    def press(self, action: Action) -> None:
        """Do what a key asks for."""
        if action is not Action.LEAVE:
            self._asked_at = None
        if self.busy and action in NOT_WHILE_BUSY:
            self.alert = BUSY
            return
        self.alert = ""
        self._point_at = None
        if self.capped and action not in WHILE_CAPPED:
            self.attempt(lambda: self._take_dark(action))
        else:
            self.attempt(self._actions[action])

    def key(self, name: str) -> bool:
        """Take a key by its name; False where it only types."""
        if self.capped:
            action = keys.action_of(name)
            if action is not None:
                self.press(action)
            return action is not None
        if self.steps.open and self.steps.key(name):
            return True
        if name == "SPACE" and self._tallies:
            self.press(Action.TALLY)
            return True
        if self._counts and name in keys.COUNTING_KEYS:
            self._change(keys.COUNTING_KEYS[name])
            return True
        action = keys.action_of(name)
        if action is None:
            return False
        self.press(action)
        return True

    def type(self, text: str) -> None:
        """Take typed characters; some letters are keys where a reading has yet to be begun."""
        begun = self.line or self.typing != "reading" or self.capped or self.steps.open
        if begun or not self._by_letter(keys.typed(text).casefold()):
            super().type(text)

    def click(self, number: int) -> None:
        """Go to the step that was clicked in the list."""
        if self.steps.open:
            self.steps.chosen = number
            self.press(Action.KEEP)

    def beat(self) -> None:
        """Look at the clock: a lone point, a question nobody answered, a meter that is done."""
        now = self._clock()
        if self._lone_point(now):
            self.press(Action.BLACKOUT)
        if self._asked_at is not None and now - self._asked_at > LEAVE_WITHIN:
            self._asked_at = None
        self.attempt(self.counting.look)
        if self.capping is not None and self.capping.busy:
            self.attempt(self._look_for_dark)
        # never during a measurement
        if self._sparing.too_long(now) and not self.busy and not self.run.halted:
            self.attempt(self._spare)
        if self.measuring is not None and self.measuring.busy:
            measuring = self.measuring
            self.attempt(measuring.beat)
            if measuring.failed:
                self.alert = measuring.failed

    def _spare(self) -> None:
        self.alert = self._sparing.spare() or self.alert

    # ---- what the operator window shows

    @property
    def wants_strip(self) -> bool:
        """Whether something has to be seen or typed, where the only screen shows the pattern.

        While a meter measures, nothing lies over the picture but a strip that is held.
        """
        typing = bool(self.line) or self.typing != "reading"
        asked = typing or self.capped or self.steps.open or self.asking or bool(self.alert)
        return self.held or (not self.busy and (asked or self.run.finished))

    @property
    def held(self) -> bool:
        """Whether the strip stays over the picture until a key takes it away: F3, or F1."""
        return self.strip or (self.helping and not self.busy)

    # ---- what keys do

    def _change(self, change: Change) -> None:
        self._begin_anew()
        self.attempt(lambda: self.run.adjust(change))

    def _by_letter(self, letter: str) -> bool:
        """Take a letter that is a key; False for any other."""
        if self._counts and letter == keys.PAUSE_LETTER:
            self.press(Action.PAUSE)
        elif self._counts and letter in keys.COUNTING_LETTERS:
            self._change(keys.COUNTING_LETTERS[letter])
        elif self._numeric and (
            letter == keys.BLACKOUT_LETTER
            or (letter == keys.CLICKER_POINT and self.run.blacked_out)
        ):
            self.press(Action.BLACKOUT)
        else:
            return False
        return True

    def _keep(self) -> None:
        if self.typing != "reading":
            (self._keep_note if self.noting else self._keep_minutes)()
            return
        if self.steps.open:
            self._move(lambda: self.run.go_to(self.steps.chosen))
            self.steps.open = False
            return
        if self.run.finished:
            self._end()
            return
        if self.run.number == 0:
            self.run.begin()  # it could not begin before
            return
        if self.run.blacked_out:
            self.alert = DARK
            return
        if not self.line.strip() and self._by_itself():
            return
        typed, self.line = self.line, ""
        before = self.run.number
        try:
            taken = self.run.enter(typed)
        except VisitError:
            # where the reading was kept and only the next step failed, it must not be kept twice
            if self.run.number == before:
                self.line = typed
            raise
        if not taken:
            self.line = typed
            self._refused()

    def _by_itself(self) -> bool:
        """What Enter does with nothing typed: the picture is up, or the meter is to read it."""
        waiting = self.run.waiting
        if waiting:
            self.run.up()
        if self.measuring is not None and self.measuring.answers():
            if self.run.warm_enough():
                self._measure()  # which waits until the picture has settled
            else:
                self._refused()
            return True
        return waiting

    def _move(self, where: Callable[[], None]) -> None:
        typed, self.line = self.line, ""
        if typed.strip():
            # a slip of the finger must not throw a reading away
            self.line = typed
            self.alert = "Enter keeps what is typed; Delete erases it. Then go on or back."
            return
        where()

    def _time(self) -> None:
        if self.run.finished:
            self.alert = "Nothing is left to be played."
        else:
            self._toggle("minutes")

    def _toggle_strip(self) -> None:
        self.strip = not self.strip

    def _toggle_help(self) -> None:
        self.helping = not self.helping

    def _blackout(self) -> None:
        if self.run.finished:
            return
        self.run.blackout()

    def _measure(self) -> None:
        if self.measuring is None:
            self.alert = "There is no meter; type the reading."
        elif self.run.blacked_out:
            self.alert = DARK
        elif not self.measuring.answers():
            self.alert = "A meter cannot answer what this step asks; type it."
        else:
            if self.run.waiting:
                self.run.up()
            self.measuring.start()

    def _bring_back(self) -> None:
        self.put_back()

    def _leave(self) -> None:
        if self.measuring is not None and self.measuring.busy:
            self.measuring.give_up()
            self.alert = "The measurement was given up."
            return
        if self.capping is not None and self.capping.busy:
            self.capping.give_up()
            self.alert = "The measurement was given up."
            return
        if self.helping or self.steps.open:
            self.helping = self.steps.open = False
            return
        if self.capping is not None and self.capping.open and self.run.number:
            self.capping.open = False  # the run goes on as it was
            return
        if self._asked_at is None:
            self._asked_at = self._clock()
            return
        self._end()

    def end(self) -> None:
        """Leave at once: a window was closed, or nothing is left to do unattended."""
        self.attempt(self._end)

    def _end(self) -> None:
        # what cannot be written now is found by the next start: a killed run can be resumed too
        self.left = True
        self.run.leave()
