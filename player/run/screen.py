"""What a run has on screen: a step's picture, or what the operator made of it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from patterns.kinds import Pattern
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.outputs.base import Guard, Output
from player.run.adjusting import changes
from player.run.entry import EntryError
from player.run.gate import CHANGE_GAP, Gate
from player.run.record import shown_record
from readings.evidence.measured import GOES_ON_FROM
from readings.visit.records import Showing
from readings.visit.visit import Visit
from sequences.model import Sequence, Step

__all__ = ["CHANGE_GAP", "NOT_UP", "TOO_SOON", "RunScreen"]

TOO_SOON = "Slower, please: the picture changes at most about three times a second."
NOT_UP = "Too early: the next picture was not up yet."


class RunScreen:
    """The picture of a run, when it came up, and its record in the visit.

    ``message`` is what the operator is told last; it never stands for something that was not done.
    """

    record: int
    """The run's number in its visit; whoever plays sets it when the run begins."""

    def __init__(
        self, sequence: Sequence, visit: Visit, output: Output, clock: Callable[[], float]
    ) -> None:
        self.sequence = sequence
        self.visit = visit
        self.output = output
        self.signal: Signal = sequence.signal.shown_at(output.bits, output.range)
        self._clock = clock
        self.gate = Gate(clock)
        """Every change of the picture goes through it."""
        self.number = 0
        """Number of the step on screen; 0 before the first, steps + 1 when all are read."""
        self.frame: Frame | None = None
        self.pattern: Pattern | None = None
        """What is on screen: the step's pattern, or what the operator made of it."""
        self.guard = Guard("unknown", "nothing has been shown yet")
        self.showing: Showing | None = None
        self.paused = False
        """Whether a moving pattern was stopped by hand."""
        self.blacked_out = False
        self._returning = False
        """Whether the picture is to come back from a blackout as soon as it may."""
        self.halted = ""
        """Why nothing is shown or kept now, in a sentence; empty where the run goes on."""
        self.message = ""
        self.elsewhere = output.name == "files"
        """Whether the picture is put up by hand, on a media player."""
        self._shown_at = self._step_since = float("-inf")
        """When the picture came up, and when its step did, which may show several."""
        self._ticks = 0
        self._began: int | None = None
        self._ahead: tuple[Pattern, Frame] | None = None

    @property
    def step(self) -> Step | None:
        """The step on screen; None before the first and when nothing is left to read."""
        if 1 <= self.number <= len(self.sequence.steps):
            return self.sequence.steps[self.number - 1]
        return None

    @property
    def ahead(self) -> Frame | None:
        """The frame that was drawn ahead; None where none was, or it is on screen already."""
        frame = self._ahead[1] if self._ahead is not None else None
        return None if frame is self.frame else frame

    @property
    def due(self) -> bool:
        """Whether another picture is to come that may not come yet; nothing is read meanwhile."""
        return self.gate.waits

    @property
    def change_left(self) -> float:
        """Seconds until the picture may be changed again, to a microsecond; 0 when it may."""
        return self.gate.left

    @property
    def coming(self) -> bool:
        """Whether a picture that waits comes by itself, as soon as it may."""
        held = bool(self.halted) or (self.blacked_out and not self._returning)
        return self.due and not held

    def beat(self) -> None:
        """Make the change of picture that waits, once it may come."""
        if self.coming:
            self.gate.beat()

    def not_up(self) -> bool:
        """Whether nothing can be read of what is on screen now; the operator is told."""
        if self.halted:
            self.message = self.halted
            return True
        if self.due:
            self.message = NOT_UP
            return True
        return False

    def too_soon(self) -> bool:
        """Whether another picture may not be asked for yet; the operator is told.

        Where only the strip has changed since, it is asked for, and waits its turn.
        """
        if self.not_up():
            return True
        if self.gate.fresh:
            self.message = TOO_SOON
            return True
        return False

    @property
    def moving(self) -> Pattern | None:
        """The pattern on screen where its frames differ with time, as far as it moves here."""
        if self.elsewhere or self.paused:
            return None
        pattern = self.pattern
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

    def frame_of(self, pattern: Pattern) -> Frame:
        """The frame of a pattern at its start; the one on screen where it is the same picture."""
        if self.frame is not None and pattern == self.pattern and not pattern.moves:
            return self.frame
        if self._ahead is not None and pattern == self._ahead[0]:
            return self._ahead[1]
        return pattern.frame(self.output.canvas, self.signal)

    def put(self, pattern: Pattern, frame: Frame) -> None:
        """Show another picture of the same step; it is kept with what is read or pressed there.

        Unless it is the same picture that only goes on otherwise, this is done through the gate.
        """
        self.guard = self.output.show(frame)
        self.pattern, self.frame = pattern, frame
        self._ticks = 0
        self.showing = None

    def kept_showing(self) -> Showing:
        """The record of what is on screen; kept now where an earlier attempt failed."""
        if self.showing is None:
            if self.frame is None:
                raise EntryError("Nothing is on screen.")
            shown = shown_record(self.frame, self.guard, self._by_hand())
            self.showing = self.visit.keep_showing(self.record, self.number, shown)
            if self._began is None:
                self._began = self.showing.id
        return self.showing

    def _by_hand(self) -> dict[str, object]:
        """What is to be kept of a picture that is not its step's own."""
        found: dict[str, object] = {}
        if self.step is not None and self.pattern is not None:
            changed = changes(self.step.pattern, self.pattern)
            found |= {"changed": changed} if changed else {}
        if self._began is not None:
            found[GOES_ON_FROM] = self._began
        return found
