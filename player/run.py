"""A run as it is played: which step, what was read, what comes next. No windows, no OpenGL."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from patterns.frame import Frame
from patterns.kinds import CrawlingPattern, Pattern
from patterns.signal import Signal
from player.entry import EntryError, expected, parse_entry
from player.outputs.base import Guard, Output
from player.record import goes_on, planned_run, planned_step, shown_record
from readings.records import Reading, Showing, Value
from readings.visit import Visit
from sequences.model import READING_TAKES, Sequence, Step

CHANGE_GAP = 0.36
"""Seconds between two changes of the picture by a key: a key held down must not make it flash.

Rec. ITU-R BT.1702-3 has leading edges of flashes at least 360 ms apart at 50 Hz, 334 ms at 60 Hz.
"""
TOO_SOON = "Slower, please: the picture changes at most about three times a second."
DARK = "Blackout. The same key brings the step back."
DARK_ELSEWHERE = "Take the picture away on the media player. The same key names the file again."
REST = "Nothing is left to read. Enter ends the run, the left arrow goes back."


@dataclass(frozen=True)
class Kept:
    """A reading as the operator sees it in the list of the last ones."""

    number: int
    label: str
    text: str


class LiveRun:
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
        self.sequence = sequence
        self.visit = visit
        self.output = output
        self.condition = condition
        self.signal: Signal = sequence.signal.shown_at(output.bits, output.range)
        self._overrides = dict(overrides or {})
        self._clock = clock
        self.number = 0
        """Number of the step on screen; 0 before the first, steps + 1 when all are read."""
        self.frame: Frame | None = None
        self.guard = Guard("unknown", "nothing has been shown yet")
        self.showing: Showing | None = None
        self.blacked_out = False
        self.message = ""
        self.kept: list[Kept] = []
        self.tallies = 0
        self.elsewhere = output.name == "files"
        """Whether the picture is put up by hand, on a media player."""
        self.waiting = False
        """Whether a picture that has to settle is not known to be up yet."""
        self._shown_at = float("-inf")
        self._ticks = 0
        self._ended = False
        self._current: dict[int, Reading] = {}
        self.record = self._start()

    # ---- beginning and end

    def _start(self) -> int:
        """Resume the run that was left, where nothing has changed, or start a new one."""
        plan = planned_run(self.sequence, self.output, self.signal, self.condition, self._overrides)
        left = self.visit.unfinished_run(self.sequence.sha256, self.condition)
        if left is not None and goes_on(left, plan):
            self.visit.resume_run(left.id, guards=plan.guards)
            self._recall(left.id)
            self.message = f"Run {left.id} goes on where it was left."
            return left.id
        if left is not None:
            self.message = (
                f"Run {left.id} was left unfinished on another canvas, signal or output; "
                "this is a new run."
            )
        steps = [planned_step(step) for step in self.sequence.steps]
        return self.visit.start_run(plan, steps).id

    def _recall(self, run: int) -> None:
        labels = {step.number: step.label for step in self.sequence.steps}
        for reading in self.visit.readings(run):
            self.kept.append(Kept(reading.step, labels[reading.step], reading.raw))
            self._current[reading.step] = reading

    def begin(self) -> None:
        """Show the first step that is neither read nor skipped."""
        beginning = self.message
        self._go(self.visit.next_step(self.record))
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
    def step(self) -> Step | None:
        """The step on screen; None before the first and when nothing is left to read."""
        if 1 <= self.number <= len(self.sequence.steps):
            return self.sequence.steps[self.number - 1]
        return None

    @property
    def settle_left(self) -> float:
        """Seconds until the step has settled; 0 when it has."""
        if self.step is None:
            return 0.0
        if self.waiting:
            return float(self.step.settle)
        return max(0.0, float(self.step.settle) - (self._clock() - self._shown_at))

    @property
    def change_left(self) -> float:
        """Seconds until the picture may be changed again; 0 when it may."""
        return max(0.0, CHANGE_GAP - (self._clock() - self._shown_at))

    def _too_soon(self) -> bool:
        if self.change_left:
            self.message = TOO_SOON
            return True
        return False

    @property
    def seconds_left(self) -> float:
        """An estimate of the time for this step and those after it."""
        ahead = self.sequence.steps[max(self.number - 1, 0) :]
        return float(sum(step.settle + (READING_TAKES if step.read else 0) for step in ahead))

    @property
    def expected(self) -> str:
        """What to type now."""
        if self.step is None:
            return ""
        return expected(self.step.read) if self.step.read else "nothing; Enter goes on"

    def current_reading(self) -> Reading | None:
        """The reading that this step already has."""
        return self._current.get(self.number)

    # ---- what moves

    @property
    def moving(self) -> Pattern | None:
        """The pattern on screen where its frames differ with time, as far as it moves here."""
        if self.elsewhere:
            return None
        pattern = self.step.pattern if self.step else None
        return pattern if pattern is not None and pattern.moves else None

    @property
    def time(self) -> Fraction:
        """Pattern time of the frame on screen: whole refreshes since it began, in seconds."""
        return Fraction(self._ticks) / self.output.canvas.refresh

    def tick(self, refreshes: int = 1) -> Frame | None:
        """Go on by whole refreshes of a moving pattern; the frame that is now due, or None."""
        if self.moving is None or self.blacked_out:
            return None
        self._ticks += refreshes
        self.frame = self.moving.frame(self.output.canvas, self.signal, self.time)
        return self.frame

    def tally(self) -> None:
        """Keep where the moving box is now: the operator saw the light hop to the next zone."""
        pattern = self.moving
        if self.elsewhere:
            self.message = "The media player's clock is not known here: count, and type the number."
            return
        if not isinstance(pattern, CrawlingPattern):
            self.message = "There is nothing to tally on this step."
            return
        if not pattern.countable:
            self.message = "Zones are not counted along a diagonal."
            return
        showing = self._kept_showing()
        self.visit.keep_tally(
            showing.id,
            position_px=float(pattern.middle(self.output.canvas, self.time)),
            axis="horizontal" if pattern.across else "vertical",
            direction=pattern.heading(self.output.canvas, self.time),
        )
        self.tallies += 1
        self.message = f"Press {self.tallies} kept."

    # ---- what the operator does

    def up(self) -> None:
        """The operator has put the picture up on the media player: from now on it settles."""
        self.waiting = False
        self._shown_at = self._clock()
        self.message = "It is up."

    def enter(self, text: str) -> bool:
        """Take what was typed as this step's reading. False, with a message, where it cannot be."""
        step = self.step
        if step is None:
            self.message = REST
            return False
        if self._too_soon():
            return False
        if step.read is None:
            self.go_on()
            return True
        if not text.strip() and step.read.quantity == "tally":
            text = str(self.tallies)
        if not text.strip():
            self.message = f"Type {self.expected}; the right arrow goes on without a reading."
            return False
        try:
            value = parse_entry(text, step.read)
        except EntryError as error:
            self.message = str(error)
            return False
        self.take(value)
        return True

    def take(self, value: Value, instrument: int | None = None) -> Reading:
        """Keep a value for the step on screen, retaking what was there, and go on."""
        step = self.step
        if step is None:
            raise EntryError("Nothing is on screen to be read.")
        showing = self._kept_showing()
        before = self.current_reading()
        reading = self.visit.keep_reading(
            showing.id, value, instrument=instrument, replaces=before.id if before else None
        )
        self._current[step.number] = reading
        self.kept = [each for each in self.kept if each.number != step.number]
        self.kept.append(Kept(step.number, step.label, value.raw))
        again = " in place of the earlier one" if before else ""
        self._go(self.visit.next_step(self.record))
        if not self.finished:
            self.message = f"Kept {value.raw.strip()} for step {step.number}{again}."
        return reading

    def go_on(self, why: str = "") -> None:
        """Go to the next step; one that has nothing read is kept as skipped."""
        step = self.step
        if step is None or self._too_soon():
            return
        unread = step.read is not None and self.current_reading() is None
        if unread:
            self.visit.skip_step(self.record, step.number, why=why)
        self._go(self.number + 1)
        if unread:
            self.message = f"Step {step.number} was skipped."

    def back(self) -> None:
        """Show the step before; a reading typed there takes the place of the earlier one."""
        if self.number <= 1:
            self.message = "This is the first step."
            return
        if self._too_soon():
            return
        self._go(self.number - 1)

    def again(self) -> None:
        """Show the step that was read last once more, to retake it."""
        if not self.kept:
            self.message = "Nothing has been read yet."
            return
        if self._too_soon():
            return
        self._go(self.kept[-1].number)
        self.message = f"Step {self.number} again: the new reading takes the earlier one's place."

    def note(self, text: str) -> None:
        """Keep a note to the step on screen."""
        if not text.strip():
            self.message = "An empty note was not kept."
            return
        showing = self._kept_showing().id if self.step else None
        self.visit.keep_note(text.strip(), run=self.record, showing=showing)
        self.message = "Note kept."

    def blackout(self) -> None:
        """Black until asked again; then the step is shown and settles anew."""
        if self._too_soon():
            return
        if self.blacked_out:
            self._go(self.number)
        else:
            self.output.blackout()
            self._shown_at = self._clock()
            self.blacked_out = True
            self.message = DARK_ELSEWHERE if self.elsewhere else DARK

    # ---- showing

    def _go(self, number: int | None) -> None:
        last = len(self.sequence.steps)
        self.blacked_out = False
        if number is None or number > last:
            self.number = last + 1
            self.frame = None
            self.showing = None
            self.output.blackout()
            self._shown_at = self._clock()
            self.message = REST
            return
        frame = self._frame_of(number)
        self.guard = self.output.show(frame)
        self.number, self.frame = number, frame
        self._ticks, self.tallies = 0, 0
        self.waiting = self.elsewhere and self.sequence.steps[number - 1].settle > 0
        self._shown_at = self._clock()
        self.message = ""
        self.showing = None
        self._kept_showing()

    def _frame_of(self, number: int) -> Frame:
        """The frame of a step at its start; the one on screen where it is the same picture."""
        pattern, before = self.sequence.steps[number - 1].pattern, self.step
        same = before is not None and pattern == before.pattern and not pattern.moves
        if self.frame is not None and same:
            return self.frame
        return pattern.frame(self.output.canvas, self.signal)

    def _kept_showing(self) -> Showing:
        """The record of what is on screen; kept now where an earlier attempt failed."""
        if self.showing is None:
            if self.frame is None:
                raise EntryError("Nothing is on screen.")
            shown = shown_record(self.frame, self.guard)
            self.showing = self.visit.keep_showing(self.record, self.number, shown)
        return self.showing
