"""What the operator's keys do to the run: going on and back, measuring, leaving. No OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable

from player import keys
from player.keys import Action
from player.run.adjusting import Change
from player.run.keeping import short_text
from player.run.live import LiveRun
from player.warm_up import WarmUp
from player.windows.counting import Counting
from player.windows.dark_controls import DarkControls
from player.windows.measuring import Measuring
from player.windows.not_kept import Refused
from player.windows.sparing import Sparing
from player.windows.telling import ASK_TO_LEAVE, BUSY, DARK, LEAVE_WITHIN

__all__ = ["ASK_TO_LEAVE", "Controls"]

WHILE_CAPPED = (Action.HELP, Action.STRIP, Action.LEAVE, Action.PUT_BACK)
"""Keys that mean the same as ever while the dark is asked for."""
NOT_WHILE_BUSY = (Action.KEEP, Action.ON, Action.BACK, Action.AGAIN)
MEASURED = "The meter's reading was kept; what was typed meanwhile was not."


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
            Action.TALLY: self._tally,
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
        self._at_a_key()
        special = action is Action.KEEP and self.typing != "reading"
        if self.busy and action in NOT_WHILE_BUSY and not special:
            if action is Action.KEEP and not self.capped and not self.steps.open:
                self._set_apart(self._picture)
            self.alert = BUSY
            return
        self.alert = ""
        self._point_at = None
        if self.capped and action not in WHILE_CAPPED and not self._darkens(action):
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
        self.show_what_waits()
        if self._lone_point(now):
            self.press(Action.BLACKOUT)
        if self._asked_at is not None and now - self._asked_at > LEAVE_WITHIN:
            self._asked_at = None
        self.attempt(self.counting.look)
        if self.capping is not None and self.capping.busy:
            self.attempt(self._look_for_dark)
        # never during a measurement
        if self._sparing.too_long(now) and not self.busy and not self.run.screen.halted:
            self.attempt(self._spare)
        if self.measuring is not None and self.measuring.busy:
            self._look_for_reading(self.measuring)

    def show_what_waits(self) -> None:
        """Show the picture that waits, once it may come."""
        self.attempt(self.run.screen.beat)

    def _look_for_reading(self, measuring: Measuring) -> None:
        """Let the meter go on; what is typed meanwhile is of what it measured, not of the next."""
        run, picture = self.run, self._picture
        before = run.keeping.taken
        self.attempt(measuring.beat)
        if measuring.failed:
            self.alert = measuring.failed
        if measuring.unkept is not None and not measuring.busy:
            value, measuring.unkept = measuring.unkept, None
            self.not_kept.add(Refused("reading", short_text(value), picture, value=value))
        if run.keeping.taken != before and self.line.strip():
            self.not_kept.add(Refused("reading", self.line, None))
            self.line, self.alert = "", MEASURED

    def _spare(self) -> None:
        self.alert = self._sparing.spare() or self.alert

    # ---- what the operator window shows

    @property
    def wants_strip(self) -> bool:
        """Whether something has to be seen or typed, where the only screen shows the pattern.

        While a meter measures, nothing lies over the picture but a strip that is held.
        """
        typing = bool(self.line) or self.typing != "reading"
        lost = bool(self.alert) or bool(self.not_kept.of("reading") + self.not_kept.of("note"))
        asked = typing or self.capped or self.steps.open or self.asking or lost
        return self.held or (not self.busy and (asked or self.run.finished))

    @property
    def held(self) -> bool:
        """Whether the strip stays over the picture until a key takes it away: F3, or F1."""
        return self.strip or (self.helping and not self.busy)

    # ---- what keys do

    def _change(self, change: Change) -> None:
        self._begin_anew()
        self._at_a_key()
        if not self._unfinished():
            self.attempt(lambda: self.run.adjust(change))

    def _by_letter(self, letter: str) -> bool:
        """Take a letter that is a key; False for any other."""
        counts = self._counts and not self.run.screen.due  # what comes next may be told in words
        if counts and letter == keys.PAUSE_LETTER:
            self.press(Action.PAUSE)
        elif counts and letter in keys.COUNTING_LETTERS:
            self._change(keys.COUNTING_LETTERS[letter])
        elif self._numeric and (
            letter == keys.BLACKOUT_LETTER
            or (letter == keys.CLICKER_POINT and self.run.screen.blacked_out)
        ):
            self.press(Action.BLACKOUT)
        else:
            return False
        return True

    def _keep(self) -> None:
        if self.typing != "reading":
            self._keep_special()
            return
        if self.steps.open:
            self._move(lambda: self.run.go_to(self.steps.chosen))
            self.steps.open = False
            return
        typed = bool(self.line.strip())
        if self.run.finished and not typed:
            self._end()
            return
        if self.run.number == 0:
            if typed:
                self._set_apart(None)
            self.run.begin()  # it could not begin before
            return
        if self.run.screen.blacked_out:
            if typed:
                self._set_apart(None if self.run.screen.due else self._picture)
            self.alert = DARK
            return
        refused = None if typed else self.not_kept.again("reading", self._picture)
        if typed or refused is not None or not self._by_itself():
            self._keep_reading(refused)

    def _by_itself(self) -> bool:
        """What Enter does with nothing typed: the picture is up, or the meter is to read it."""
        if not self.run.may_read():
            self._refused()
            return True
        waiting = self.run.screen.waiting
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
        # a slip of the finger must not throw a reading away
        if not self._unfinished():
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
        if self.measuring is not None and self.measuring.busy:
            self.measuring.give_up()  # black comes first, whatever is under way
        self.run.blackout()

    def _darkens(self, action: Action) -> bool:
        """Whether a key takes a picture away that is up."""
        return action is Action.BLACKOUT and self.run.number > 0

    def _tally(self) -> None:
        if self.run.tally():
            self.not_kept.part("reading")  # Enter keeps the presses, and no number of before
        else:
            self._refused()

    def _measure(self) -> None:
        if self.measuring is None:
            self.alert = "There is no meter; type the reading."
        elif self.run.screen.blacked_out:
            self.alert = DARK
        elif not self.run.may_read():
            self._refused()
        elif not self.measuring.answers():
            self.alert = "A meter cannot answer what this step asks; type it."
        else:
            if self.run.screen.waiting:
                self.run.up()
            try:
                self.measuring.start()
            finally:
                self._look_for_reading(self.measuring)

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
