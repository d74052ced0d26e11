"""A run as it is played: which step, what was read, what comes next. No windows, no OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping

from patterns.control import Control
from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.kinds.moving_box import Comb
from player.outputs.base import Output
from player.run.adjustment import CAUTION, ELSEWHERE, Adjustment, adjusts
from player.run.agenda import Agenda
from player.run.by_hand import Change
from player.run.counting import Counting
from player.run.entry import EntryError, comma_of, entered, expected
from player.run.keeping import Keeping, short_text
from player.run.pasting import placed_values
from player.run.record import MINUTES, Begun, begin_or_resume
from player.run.screen import TOO_SOON, Screen
from player.run.typed_colour import Order, told
from readings.bounds import room_of
from readings.visit.records import Reading, Showing, Value
from readings.visit.visit import Visit
from sequences.model import Read, Sequence, Step
from sequences.zone_steps import is_comb

DARK = "Blackout. The same key brings the step back."
DARK_ELSEWHERE = "Take the picture away on the media player. The same key names the file again."
REST = "Nothing is left to read. Enter ends the run, the left arrow goes back."
SET_ASIDE = (
    "The box has not finished its way. Enter again sets this pass aside: kept, but not counted."
)
COMMA = "is its comma that of a decimal? Leave out what groups thousands."
NOTHING_HERE = "Nothing is read at this step; Tab writes a note."


class LiveRun:
    """One pass through a sequence on one output, kept in a visit as it goes.

    What the operator does comes here, and goes on to the run's parts: `screen` (what is shown),
    `keeping` (what was read), `agenda` (what comes next, and when), `counting` (of zones),
    `adjustment` (of the display by its controls). Every method that keeps something returns after
    the visit's commit.

    Args:
        sequence: what is played.
        visit: keeps all of it; a run of the same that was left is resumed.
        output: what the picture is shown on.
        condition: what the run is taken under, such as "local dimming off".
        overrides: what was changed in the sequence by the command line.
        typed_with: the id of the instrument whose light is typed, where it is named.
        controls: those of the display, where a file describes them.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        sequence: Sequence,
        visit: Visit,
        output: Output,
        *,
        condition: str = "",
        overrides: Mapping[str, object] | None = None,
        typed_with: int | None = None,
        controls: tuple[Control, ...] = (),
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.sequence = sequence
        self.visit = visit
        self.output = output
        self.condition = condition
        self._typed_with = typed_with
        known = {each.id: each.specification for each in visit.instruments()}
        promised = known[typed_with].chromaticity_uncertainty if typed_with in known else None
        self._room = room_of(promised)
        self._ended = False
        self._doubted: tuple[object, ...] = ()
        """What was asked about last: the same once more is kept."""
        changed = dict(overrides or {})
        self._order: Order | None = None
        """In which order the numbers of colours are typed in this run, once that is known."""
        self._comma_known = False
        """Whether decimals are known to be typed with a comma in this run."""
        self._taken_back: int | None = None
        """The id of the reading that is on screen to be taken again; None where none is."""
        self._pressing = ""
        """What the message begins with that needs the operator now; empty where nothing does."""
        self._to_the_end = ""
        """What was told of the last reading, which stands also where nothing is left to read."""
        self._asked_aside = False
        """Whether it was asked whether a pass that is on its way is to be set aside."""
        begun = begin_or_resume(visit, sequence, output, condition, changed)
        self.id = begun.run
        """The run's id in the visit."""
        self.message = begun.message
        """What the operator is told last; it never stands for something that was not done."""
        self.screen = Screen(sequence, visit, self.id, output, clock)
        self.keeping = Keeping(sequence, visit, self.id, self.screen)
        self.counting = Counting(sequence, visit, self.id, self.screen)
        self.adjustment = Adjustment(visit, self.id, self.screen, self.keeping, controls)
        self.adjustment.read_with = known.get(typed_with) if typed_with is not None else None
        self.agenda = Agenda(sequence, visit, self.id, self.screen, self.keeping, clock)
        self._take_time(begun, changed.get(MINUTES))

    def _take_time(self, begun: Begun, minutes: object) -> None:
        """The time that there is: what is said now, or what holds of what was said before."""
        visit, before = self.visit, self.visit.minutes(self.id)
        if isinstance(minutes, int | float):
            if begun.resumed:
                said = self.agenda.note_minutes(float(minutes))
            else:
                visit.give_minutes(self.id, float(minutes))
                said = self.agenda.give_minutes(float(minutes))
            worth = float(minutes)
        elif before is None or before.minutes is None:
            return
        elif begun.broken_off:
            said = self.agenda.take_up_minutes(before.minutes, before.at)
            worth = before.minutes
        else:  # whoever left it has other time now
            visit.give_minutes(self.id, None)
            return
        self.message = f"{self.message} {said}".strip()
        self.adjustment.be_worth(worth)

    # ---- beginning and end

    def begin(self) -> None:
        """Show the first step that is neither read nor skipped."""
        beginning, self.message = self.message, ""
        self.screen.gate.ask(lambda: self._go(self.agenda.next_open()))
        self.message = beginning or self.message
        self.keeping.get_ready()

    def leave(self) -> None:
        """End the run: finished where nothing is left to read, otherwise to be resumed."""
        if not self._ended:
            left = self.visit.next_step(self.id) is not None
            self.visit.end_run(self.id, "left" if left else "finished")
            self._ended = True

    # ---- where we are

    @property
    def number(self) -> int:
        """Number of the step on screen; 0 before the first, steps + 1 when all are read."""
        return self.screen.number

    @property
    def step(self) -> Step | None:
        """The step on screen; None before the first and when nothing is left to read."""
        return self.screen.step

    @property
    def finished(self) -> bool:
        """Whether nothing is left to read."""
        return self.number > len(self.sequence.steps)

    @property
    def expected(self) -> str:
        """What to type now."""
        if self.step is None:
            return ""
        if adjusts(self.step) and not self.adjustment.reads:
            return self.adjustment.expected
        return expected(self.step.read) if self.step.read else "nothing; Enter goes on"

    def may_read(self) -> bool:
        """Whether what is on screen may be read now; the operator is told why not."""
        return self._unless(self.screen.not_up)

    def warm_enough(self) -> bool:
        """Whether the step may be read. Asked twice at a step, the warm-up is cut short."""
        return self._unless(self.agenda.too_cold())

    def _may_change(self) -> bool:
        return self._unless(self.screen.too_soon)

    def _unless(self, why: str) -> bool:
        """Whether nothing speaks against it; what does is told."""
        self.message = why or self.message
        return not why

    # ---- what the operator does

    def up(self) -> None:
        """The operator has put the picture up on the media player: from now on it settles."""
        self.screen.up()
        self.message = "It is up."

    def enter(self, text: str) -> bool:
        """Take what was typed as this step's reading. False, with a message, where it cannot be.

        What is typed is kept at once; the next picture comes when it may. With nothing typed it is
        only a key to go on, as often as a picture may change.
        """
        step = self.step
        if step is None:
            self.message = REST
            return False
        if adjusts(step) and not self.adjustment.reads:
            return self._adjust(lambda: self.adjustment.enter(text))
        something = bool(text.strip() or self.counting.tallies)
        may = self.may_read() if something else self._may_change()
        if not may or not self.warm_enough():
            return False
        if step.read is None and text.strip():
            self.message = NOTHING_HERE
            return False
        if step.read is None:
            self.go_on()
            return True
        return self._enter(step, step.read, text)

    def _enter(self, step: Step, read: Read, text: str) -> bool:
        if read.quantity == "tally":
            # a number that was counted elsewhere stands for no pass of this box
            elsewhere = text.strip() not in ("", "0") and not self.counting.tallies
            if self.counting.unfinished and not elsewhere:
                return self._set_aside(step)
            text = text if text.strip() else str(self.counting.tallies)
        if not text.strip():
            self.message = f"Type {self.expected}; the right arrow goes on without a reading."
            return False
        coded = self.keeping.colour_coded(step) if read.of_light else None
        try:
            entry = entered(text, read, self._room, coded, self._order)
        except EntryError as error:
            self.message = str(error)
            return False
        value = entry.value
        if why := self.adjustment.no_use(value):
            self.message = why
            return False
        found = self.keeping.doubts(step, value)
        if not entry.sure:
            found = f"{_told(value)}? Where Y comes last, type xyY before it. {found}".strip()
        if entry.comma == "unsure" and not self._comma_known:
            found = f"{text.strip()}: {COMMA} {found}".strip()
        if found and self._doubted != (step.number, text):
            # asked once, and never refused: the operator sees the display
            self._doubted = (step.number, text)
            self.message = f"{found} Enter once more keeps it."
            return False
        self._order = entry.order or self._order
        self._comma_known = self._comma_known or bool(entry.comma)
        self.take(value, self._instrument_of(value), _told(value) if entry.order else "")
        return True

    def _set_aside(self, step: Step) -> bool:
        """End a pass whose box is on its way, which is asked about once; its presses are kept.

        Nothing is read of the step by that: an Enter that slipped is no pass without a hop.
        """
        if not self._asked_aside:
            self._asked_aside, self.message = True, SET_ASIDE
            return False
        number = self.counting.tallies
        presses = "1 press" if number == 1 else f"{number} presses"
        why = f"a pass was set aside before its box had finished its way, {presses}"
        self.visit.keep_note(
            f"{why[:1].upper()}{why[1:]}.", run=self.id, showing=self.screen.kept_showing().id
        )
        if self.keeping.current(step.number) is None:
            self.keeping.skip(step, why)
        self._go_on_when_it_may()
        self.message = f"The pass of step {step.number} was set aside, and does not count."
        return True

    def paste(self, text: str) -> bool:
        """Keep several values, one for each step from this one on; all of them, or none.

        A step takes one only where it has been on screen in this run: nothing can have been read
        of what was never shown. Values that are doubted are asked about once, all together.
        """
        if self.step is None:
            self.message = REST
            return False
        if not self.may_read() or not self.warm_enough():
            return False
        try:
            placed = placed_values(text, self.agenda.from_here, self._room)
            comma = comma_of(" ".join(value.raw for _, value in placed if value.of_light))
            shown = self.keeping.showings_of([step for step, _ in placed])
        except EntryError as error:
            self.message = f"{error} Nothing was kept."
            return False
        found = [
            f"Step {step.number}: {doubt}"
            for step, value in placed
            if (doubt := self.keeping.doubts(step, value))
        ]
        if comma == "unsure" and not self._comma_known:
            found = [f"What was pasted: {COMMA}", *found]
        if found and self._doubted != (self.number, text):
            self._doubted = (self.number, text)
            more = f" {len(found) - 1} more are doubtful." if len(found) > 1 else ""
            self.message = f"{found[0]}{more} Paste once more to keep all {len(placed)}."
            return False
        self._comma_known = self._comma_known or bool(comma)
        again, stuck = 0, ""
        for step, value in placed:
            again += self.keeping.replaced(step, retaken=False) is not None
            self.keeping.keep(step, value, self._instrument_of(value), shown[step.number])
            stuck = stuck or self.keeping.stuck
        self._go_on_when_it_may()
        last = placed[-1][0].number
        replaced = f", {again} in place of earlier ones" if again else ""
        told = f"Kept {len(placed)} readings, up to step {last}{replaced}."
        self.message = f"{stuck} {told}".strip()
        self._pressing = stuck
        return True

    def _instrument_of(self, value: Value) -> int | None:
        """The instrument that a typed value was read by; None for the eye, or where unnamed."""
        return self._typed_with if value.luminance is not None else None

    def take(self, value: Value, instrument: int | None = None, said: str = "") -> Reading:
        """Keep a value for the step on screen, retaking what was there, and go on.

        The value is kept at once; the next picture waits where it may not come yet.

        Args:
            value: what was read.
            instrument: the id of the meter; None for the eye.
            said: how the value is told; its own text where nothing is given.
        """
        step = self.step
        if step is None:
            raise EntryError("Nothing is on screen to be read.")
        if why := self.adjustment.no_use(value):
            raise EntryError(why)
        again = self.keeping.replaced(step) is not None
        reading, more = self.keeping.keep(step, value, instrument)
        if self.adjustment.here:
            return self._learn(reading, short_text(value).strip())
        self.agenda.pace.took(self.screen.up_for - float(step.settle))
        self.keeping.retaking = None
        self._go_on_when_it_may(step)
        text = said or short_text(value).strip()
        place = " in place of the earlier one" if again else ""
        what = f"Kept: {text}," if value.quantity == "choice" else f"Kept {text}"
        self._pressing = self.keeping.stuck
        stuck = f"{self._pressing} " if self._pressing else ""
        if not self.finished or stuck or more:
            self.message = f"{stuck}{what} for step {step.number}{place}.{more}"
            self._to_the_end = self.message if stuck or more else ""
        return reading

    def seen(self) -> None:
        """Somebody has pressed a key since: what was told needs nobody any more."""
        self._pressing = ""

    @property
    def pressing(self) -> bool:
        """Whether the message needs the operator now."""
        return bool(self._pressing) and self.message.startswith(self._pressing)

    def _go_on_when_it_may(self, step: Step | None = None) -> None:
        """Show the next comb of a step, or the next step, as soon as the picture may change."""
        comb = None if step is None else self.counting.next_comb(step)
        if comb is not None:
            self.screen.gate.ask(lambda: self._put(comb))
        else:
            self.screen.gate.ask(lambda: self._go(self.agenda.next_open()))

    def _put(self, picture: Pattern) -> None:
        """Show another picture of the step; it settles, and the visit keeps when it came up."""
        self.screen.put(picture, self.screen.frame_of(picture))
        self.screen.kept_showing()

    def go_on(self, why: str = "") -> None:
        """Go to the next step; one that has nothing read is kept as skipped."""
        step = self.step
        if step is None or not self._may_change():
            return
        unread = self.keeping.lacks(step)
        if unread:
            self.keeping.skip(step, why)
        elif step.read is None:
            self.agenda.cut_warm_up()  # nothing is read here: to go on is to wait no longer
        self._go_by_hand(self.agenda.step_after(self.number))
        if unread:
            self.message = f"Step {step.number} was skipped."

    def back(self) -> None:
        """Show the step before; a reading there takes the place of the earlier one.

        Passes of a crawling box and answers to combs are added to the earlier ones.
        """
        before = self.agenda.step_before(self.number)
        if before is None:
            self.message = "This is the first step."
        elif self._may_change():
            self._go_by_hand(before)

    def go_to(self, number: int) -> None:
        """Show any step; a reading typed there takes the place of an earlier one."""
        if not 1 <= number <= len(self.sequence.steps):
            self.message = f"There is no step {number}."
        elif self._may_change():
            self._go_by_hand(number)

    def again(self) -> None:
        """Show the step that was read last once more, to retake it.

        Asked again before anything is read there, it goes to the reading before that one.
        """
        ids = [each.reading for each in self.keeping.kept]
        place = ids.index(self._taken_back) if self._taken_back in ids else len(ids)
        if not place:
            self.message = "Nothing was read before that." if ids else "Nothing has been read yet."
            return
        if not self._may_change():
            return
        reading = self.visit.reading(ids[place - 1])
        comb = self.counting.comb_of(reading)

        def show() -> None:
            self._go(reading.step, comb)
            self.keeping.retaking = self._taken_back = reading.id

        self.screen.gate.ask(show)
        self.message = f"Step {reading.step} again: the new reading takes the earlier one's place."

    def take_minutes(self, minutes: float | None, *, stay: bool) -> None:
        """Say how much time there is, and go to what is most important now.

        Args:
            minutes: for all that is left; None for the order of the file.
            stay: whether the step on screen is to stay, since something was done there already.
        """
        open_step = self.step is not None and self.keeping.is_open(self.step)
        stay = (
            stay
            or self.screen.due
            or minutes is None
            or not open_step
            or self.counting.tallies > 0
            or self.screen.gate.fresh
            or self.adjustment.here
        )
        self.message = self.agenda.note_minutes(minutes, stay=stay)
        self.adjustment.be_worth(minutes)
        following = self.agenda.next_open()
        if not stay and following != self.number:
            self._go_by_hand(following)
            self.message = self.agenda.what_fits

    def note(self, text: str, begun_at: tuple[int, Showing | None] | None = None) -> None:
        """Keep a note to what was on screen when it was begun: a step's number and its showing."""
        if not text.strip():
            self.message = "An empty note was not kept."
            return
        number, showing = begun_at or (self.number, self.screen.showing)
        there = 1 <= number <= len(self.sequence.steps)
        if showing is None and there and number == self.number:
            showing = self.screen.kept_showing()
        self.visit.keep_note(
            text.strip(),
            run=self.id,
            step=number if there else None,
            showing=None if showing is None else showing.id,
        )
        self.message = "Note kept."

    # ---- counting zones

    def tally(self) -> bool:
        """Keep where the moving box is now: the operator saw the light hop to the next zone.

        False, with a message, where there is no press to keep.
        """
        self._asked_aside = False
        if not self.may_read() or not self._unless(self.counting.no_press):
            return False
        self.message = self.counting.tally()
        return True

    def untally(self) -> None:
        """Take the last press back; the visit keeps it, marked as withdrawn."""
        self.message = self.counting.untally()

    def change(self, change: Change) -> None:
        """Change the picture while zones are counted; what cannot be done is told."""
        self._asked_aside = False
        if not self.counting.changeable:
            self.message = "There is nothing to change by hand on this step."
            return
        # a box that only goes at another speed does not change the picture; all else must not flash
        steady = self.counting.is_steady(change)
        if not (self.may_read() if steady else self._may_change()):
            return
        if isinstance(self.screen.pattern, Comb):
            self.keeping.retaking = None  # another comb is another question
        self.counting.note_way()
        try:
            changed = self.counting.changed(change)
            frame = changed.frame(self.screen.canvas, self.screen.signal)
        except PatternError as error:
            self.message = str(error)
            return

        def show() -> None:
            self.screen.put(changed, frame, anew=not steady)
            self.message = self.counting.shown

        if steady:
            show()
        else:
            self.message = ""
            self.screen.gate.ask(show)

    def pause(self) -> None:
        """Stop a moving box where it is, or let it go on from there."""
        self._asked_aside = False
        if not self.may_read():
            return
        if self.screen.moving is not None:
            self.screen.paused = True
            self.message = "The box stands still; P lets it go on."
        elif self.screen.paused:
            self.screen.paused = False
            self.change(Change.HERE)
        else:
            self.message = "Nothing moves on this step."

    # ---- adjusting the display

    def _adjust(self, what: Callable[[], str]) -> bool:
        """Do something where the display is adjusted, and show what comes of it.

        False, with a message, where it cannot be done.
        """
        if self.screen.elsewhere:
            self.message = ELSEWHERE
            return False
        if not self.may_read():
            return False
        try:
            said = what()
        except EntryError as error:
            self.message = str(error)
            return False
        self.message = said
        self._follow()
        return True

    def _follow(self) -> None:
        """Show what the adjustment goes on with, or the step after one that has ended."""
        adjustment, step = self.adjustment, self.step
        self.screen.asks = adjustment.asks
        if step is not None and not self.keeping.is_open(step):
            self._to_the_end = self.message
            self._go_on_when_it_may()
            return
        picture = adjustment.picture
        if picture is not None and picture != self.screen.pattern:
            self.screen.gate.ask(lambda: self._put(picture))

    def _learn(self, reading: Reading, text: str) -> Reading:
        """A reading was kept on the way: what it tells, and what comes next."""
        showing = self.screen.kept_showing()
        label = self.adjustment.label
        found = self.adjustment.read(reading, showing)
        self._pressing = self.keeping.stuck
        self.message = " ".join(filter(None, (self._pressing, f"Kept {text} for {label}.", found)))
        self._follow()
        return reading

    def do_without(self) -> bool:
        """What the right arrow does where the display is adjusted; False where it goes on."""
        if not self.adjustment.here or self.adjustment.state == "done" or self.screen.elsewhere:
            return False
        self._adjust(lambda: self.adjustment.right() or "")
        return True

    def put_back(self) -> None:
        """Put the last control back that was turned, or the one before."""
        self._adjust(self.adjustment.put_back)

    def hold(self) -> None:
        """Follow the display without advice, or go on with it."""
        self._adjust(self.adjustment.hold)

    def read_again(self) -> None:
        """Have what is on screen read, or after all not."""
        self._adjust(self.adjustment.read_again)

    def finish_adjusting(self) -> None:
        """Ask to end adjusting; take the controls that are asked for as they are supposed."""
        self._adjust(self.adjustment.finish)

    # ---- black, and halts

    def blackout(self) -> None:
        """Black at once, until asked again; then the step is shown and settles anew.

        What waited to come up, comes up instead of the step that was on screen.
        """
        screen = self.screen
        if screen.halted:
            self.message = screen.halted
        elif not screen.blacked_out:
            screen.gate.black(screen.black_out)
            self.message = DARK_ELSEWHERE if screen.elsewhere else DARK
        elif screen.returning:
            screen.returning = False  # it was to come back, and had not yet
            self.message = DARK_ELSEWHERE if screen.elsewhere else DARK
        elif screen.gate.fresh:
            self.message = TOO_SOON
        else:
            self._light("")

    def _light(self, message: str, note: str = "") -> None:
        """Show what waits, or else the step on screen once more."""
        self.message, self.screen.returning = message, True
        if self.screen.due:
            self.screen.gate.beat()
            self._note_beside(note)
            return

        def show() -> None:
            self._go(self.number)
            self._note_beside(note)  # which may be a moment later

        self.screen.gate.ask(show)

    def _note_beside(self, note: str) -> None:
        """Keep a note of what happened beside what is on screen, where anything is."""
        if note and self.screen.showing is not None:
            self.visit.keep_note(note, run=self.id, showing=self.screen.showing.id)

    def dark_first(self) -> None:
        """Black before the first step."""
        self.screen.gate.black(self.screen.black)

    def halt(self, why: str) -> None:
        """Show and keep nothing more until `resume`: what is on the display is not known."""
        self.screen.halted = self.message = why

    def resume(self, message: str, note: str = "") -> None:
        """Go on after a halt: the step is shown again and settles anew; a blackout stays.

        Args:
            message: what the operator is told.
            note: what is kept beside the step as it is shown again.
        """
        self.screen.halted = ""
        if self.screen.blacked_out:
            self.screen.gate.black(self.screen.black_out)
            self._note_beside(note)
        elif self.number or self.screen.due:
            self._light(message, note)
        self.message = message

    # ---- showing

    def prepare(self) -> None:
        """Draw the frame of the next step ahead, so that a key shows it within a refresh.

        Combs are left out: which one comes next depends on the answer. Nothing is drawn ahead while
        a pattern moves, whose own frames must not be late.
        """
        after = None if self.step is None else self.agenda.step_after(self.number)
        if self.screen.moving is not None or after is None:
            return
        following = self.sequence.steps[after - 1]
        if not is_comb(following) and not adjusts(following):
            self.screen.draw_ahead(following.pattern)

    def _go_by_hand(self, number: int | None) -> None:
        """Show a step that was asked for when the picture could change."""
        self.message = ""
        self.screen.gate.ask(lambda: self._go(number))

    def _go(self, number: int | None, pattern: Pattern | None = None) -> None:
        """Show a step, or another picture for it. Only the gate calls this."""
        if number is None or number > len(self.sequence.steps):
            self.screen.show_end()
            if not self._to_the_end or self.message != self._to_the_end:
                self.message = REST
            return
        self.screen.show(number, pattern or self._pattern_of(number))
        self._doubted, self._asked_aside, self._taken_back = (), False, None
        self.counting.begin_step()
        self.screen.asks = self.adjustment.asks
        self.keeping.retaking = None
        self.agenda.begin_step()
        self.screen.kept_showing()
        if self.adjustment.here and not self.message:
            self.message = CAUTION

    def _pattern_of(self, number: int) -> Pattern:
        """What a step shows first."""
        step = self.sequence.steps[number - 1]
        if adjusts(step) and not self.screen.elsewhere:
            return self.adjustment.pattern_of(step)
        return self.counting.pattern_of(number)


def _told(value: Value) -> str:
    """A colour with its letters; empty where it has no x and y."""
    if value.luminance is None or value.x is None or value.y is None:
        return ""
    return told(value.luminance, value.x, value.y)
