"""What the operator's keys do to the run: the entry line, notes, and questions. No OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable

from player import keys
from player.adjusting import Change
from player.entry import EntryError
from player.keys import Action
from player.pasting import is_several
from player.run import REST, LiveRun
from player.standing import Standing, limit_for
from player.warm_up import WarmUp
from player.windows.counting import Counting
from player.windows.measuring import Measuring
from player.windows.step_list import StepList
from readings.visit import VisitError

NUMERIC = ("luminance", "colour", "count", "milliseconds", "tally")
ASK_TO_LEAVE = "Press Escape once more to leave; the run can be resumed."
LEAVE_WITHIN = 3.0
"""Seconds in which a second Escape leaves."""
DARK = "Blackout: nothing is read. The same key brings the step back."
SPARED = "Black by itself: a bright picture stood still for {}. F5 brings it back."
SPARED_ELSEWHERE = "A bright picture stood still for {}: take it away on the media player, please."


class Controls:
    """Takes actions and typed text; keeps what is on the line until it is kept in the visit.

    Nothing raised by the visit goes further than ``alert``: the line stays as it was typed.
    """

    def __init__(
        self,
        run: LiveRun,
        measuring: Measuring | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.run = run
        self.measuring = measuring
        self._clock = clock
        self.line = ""
        self.note = ""
        self.noting = False
        self.helping = False
        self.strip = False
        """Whether the operator strip was called by its key."""
        self.alert = ""
        """What went wrong last, until the next key."""
        self.steps = StepList(run)
        self.standing = Standing(limit_for(run.sequence.cautions))
        """How long a bright picture has stood; a limit of 0 lets it stand."""
        self.warm_up: WarmUp | None = None
        self.counting = Counting(run)
        self.refusal: VisitError | None = None
        """What the visit refused last, for whoever plays without an operator."""
        self.left = False
        self._asked_at: float | None = None
        self._point_at: float | None = None
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
            Action.STRIP: self._toggle_strip,
            Action.HELP: self._toggle_help,
            Action.STEPS: self.steps.toggle,
            Action.PHOTO: self._photo,
            Action.LEAVE: self._leave,
            Action.PAUSE: self.run.pause,
        }

    # ---- what the windows send

    def press(self, action: Action) -> None:
        """Do what a key asks for."""
        busy = self.measuring is not None and self.measuring.busy
        if action is not Action.LEAVE:
            self._asked_at = None
        if busy and action in (Action.KEEP, Action.ON, Action.BACK, Action.AGAIN, Action.BLACKOUT):
            self.alert = "The meter is measuring; Escape gives it up."
            return
        self.alert = ""
        self._point_at = None
        self.attempt(self._actions[action])

    def key(self, name: str) -> bool:
        """Take a key by its name; False where it only types."""
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
        """Take typed characters."""
        if is_several(text):
            self.paste(text)
            return
        plain = keys.typed(text)
        if not plain or (plain == " " and self._tallies):
            return
        self._asked_at = None
        self.alert = ""
        self._point_at = None
        if self.noting:
            self.note = (self.note + plain)[: keys.LONGEST]
            return
        if self.steps.open:
            self.steps.type(plain)
        elif not self.run.finished:
            self._to_line(plain)

    def _to_line(self, plain: str) -> None:
        if not self.line and self._by_letter(plain.casefold()):
            return
        if not self.line and self._numeric and plain == keys.CLICKER_POINT:
            self._point_at = self._clock()
            if self.run.blacked_out:
                self.press(Action.BLACKOUT)
                return
        if self.run.blacked_out:
            self.alert = DARK
            return
        self.line = (self.line + plain)[: keys.LONGEST]

    def paste(self, text: str) -> None:
        """Take pasted text: one value goes on the line, several to as many steps."""
        self.steps.open = self.steps.open and self.noting
        if self.noting or not is_several(text):
            self.type(" ".join(text.split()))
            return
        self._asked_at = self._point_at = None
        self.alert = ""
        if self.run.blacked_out:
            self.alert = DARK
        elif self.measuring is not None and self.measuring.busy:
            self.alert = "The meter is measuring; Escape gives it up."
        elif self.line.strip():
            self.alert = "Enter keeps what is typed; Delete erases it. Then paste."
        else:
            self.attempt(lambda: self._paste(text))

    def _paste(self, text: str) -> None:
        if not self.run.paste(text):
            self._refused()

    def _refused(self) -> None:
        """Say why until the next key; a question must not stand when Enter means something else."""
        self.alert, self.run.message = self.run.message, ""

    def click(self, number: int) -> None:
        """Go to the step that was clicked in the list."""
        if self.steps.open:
            self.steps.chosen = number
            self.press(Action.KEEP)

    def beat(self) -> None:
        """Look at the clock: a lone point, a question nobody answered, a meter that is done."""
        now = self._clock()
        if self._point_at is not None and now - self._point_at >= keys.POINT_WAITS:
            self._point_at = None
            if self.line == keys.CLICKER_POINT:
                self.line = ""
                self.press(Action.BLACKOUT)
        if self._asked_at is not None and now - self._asked_at > LEAVE_WITHIN:
            self._asked_at = None
        self.attempt(self.counting.look)
        self._watch_what_stands(now)
        if self.measuring is not None and self.measuring.busy:
            measuring = self.measuring
            self.attempt(measuring.beat)
            if measuring.failed:
                self.alert = measuring.failed

    def _watch_what_stands(self, now: float) -> None:
        """Take a bright picture away that has stood too long; never during a measurement."""
        run = self.run
        up = not (run.blacked_out or run.finished or run.waiting or run.moving is not None)
        too_long = self.standing.look(now, run.frame if up else None, settling=run.settle_left > 0)
        busy = self.measuring is not None and self.measuring.busy
        if too_long and not busy and not run.halted:
            self.attempt(self._spare)

    def _spare(self) -> None:
        said = SPARED_ELSEWHERE if self.run.elsewhere else SPARED
        limit = self.standing.limit
        told = said.format(f"{limit / 60:.3g} min" if limit >= 60 else f"{limit:.0f} s")
        self.run.blackout()
        if self.run.blacked_out:
            self.alert = told

    # ---- what the operator window shows

    @property
    def asking(self) -> bool:
        """Whether the operator was asked to press Escape once more."""
        return self._asked_at is not None

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

    @property
    def wants_strip(self) -> bool:
        """Whether something has to be seen or typed, where the only screen shows the pattern."""
        typing = bool(self.line) or self.noting
        return (
            self.strip
            or typing
            or self.helping
            or self.steps.open
            or self.asking
            or bool(self.alert)
            or self.run.finished
        )

    @property
    def _numeric(self) -> bool:
        read = self.run.step.read if self.run.step else None
        return read is None or read.quantity in NUMERIC

    @property
    def _tallies(self) -> bool:
        step = self.run.step
        read = step.read if step else None
        return not self.noting and read is not None and read.quantity == "tally"

    @property
    def _counts(self) -> bool:
        """Whether keys change the picture by hand on this step."""
        return not self.noting and self.run.counting is not None

    # ---- what keys do

    def _change(self, change: Change) -> None:
        self._asked_at = None
        self.alert = ""
        self._point_at = None
        self.attempt(lambda: self.run.adjust(change))

    def _by_letter(self, letter: str) -> bool:
        """Take a letter that means a key on an empty line; False for any other."""
        if self._counts and letter == keys.PAUSE_LETTER:
            self.press(Action.PAUSE)
        elif self._counts and letter in keys.COUNTING_LETTERS:
            self._change(keys.COUNTING_LETTERS[letter])
        elif self._numeric and letter == keys.BLACKOUT_LETTER:
            self.press(Action.BLACKOUT)
        else:
            return False
        return True

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

    def _keep(self) -> None:
        if self.noting:
            self._keep_note()
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
            self._measure()  # which waits until the picture has settled
            return True
        return waiting

    def _keep_note(self) -> None:
        if self.note.strip() == keys.PHOTO.strip():
            self.alert = "Type the name of the photo's file; Delete and Tab go back."
            return
        self.run.note(self.note)
        self.note = ""
        self.noting = False

    def _move(self, where: Callable[[], None]) -> None:
        typed, self.line = self.line, ""
        if typed.strip():
            # a slip of the finger must not throw a reading away
            self.line = typed
            self.alert = "Enter keeps what is typed; Delete erases it. Then go on or back."
            return
        where()

    def _erase(self) -> None:
        if self.noting:
            self.note = self.note[:-1]
        else:
            self.line = self.line[:-1]

    def _clear(self) -> None:
        if self.noting:
            self.note = ""
        elif not self.line and self._tallies:
            self.run.untally()
        else:
            self.line = ""

    def _toggle_note(self) -> None:
        self.noting = not self.noting

    def _photo(self) -> None:
        """Begin a note that names a photo, or name one in the note on the way."""
        self.note = f"{self.note.rstrip()} {keys.PHOTO}".lstrip()
        self.noting = True

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

    def _leave(self) -> None:
        if self.measuring is not None and self.measuring.busy:
            self.measuring.give_up()
            self.alert = "The measurement was given up."
            return
        if self.helping or self.steps.open:
            self.helping = self.steps.open = False
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
