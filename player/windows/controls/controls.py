"""The controls as a whole: each key goes to the part that it is for, whatever window it is from."""

from __future__ import annotations

import time
from collections.abc import Callable

from player import keys
from player.keys import Action
from player.run.adjustment import NOT_TYPED
from player.run.by_hand import Change
from player.run.live import REST, SET_ASIDE, LiveRun
from player.run.pasting import is_several
from player.windows.controls.adjusting_picture import AdjustingPictures
from player.windows.controls.dark_offset import DarkOffset
from player.windows.controls.entry_keeper import EntryKeeper
from player.windows.controls.entry_line import EntryLine
from player.windows.controls.following import READS_NO_MORE, Following
from player.windows.controls.image_retention import ImageRetention, limit_for
from player.windows.controls.measuring import GIVEN_UP, Measuring, MeterKeys
from player.windows.controls.notices import ASK_TO_LEAVE, BUSY, DARK, Notices
from player.windows.controls.panels import Panels
from player.windows.controls.receiving import PROMPT, Receiving
from player.windows.controls.step_list import StepList
from player.windows.controls.warm_up import WarmUp
from player.windows.controls.watching import ENDS, STAYS, Watching
from player.windows.controls.zone_picture import ZonePictures

NOT_WHILE_BUSY = (Action.KEEP, Action.ON, Action.BACK, Action.AGAIN)
NUMERIC = ("luminance", "colour", "count", "milliseconds", "tally")
NO_PICTURE = "The screen is black already."
VOID = "The reading under way is void."
NOTE_WAITS = "The note is not kept yet: Tab returns to it, and leaving keeps it."
NO_DARK_OFFSET = "Start with a --meter and --dark-offset to have its dark subtracted."


