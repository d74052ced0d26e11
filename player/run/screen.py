"""What a run has on screen: a step's picture, or what the operator made of it."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from patterns.kinds import Pattern
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.outputs.base import Guard, Output
from player.run.by_hand import changes
from player.run.entry import EntryError
from player.run.gate import Gate
from player.run.record import shown_record
from readings.evidence.measured import GOES_ON_FROM
from readings.visit.receives import RECEIVES
from readings.visit.records import Showing
from readings.visit.visit import Visit
from sequences.model import Sequence, Step

TOO_SOON = "Slower, please: the picture changes at most about three times a second."
NOT_UP = "Too early: the next picture was not up yet."


class Screen:
    """The picture of a run, when it came up, and its record in the visit.

    Args:
        sequence: what is played.
        visit: keeps what is shown.
        run: the run's id in the visit.
        output: what the picture is shown on.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        sequence: Sequence,
        visit: Visit,
        run: int,
        output: Output,
        clock: Callable[[], float],
    ) -> None:
        self._sequence = sequence
        self._visit = visit
        self._run = run
        self._output = output
        self._clock = clock
        self.canvas = output.canvas
        self.signal: Signal = sequence.signal.shown_at(output.bits, output.range)
        self.gate = Gate(clock)
        """Every change of the picture goes through it."""
        self.number = 0
        """Number of the step on screen; 0 before the first, steps + 1 when all are read."""
        self.frame: Frame | None = None
        self.pattern: Pattern | None = None
        """What is on screen: the step's pattern, or what the operator made of it."""
        self.guard = Guard("unknown", "nothing has been shown yet")
        self.showing: Showing | None = None
        self.shown = {each.step for each in visit.showings(run)}
        """Numbers of the steps that have been on screen in this run."""
        self.receives: str | None = ""
        """What the display reports that it receives, a key of `RECEIVED`; None where it has to be
        asked before anything is shown, empty where nobody asks."""
        self.paused = False
        """Whether a moving pattern was stopped by hand."""
        self.blacked_out = False
        self.returning = False
        """Whether the picture is to come back from a blackout as soon as it may."""
        self.halted = ""
        """Why nothing is shown or kept now, in a sentence; empty where the run goes on."""
        self.asks = ""
        """What is asked of the picture, where that changes while it stands: what was typed for one
        question answers no other."""
        self.elsewhere = output.name == "files"
        """Whether the picture is put up by hand, on a media player."""
        self.waiting = False
        """Whether a picture that has to settle is not known to be up yet."""
        self._up_since = self._step_since = float("-inf")
        """When the picture came up, and when its step did, which may show several."""
        self._ticks = 0
        self._began: int | None = None
        self._ahead: tuple[Pattern, Frame] | None = None

    @property
    def step(self) -> Step | None:
        """The step on screen; None before the first and when nothing is left to read."""
        if 1 <= self.number <= len(self._sequence.steps):
            return self._sequence.steps[self.number - 1]
        return None

    # ---- whether it may be read, or changed

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
        held = bool(self.halted) or (self.blacked_out and not self.returning)
        return self.due and not held

    def beat(self) -> None:
        """Make the change of picture that waits, once it may come."""
        if self.coming:
            self.gate.beat()

    @property
    def not_up(self) -> str:
        """Why nothing can be read of what is on screen now, in a sentence; empty where it can."""
        return self.halted or (NOT_UP if self.due else "")

    @property
    def too_soon(self) -> str:
        """Why another picture may not be asked for yet, in a sentence; empty where it may.

        Where only the strip has changed since, it is asked for, and waits its turn.
        """
        return self.not_up or (TOO_SOON if self.gate.fresh else "")

    # ---- time

    @property
    def settle_left(self) -> float:
        """Seconds until the step has settled; 0 when it has."""
        if self.step is None:
            return 0.0
        if self.waiting:
            return float(self.step.settle)
        return max(0.0, float(self.step.settle) - self.up_for)

    @property
    def up_for(self) -> float:
        """Seconds that this picture has been up."""
        return self._clock() - self._up_since

    @property
    def step_for(self) -> float:
        """Seconds that this step has been up, with whichever of its pictures; 0 where it waits."""
        return 0.0 if self.step is None or self.waiting else self._clock() - self._step_since

    def up(self) -> None:
        """The picture was put up on the media player: from now on it settles."""
        self.waiting = False
        self._up_since = self._step_since = self._clock()

    def settle_anew(self) -> None:
        """Light that lay over the picture has come or gone: the display settles from now on."""
        self._up_since = self._clock()

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
        return Fraction(self._ticks) / self.canvas.refresh

    def tick(self, refreshes: int = 1) -> Frame | None:
        """Go on by whole refreshes of a moving pattern; the frame that is now due, or None."""
        if self.moving is None or self.blacked_out:
            return None
        self._ticks += refreshes
        self.frame = self.moving.frame(self.canvas, self.signal, self.time)
        return self.frame

    # ---- frames

    @property
    def ahead(self) -> Frame | None:
        """The frame that was drawn ahead; None where none was, or it is on screen already."""
        frame = self._ahead[1] if self._ahead is not None else None
        return None if frame is self.frame else frame

    def draw_ahead(self, pattern: Pattern) -> None:
        """Draw the frame of a pattern that is to come next."""
        ahead = self._ahead[0] if self._ahead is not None else None
        if pattern not in (self.pattern, ahead):
            self._ahead = pattern, self.frame_of(pattern)

    def frame_of(self, pattern: Pattern) -> Frame:
        """The frame of a pattern at its start; the one on screen where it is the same picture."""
        if self.frame is not None and pattern == self.pattern and not pattern.moves:
            return self.frame
        if self._ahead is not None and pattern == self._ahead[0]:
            return self._ahead[1]
        return pattern.frame(self.canvas, self.signal)

    # ---- showing; only the gate calls these, but for a picture that only goes on otherwise

    def show(self, number: int, pattern: Pattern) -> None:
        """Show a step: its pattern, or another picture for it. It is kept by `kept_showing`."""
        self.blacked_out = self.returning = False
        frame = self.frame_of(pattern)
        self.guard = self._output.show(frame)
        self.number, self.pattern, self.frame = number, pattern, frame
        self._ticks, self.paused = 0, False
        self._began = self.showing = None
        self.waiting = self.elsewhere and self._sequence.steps[number - 1].settle > 0
        self._up_since = self._step_since = self._clock()

    def show_end(self) -> None:
        """Black, after the last step."""
        self.blacked_out = self.returning = False
        self.number = len(self._sequence.steps) + 1
        self.pattern = self.frame = self.showing = None
        self.black()

    def put(self, pattern: Pattern, frame: Frame, *, anew: bool = True) -> None:
        """Show another picture of the same step; it is kept with what is read or pressed there.

        Args:
            pattern: what is shown now.
            frame: its frame at its start.
            anew: whether it settles anew; a box that only goes at another speed does not.
        """
        self.guard = self._output.show(frame)
        self.pattern, self.frame = pattern, frame
        self._ticks = 0
        self.showing = None
        if anew:
            self._up_since = self._clock()

    def renew(self) -> None:
        """The display itself was changed: the same picture settles anew, and is kept anew."""
        self.showing = None
        self._up_since = self._clock()

    def black(self) -> None:
        """Black, whatever was on screen; what comes after it settles anew."""
        self._output.blackout()
        self._up_since = self._clock()

    def black_out(self) -> None:
        """Black until the operator asks for the picture again."""
        self.black()
        self.blacked_out, self.returning = True, False

    # ---- the record

    def _received(self) -> dict[str, object]:
        return {RECEIVES: self.receives} if self.receives else {}

    def kept_showing(self) -> Showing:
        """The record of what is on screen; kept now where an earlier attempt failed."""
        if self.showing is None:
            if self.frame is None:
                raise EntryError("Nothing is on screen.")
            shown = shown_record(self.frame, self.guard, self._by_hand() | self._received())
            self.showing = self._visit.keep_showing(self._run, self.number, shown)
            self.shown.add(self.number)
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
