"""A run as it is played: which step, what was read, what comes next. No windows, no OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping

from patterns.kinds import Pattern
from patterns.kinds.moving_box import Comb
from player.outputs.base import Output
from player.run.adjusting import with_comb
from player.run.agenda import RunTime
from player.run.entry import EntryError, expected, parse_entry
from player.run.keeping import Kept, short_text
from player.run.pasting import placed_values
from player.run.record import MINUTES, goes_on, planned_run, planned_step
from player.run.screen import CHANGE_GAP, NOT_UP, TOO_SOON
from player.run.zone_count import is_comb
from readings.visit.records import Reading, Showing, Value
from readings.visit.visit import Visit
from sequences.model import Read, Sequence, Step

__all__ = ["CHANGE_GAP", "DARK", "DARK_ELSEWHERE", "NOT_UP", "REST", "TOO_SOON", "Kept", "LiveRun"]

DARK = "Blackout. The same key brings the step back."
DARK_ELSEWHERE = "Take the picture away on the media player. The same key names the file again."
REST = "Nothing is left to read. Enter ends the run, the left arrow goes back."
NOTHING_HERE = "Nothing is read at this step; Tab writes a note."


class LiveRun(RunTime):
    """One pass through a sequence on one output, kept in a visit as it goes.

    Every method that keeps something returns after the visit's commit. ``message`` is what the
    operator is told last; it never stands for something that was not done.
    """

    def __init__(
        self,
        sequence: Sequence,
        visit: Visit,
        output: Output,
        *,
        condition: str = "",
        overrides: Mapping[str, object] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(sequence, visit, output, clock)
        self.condition = condition
        self._overrides = dict(overrides or {})
        self.typed_with: int | None = None
        """The instrument whose light is typed, where it is named; None otherwise."""
        self._ended = False
        self._resumed = False
        self.taken = 0
        """Readings kept since this start, those that were replaced among them."""
        self._doubted: tuple[object, ...] = ()
        """What was asked about last: the same once more is kept."""
        self.record = self._start()
        minutes = self._overrides.get(MINUTES)
        if isinstance(minutes, int | float):
            self._give_at_start(float(minutes))

    # ---- beginning and end

    def _start(self) -> int:
        """Resume the run that was left, where nothing has changed, or start a new one."""
        plan = planned_run(self.sequence, self.output, self.signal, self.condition, self._overrides)
        left = self.visit.unfinished_run(self.sequence.sha256, self.condition)
        if left is not None and goes_on(left, plan):
            self.visit.resume_run(left.id, guards=plan.guards)
            self.recall(left.id)
            self._resumed = True
            self.message = f"Run {left.id} goes on where it was left."
            return left.id
        if left is not None:
            self.message = (
                f"Run {left.id} was left unfinished on another canvas, signal or output; "
                "this is a new run."
            )
        steps = [planned_step(step) for step in self.sequence.steps]
        return self.visit.start_run(plan, steps).id

    def _give_at_start(self, minutes: float) -> None:
        beginning = self.message
        if self._resumed:
            self.note_minutes(minutes)
        else:
            self.give_minutes(minutes)
        self.message = f"{beginning} {self.message}".strip()

    def begin(self) -> None:
        """Show the first step that is neither read nor skipped."""
        beginning, self.message = self.message, ""
        self.gate.ask(lambda: self._go(self.next_open()))
        self.message = beginning or self.message

    def leave(self) -> None:
        """End the run: finished where nothing is left to read, otherwise to be resumed."""
        if not self._ended:
            left = self.visit.next_step(self.record) is not None
            self.visit.end_run(self.record, "left" if left else "finished")
            self._ended = True

    # ---- where we are

    @property
    def finished(self) -> bool:
        """Whether nothing is left to read."""
        return self.number > len(self.sequence.steps)

    @property
    def expected(self) -> str:
        """What to type now."""
        if self.step is None:
            return ""
        return expected(self.step.read) if self.step.read else "nothing; Enter goes on"

    # ---- what the operator does

    def up(self) -> None:
        """The operator has put the picture up on the media player: from now on it settles."""
        self.waiting = False
        self._shown_at = self._step_since = self._clock()
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
        said = text.strip() or self.tallies
        if (self.not_up() if said else self.too_soon()) or not self.warm_enough():
            return False
        if step.read is None and text.strip():
            self.message = NOTHING_HERE
            return False
        if step.read is None:
            self.go_on()
            return True
        return self._enter(step, step.read, text)

    def _enter(self, step: Step, read: Read, text: str) -> bool:
        if not text.strip() and read.quantity == "tally":
            text = str(self.tallies)
        if not text.strip():
            self.message = f"Type {self.expected}; the right arrow goes on without a reading."
            return False
        try:
            value = parse_entry(text, read)
        except EntryError as error:
            self.message = str(error)
            return False
        found = self.doubts(step, value)
        if found and self._doubted != (step.number, text):
            # asked once, and never refused: the operator sees the display
            self._doubted = (step.number, text)
            self.message = f"{found} Enter once more keeps it."
            return False
        self.take(value, self.typed_with if value.luminance is not None else None)
        return True

    def paste(self, text: str) -> bool:
        """Keep several values, one for each step from this one on; all of them, or none.

        A step takes one only where it has been on screen in this run: nothing can have been read
        of what was never shown. Values that are doubted are asked about once, all together.
        """
        if self.step is None or self.not_up() or not self.warm_enough():
            self.message = self.message if self.step else REST
            return False
        ahead = self.order[self._place(self.number) :]
        try:
            placed = placed_values(text, [self.sequence.steps[number - 1] for number in ahead])
            shown = self.showings_of([step for step, _ in placed])
        except EntryError as error:
            self.message = f"{error} Nothing was kept."
            return False
        found = [
            f"Step {step.number}: {doubt}"
            for step, value in placed
            if (doubt := self.doubts(step, value))
        ]
        if found and self._doubted != (self.number, text):
            self._doubted = (self.number, text)
            more = f" {len(found) - 1} more are doubtful." if len(found) > 1 else ""
            self.message = f"{found[0]}{more} Paste once more to keep all {len(placed)}."
            return False
        again = 0
        for step, value in placed:
            before = None if self.adds(step) else self._id_of(self._current.get(step.number))
            instrument = self.typed_with if value.luminance is not None else None
            self.keep(step, value, shown[step.number], instrument, before)
            self.taken += 1
            again += before is not None
        self._go_on_when_it_may()
        last = placed[-1][0].number
        said = f", {again} in place of earlier ones" if again else ""
        self.message = f"Kept {len(placed)} readings, up to step {last}{said}."
        return True

    def take(self, value: Value, instrument: int | None = None) -> Reading:
        """Keep a value for the step on screen, retaking what was there, and go on.

        The value is kept at once; the next picture waits where it may not come yet.
        """
        step = self.step
        if step is None:
            raise EntryError("Nothing is on screen to be read.")
        showing = self.kept_showing()
        before = self._retaking if self.adds(step) else self._id_of(self.current_reading())
        reading, doubted = self.keep(step, value, showing.id, instrument, before)
        self.taken += 1
        self.pace.took(self._clock() - self._shown_at - float(step.settle))
        again = " in place of the earlier one" if before is not None else ""
        self._retaking = None
        self._go_on_when_it_may(step)
        if not self.finished:
            text = short_text(value).strip()
            self.message = f"Kept {text} for step {step.number}{again}.{doubted}"
        return reading

    def _go_on_when_it_may(self, step: Step | None = None) -> None:
        """Show the next comb of a step, or the next step, as soon as the picture may change."""
        comb = None if step is None else self.next_comb(step)
        if comb is not None:
            self.gate.ask(lambda: self.put_comb(comb))
        else:
            self.gate.ask(lambda: self._go(self.next_open()))

    def go_on(self, why: str = "") -> None:
        """Go to the next step; one that has nothing read is kept as skipped."""
        step = self.step
        if step is None or self.too_soon():
            return
        unread = step.read is not None and self.current_reading() is None
        if unread:
            self.visit.skip_step(self.record, step.number, why=why)
            self.skipped.add(step.number)
        elif step.read is None:
            self.cut_warm_up()  # there is nothing to read: to go on is to wait no longer
        self._go_by_hand(self.step_after(self.number))
        if unread:
            self.message = f"Step {step.number} was skipped."

    def back(self) -> None:
        """Show the step before; a reading there takes the place of the earlier one.

        Passes of a crawling box and answers to combs are added to the earlier ones.
        """
        before = self.step_before(self.number)
        if before is None:
            self.message = "This is the first step."
        elif not self.too_soon():
            self._go_by_hand(before)

    def go_to(self, number: int) -> None:
        """Show any step; a reading typed there takes the place of an earlier one."""
        if not 1 <= number <= len(self.sequence.steps):
            self.message = f"There is no step {number}."
        elif not self.too_soon():
            self._go_by_hand(number)

    def again(self) -> None:
        """Show the step that was read last once more, to retake it."""
        if not self.kept:
            self.message = "Nothing has been read yet."
            return
        if self.too_soon():
            return
        number = self.kept[-1].number
        reading = self._current.get(number)
        comb = None if reading is None else self._comb_of(reading)

        def show() -> None:
            self._go(number, comb)
            self._retaking = None if reading is None else reading.id

        self.gate.ask(show)
        self.message = f"Step {self.number} again: the new reading takes the earlier one's place."

    def take_minutes(self, minutes: float | None, *, stay: bool) -> None:
        """Say how much time there is, and go to what is most important now.

        Args:
            minutes: for all that is left; None for the order of the file.
            stay: whether the step on screen is to stay, since something was done there already.
        """
        open_step = self.step is not None and self._is_open(self.step)
        stay = (
            stay
            or self.due
            or minutes is None
            or not open_step
            or self.tallies > 0
            or self.gate.fresh
        )
        self.note_minutes(minutes, stay=stay)
        following = self.next_open()
        if not stay and following != self.number:
            self._go_by_hand(following)
            self.message = self.what_fits

    def note(self, text: str, begun_at: tuple[int, Showing | None] | None = None) -> None:
        """Keep a note to what was on screen when it was begun: a step's number and its showing."""
        if not text.strip():
            self.message = "An empty note was not kept."
            return
        number, showing = begun_at or (self.number, self.showing)
        there = 1 <= number <= len(self.sequence.steps)
        if showing is None and there and number == self.number:
            showing = self.kept_showing()
        self.visit.keep_note(
            text.strip(),
            run=self.record,
            step=number if there else None,
            showing=None if showing is None else showing.id,
        )
        self.message = "Note kept."

    def blackout(self) -> None:
        """Black at once, until asked again; then the step is shown and settles anew.

        What waited to come up, comes up instead of the step that was on screen.
        """
        if self.halted:
            self.message = self.halted
        elif not self.blacked_out:
            self.gate.black(self._blacken)
            self.message = DARK_ELSEWHERE if self.elsewhere else DARK
        elif self._returning:
            self._returning = False  # it was to come back, and had not yet
            self.message = DARK_ELSEWHERE if self.elsewhere else DARK
        elif self.gate.fresh:
            self.message = TOO_SOON
        else:
            self._light("")

    def _blacken(self) -> None:
        self.output.blackout()
        self._shown_at = self._clock()
        self.blacked_out, self._returning = True, False

    def _light(self, message: str) -> None:
        """Show what waits, or else the step on screen once more."""
        self.message, self._returning = message, True
        if self.due:
            self.gate.beat()
        else:
            self.gate.ask(lambda: self._go(self.number))

    def dark_first(self) -> None:
        """Black before the first step."""
        self.gate.black(self.output.blackout)

    def prepare(self) -> None:
        """Draw the frame of the next step ahead, so that a key shows it within a refresh.

        Combs are left out: which one comes next depends on the answer. Nothing is drawn ahead while
        a pattern moves, whose own frames must not be late.
        """
        after = None if self.step is None else self.step_after(self.number)
        if self.moving is not None or after is None:
            return
        following = self.sequence.steps[after - 1]
        ahead = self._ahead[0] if self._ahead is not None else None
        if is_comb(following) or following.pattern in (self.pattern, ahead):
            return
        self._ahead = following.pattern, self.frame_of(following.pattern)

    def halt(self, why: str) -> None:
        """Show and keep nothing more until `resume`: what is on the display is not known."""
        self.halted = self.message = why

    def resume(self, message: str) -> None:
        """Go on after a halt: the step is shown again and settles anew; a blackout stays."""
        self.halted = ""
        if self.blacked_out:
            self.gate.black(self._blacken)
        elif self.number or self.due:
            self._light(message)
        self.message = message

    # ---- showing

    def _comb_of(self, reading: Reading) -> Comb | None:
        """The comb that a reading is the answer to; None for readings of other things."""
        step = self.sequence.steps[reading.step - 1]
        if not is_comb(step) or not isinstance(step.pattern, Comb):
            return None
        facts = self.visit.showing(reading.showing).facts
        return with_comb(
            step.pattern, int(facts["zones"]), int(facts["spacing"]), float(facts["phase"])
        )

    def _go_by_hand(self, number: int | None, pattern: Pattern | None = None) -> None:
        """Show a step that was asked for when the picture could change."""
        self.message = ""
        self.gate.ask(lambda: self._go(number, pattern))

    def _go(self, number: int | None, pattern: Pattern | None = None) -> None:
        """Show a step, or another picture for it. Only the gate calls this."""
        last = len(self.sequence.steps)
        self.blacked_out = self._returning = False
        if number is None or number > last:
            self.number = last + 1
            self.pattern = self.frame = None
            self.showing = None
            self.output.blackout()
            self._shown_at = self._clock()
            self.message = REST
            return
        pattern = pattern or self.pattern_of(number)
        frame = self.frame_of(pattern)
        self.guard = self.output.show(frame)
        self.number, self.pattern, self.frame = number, pattern, frame
        self._ticks, self.paused = 0, False
        self._tallies, self._began, self._retaking = [], None, None
        self._doubted = ()
        self._cold_asked = 0
        self.waiting = self.elsewhere and self.sequence.steps[number - 1].settle > 0
        self._shown_at = self._step_since = self._clock()
        self.showing = None
        self.kept_showing()
        self._shown.add(number)