class Controls:
    """Takes actions and typed text, and lets the parts do what they ask for.

    Args:
        run: what is played.
        measuring: its meter; None where readings are typed.
        clock: seconds of a clock that never goes back.
        notices: what the operator is told; others may tell something there, too.
        panels: what is called over the picture.
        warm_up: how far the display has warmed up; None where nobody asked.
        unattended: whether the meter reads step after step by itself.
        bright_limit: seconds that a bright picture may stand still, 0 for any; None for the usual
            of the sequence.
        put_back: brings the pattern window back over its screen.
    """

    def __init__(  # noqa: PLR0913 - each part by its name
        self,
        run: LiveRun,
        measuring: Measuring | None = None,
        clock: Callable[[], float] = time.monotonic,
        *,
        notices: Notices | None = None,
        panels: Panels | None = None,
        warm_up: WarmUp | None = None,
        unattended: bool = False,
        bright_limit: float | None = None,
        put_back: Callable[[], object] = lambda: None,
    ) -> None:
        self.run = run
        self._clock = clock
        self.notices = notices or Notices(run, clock)
        self.panels = panels or Panels()
        self.warm_up = warm_up
        self.entry = EntryLine(run.screen, clock)
        self.steps = StepList(run)
        self.zones = ZonePictures(run)
        self.retention = ImageRetention(run, limit_for(run.sequence.cautions, bright_limit))
        self.measuring = measuring
        self.meter = MeterKeys(run, measuring, self.entry, self.notices)
        dark = measuring.dark if measuring is not None else None
        self.dark_offset = None if dark is None else DarkOffset(run, dark, self.notices)
        """Asks for the meter's dark offset; None where none is subtracted."""
        self.watching = Watching(run, measuring, self.notices, clock, unattended=unattended)
        self.following = Following(run, measuring, self.notices, clock)
        self.adjusting = AdjustingPictures(run.adjustment, self.following)
        self.receiving = Receiving(run, self.begin)
        self._keeper = EntryKeeper(run, self.entry, self.notices, self.meter)
        self._unattended = unattended
        self.keys_lost = False
        """Whether keys go to another program; the windows say it here."""
        self._left = False
        self._actions: dict[Action, Callable[[], object]] = {
            Action.KEEP: self._keep,
            Action.ON: lambda: self._move(self._on),
            Action.BACK: lambda: self._move(run.back),
            Action.AGAIN: self._again,
            Action.ERASE: self.entry.erase,
            Action.CLEAR: self._clear,
            Action.NOTE: self.entry.toggle_note,
            Action.BLACKOUT: self._black_out,
            Action.TALLY: self._tally,
            Action.MEASURE: self.meter.measure,
            Action.PUT_BACK: put_back,
            Action.STRIP: self.panels.toggle_strip,
            Action.HELP: self.panels.toggle_help,
            Action.STEPS: self.steps.toggle,
            Action.PHOTO: self.entry.name_photo,
            Action.TIME: self._time,
            Action.DARK: self._ask_for_dark,
            Action.LEAVE: self._leave,
            Action.PAUSE: run.pause,
            Action.WATCH: self._watch,
            Action.UNTURN: lambda: self._move(run.put_back),
            Action.HOLD: run.hold,
            Action.READ_AGAIN: self._read_again,
            Action.FINISH: lambda: self._move(run.finish_adjusting),
        }

    # ---- what the windows send

    def begin(self) -> None:
        """Show the first step, or ask what has to be known before it."""
        if self.receiving.needed:
            self.run.dark_first()
            self.receiving.ask()
        elif self.dark_offset is not None and self.dark_offset.needed:
            self.run.dark_first()
            self.dark_offset.ask()
        else:
            self.notices.attempt(self.run.begin)

    def press(self, action: Action) -> None:
        """Do what a key asks for."""
        entry, notices = self.entry, self.notices
        if action is not Action.LEAVE:
            notices.drop_question()
        entry.at_a_key()
        other = action is Action.KEEP and entry.purpose != "reading"
        if self.meter.busy and action in NOT_WHILE_BUSY and not other:
            if action is Action.KEEP and not self.dark_asked and not self.steps.open:
                entry.set_apart(entry.picture)
            notices.warn(BUSY)
            return
        notices.clear()
        self.run.seen()
        entry.drop_point()
        if self._clicked_point and action not in (Action.ERASE, Action.CLEAR):
            entry.take_point()
        dark, receiving = self.dark_offset, self.receiving
        if self.watching.on and action not in STAYS:
            self.watching.end()
            if action in ENDS:
                return
        if not receiving.means_as_ever(action):
            receiving.press(action)
        elif dark is None or dark.means_as_ever(action):
            notices.attempt(self._actions[action])
        else:
            notices.attempt(lambda: dark.press(action))

    def key(self, name: str) -> bool:
        """Take a key by its name; False where it only types."""
        action = keys.action_of(name)
        if not self.asked_first:
            if self.steps.open and self.steps.key(name):
                return True
            if name == "SPACE" and self._tallies:
                action = Action.TALLY
            elif name in keys.ADJUSTING_KEYS and self._adjusts:
                # a space between numbers is typed
                typed = name == "SPACE" and self.entry.reading
                action = None if typed else keys.ADJUSTING_KEYS[name]
            elif name in keys.COUNTING_KEYS and self._counts:
                self._change(keys.COUNTING_KEYS[name])
                return True
        if action is not None:
            self.press(action)
        return action is not None

    def type(self, text: str) -> None:
        """Take typed characters; some letters are keys where a reading has yet to be begun.

        Nothing is typed while something is asked for before the first step but the answer to it.
        """
        if self.receiving.open:
            self.notices.begin_anew()
            self.receiving.type(keys.typed(text))
            return
        if self.dark_asked:
            return
        begun = self.entry.reading and not self._clicked_point
        begun = begun or self.entry.purpose != "reading" or self.steps.open
        if not begun and self._by_letter(keys.typed(text).casefold()):
            return
        if is_several(text):
            self.paste(text)
            return
        plain = keys.typed(text)
        led = plain == " " and (self._tallies or self._leads)
        if not plain or led or self._nothing_asked():
            return
        self._begin_anew()
        self.watching.end()
        self.entry.at_a_key()
        reading = self.entry.purpose == "reading"
        if reading and self.steps.open:
            self.steps.type(plain)
            return
        if reading and self.run.screen.blacked_out:
            self.notices.warn(DARK)  # it may be finished once the picture is back
        self.entry.type(plain, point_waits=self._numeric)

    def paste(self, text: str) -> None:
        """Take pasted text: one value goes on the line, several to as many steps.

        Nothing is pasted while something is asked for before the first step.
        """
        if self.asked_first:
            return
        reading = self.entry.purpose == "reading"
        if reading:
            self.steps.put_away()
        if not reading or not is_several(text):
            self.type(" ".join(text.split()))
            return
        self._begin_anew()
        self._keeper.paste(text)

    def click(self, number: int) -> None:
        """Go to the step that was clicked in the list."""
        if self.steps.open:
            self.steps.choose(number)
            self.press(Action.KEEP)

    def beat(self) -> None:
        """Look at the clock: a lone point, a question nobody answered, a meter that is done."""
        now = self._clock()
        self.show_what_waits()
        if self.entry.lone_point(now):
            self.press(Action.BLACKOUT)
        self.notices.look(now)
        if not self.run.counting.unfinished:
            self.notices.withdraw(SET_ASIDE)  # the box has come to its end: Enter keeps the pass
        self.notices.attempt(self.zones.look)
        if self.dark_offset is not None and self.dark_offset.busy:
            self.notices.attempt(self.dark_offset.beat)
        # never during a measurement
        if self.retention.too_long(now) and not self.meter.busy and not self.run.screen.halted:
            self.notices.attempt(self._rest)
        if self.retention.rested:
            self.notices.attempt(self.run.blackout)
        self.meter.beat()
        self.notices.attempt(self.watching.beat)
        typed = self.entry.reading and self.run.adjustment.reads
        if not typed and not self.watching.on:
            self.notices.attempt(self.following.beat)

    def show_what_waits(self) -> None:
        """Show the picture that waits, once it may come."""
        self.notices.attempt(self.run.screen.beat)

    def end(self) -> None:
        """Leave at once: a window was closed, or nothing is left to do unattended."""
        self.notices.attempt(self._end)

    # ---- what the windows show

    @property
    def left(self) -> bool:
        """Whether the operator has left."""
        return self._left

    @property
    def dark_asked(self) -> bool:
        """Whether the operator is asked for the meter's dark offset."""
        return self.dark_offset is not None and self.dark_offset.open

    @property
    def asked_first(self) -> bool:
        """Whether the operator is asked for that, or what the display receives."""
        return self.dark_asked or self.receiving.open

    @property
    def notice(self) -> str:
        """What is told now: a question, what went wrong, or what was done last."""
        run, alert = self.run, self.notices.alert
        if self.notices.asking:
            return f"{alert} {ASK_TO_LEAVE}".strip()
        if self.receiving.open:
            return alert or PROMPT
        if self.dark_offset is not None and self.dark_offset.open:
            return alert or self.dark_offset.prompt
        if self.meter.busy:
            return self.meter.progress
        if run.finished and not alert and not run.message.endswith(REST):
            return f"{run.message} {REST}"
        return alert or run.message

    @property
    def wants_strip(self) -> bool:
        """Whether something has to be seen or typed, where the only screen shows the pattern.

        While a meter measures, nothing lies over the picture but a strip that is held.
        """
        entry, notices = self.entry, self.notices
        typed = bool(entry.reading) and not self._clicked_point
        typed = typed or entry.purpose != "reading"
        lost = bool(entry.not_kept.of("reading") + entry.not_kept.of("note"))
        asked = self.asked_first or self.steps.open or notices.asking or bool(notices.alert)
        asked = asked or self.run.pressing
        away = self.keys_lost and not self._unattended
        led = self.run.adjustment.state not in ("", "look")  # somebody has to see what to turn
        wanted = typed or lost or asked or away or led or self.run.finished
        return self.strip_held or (wanted and not self.meter.busy)

    @property
    def strip_held(self) -> bool:
        """Whether the strip stays over the picture until a key takes it away: F3, or F1."""
        held = self.panels.strip or self.watching.on
        return held or (self.panels.help and not self.meter.busy)

    # ---- what the step lets be typed

    @property
    def _clicked_point(self) -> bool:
        """Whether a point stands on the line that has made it black, as a clicker's does."""
        return self.run.screen.blacked_out and self.entry.point_alone

    @property
    def _numeric(self) -> bool:
        read = self.run.step.read if self.run.step else None
        return read is None or read.quantity in NUMERIC

    @property
    def _tallies(self) -> bool:
        read = self.run.step.read if self.run.step else None
        tallied = read is not None and read.quantity == "tally"
        return tallied and self.entry.purpose == "reading"

    @property
    def _counts(self) -> bool:
        """Whether keys change the picture by hand on this step."""
        return self.entry.purpose == "reading" and self.run.counting.way is not None

    @property
    def _adjusts(self) -> bool:
        """Whether the display is adjusted on this step, and nothing else is typed."""
        return self.entry.purpose == "reading" and self.run.adjustment.here

    @property
    def _leads(self) -> bool:
        """Whether a space would begin a line where its key means something."""
        return self._adjusts and not self.entry.reading

    def _nothing_asked(self) -> bool:
        """Whether nothing is typed now, while the display is adjusted; that is told."""
        if not self._adjusts or self.run.adjustment.typed:
            return False
        self.notices.warn(NOT_TYPED)
        return True

    # ---- what keys do

    def _begin_anew(self) -> None:
        self.notices.begin_anew()
        self.run.seen()
        self.entry.drop_point()

    def _change(self, change: Change) -> None:
        self._begin_anew()
        self.entry.at_a_key()
        if not self._keeper.unfinished():
            self.notices.attempt(lambda: self.run.change(change))

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
        run, entry = self.run, self.entry
        if entry.purpose != "reading":
            self._keeper.keep_other()
            return
        if self.steps.open:
            self._move(lambda: run.go_to(self.steps.chosen))
            self.steps.put_away()
            return
        typed = bool(entry.reading.strip())
        if run.finished and not typed:
            self._end()
        elif run.number == 0:
            if typed:
                entry.set_apart(None)
            run.begin()  # it could not begin before
        elif run.screen.blacked_out:
            if typed:
                entry.set_apart(None if run.screen.due else entry.picture)
            self.notices.warn(DARK)
        else:
            refused = None if typed else entry.not_kept.again("reading", entry.picture)
            if typed or refused is not None or not self._by_itself():
                self._keeper.keep_reading(refused)

    def _by_itself(self) -> bool:
        """What Enter does with nothing typed: the picture is up, or the meter is to read it."""
        if not self.run.may_read():
            self.notices.warn_of_refusal()
            return True
        if self.run.adjustment.here and not self.run.adjustment.reads:
            return False
        if self.following.here:
            self.following.ask()
            return True
        waiting = self.run.screen.waiting
        if waiting:
            self.run.up()
        if self.meter.answers:
            if self.run.warm_enough():
                self.meter.measure()  # which waits until the picture has settled
            else:
                self.notices.warn_of_refusal()
            return True
        return waiting

    def _move(self, where: Callable[[], None]) -> None:
        # a slip of the finger must not throw a reading away
        if not self._keeper.unfinished():
            where()

    def _on(self) -> None:
        if not self.run.do_without():
            self.run.go_on()

    def _read_again(self) -> None:
        """Have what is on screen read although nothing was asked; the meter does so at once."""
        self.run.read_again()
        if self.run.adjustment.reads and self.following.here:
            self.following.ask()

    def _again(self) -> None:
        """Step back to an earlier reading; what is typed is set apart, and holds nobody up."""
        if self.entry.reading.strip():
            self.entry.set_apart(None)
        self.entry.not_kept.part("reading")
        self.run.again()

    def _clear(self) -> None:
        """Empty the line; where it is empty, forget what was not kept, or take a press back."""
        if not self.entry.clear() and self._tallies:
            self.run.untally()

    def _watch(self) -> None:
        self.steps.put_away()
        self.watching.toggle()

    def _time(self) -> None:
        if self.run.finished:
            self.notices.warn("Nothing is left to be played.")
        else:
            self.entry.toggle("minutes")

    def _black_out(self) -> None:
        """Black, or the picture again; what a meter measures of it meanwhile is void."""
        screen = self.run.screen
        if (self.run.number == 0 and not screen.due) or self.run.finished:
            self.notices.warn(NO_PICTURE)
            return
        try:
            self.run.blackout()  # black comes first, whatever is under way
        finally:
            if self.meter.give_up():
                self.notices.warn(f"{VOID} {self.run.message}")

    def _rest(self) -> None:
        why = self.retention.black_out()
        if why:
            self.notices.warn(why)

    def _tally(self) -> None:
        if self.run.tally():
            self.entry.not_kept.part("reading")  # Enter keeps the presses, no number of before
        else:
            self.notices.warn_of_refusal()

    def _ask_for_dark(self) -> None:
        if self.dark_offset is None:
            self.notices.warn(NO_DARK_OFFSET)
        elif self.meter.busy:
            self.notices.warn(BUSY)
        else:
            self.dark_offset.ask()

    def _leave(self) -> None:
        """Take one thing away that was called or is under way; with nothing left, ask, and end.

        Unattended a reading is always under way: that is given up, and the question is put at once.
        """
        dark = self.dark_offset
        if self.meter.give_up() or (dark is not None and dark.give_up()):
            self.notices.warn(GIVEN_UP)
            if not self._unattended:
                return
        elif self._put_away():
            return
        elif self.following.stop():
            self.notices.warn(READS_NO_MORE)
            return
        if self.notices.asking:
            self._end()
        else:
            self.notices.ask_to_leave()

    def _put_away(self) -> bool:
        """Close what was opened last; whether anything was open."""
        dark = self.dark_offset
        if self.panels.put_help_away():
            return True
        if self.entry.leave():
            if self.entry.note.strip():
                self.notices.warn(NOTE_WAITS)
            return True
        if self.steps.put_away():
            return True
        return dark is not None and bool(self.run.number) and dark.put_away()

    def _end(self) -> None:
        self._left = True
        self.watching.end()
        self._keeper.keep_what_is_left()
        # what cannot be written now is found by the next start: a killed run can be resumed too
        self.run.leave()
