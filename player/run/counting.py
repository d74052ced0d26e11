"""What the operator of a run does to count dimming zones: presses, changes by hand, combs."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from patterns.errors import PatternError
from patterns.kinds import CrawlingPattern, Pattern
from patterns.kinds.moving_box import Comb
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box
from player.outputs.base import Output
from player.run.adjusting import Change, adjustable, adjusted, changes, with_comb
from player.run.screen import RunScreen
from player.run.zone_count import MOST_COMBS, ZoneCounter, is_comb, way_of_step
from readings.evidence.measured import Press
from readings.visit.records import Tally
from readings.visit.visit import Visit
from sequences.model import Sequence, Step

if TYPE_CHECKING:
    from readings.zones.gather import Way


class RunZones(RunScreen):
    """A run's screen with what is needed to count zones on it."""

    def __init__(
        self, sequence: Sequence, visit: Visit, output: Output, clock: Callable[[], float]
    ) -> None:
        super().__init__(sequence, visit, output, clock)
        self._tallies: list[Tally] = []
        self._retaking: int | None = None
        """The answer to a comb, or the pass, that the next one takes the place of."""

    @property
    def zones(self) -> ZoneCounter:
        """What the run holds of the display's zones."""
        return ZoneCounter(self.visit, self.record, self.output.canvas)

    @property
    def tallies(self) -> int:
        """Presses kept since the step came up, those taken back not counted."""
        return len(self._tallies)

    @property
    def presses(self) -> tuple[Press, ...]:
        """The same with the places of the box."""
        return tuple(Press(each.position_px, each.axis, each.direction) for each in self._tallies)

    @property
    def counting(self) -> Way | None:
        """Which zones are being counted on this step."""
        return None if self.elsewhere else way_of_step(self.step)

    def adds(self, step: Step) -> bool:
        """Whether each reading of a step tells something of its own, and takes no other's place.

        So it is with each pass of a box and each comb; not where a media player shows them.
        """
        return not self.elsewhere and way_of_step(step) is not None

    def tally(self) -> bool:
        """Keep where the moving box is now: the operator saw the light hop to the next zone.

        False, with a message, where there is no press to keep.
        """
        pattern = self.pattern
        if self.not_up():
            return False
        if self.elsewhere:
            self.message = "The media player's clock is not known here: count, and type the number."
            return False
        if not isinstance(pattern, CrawlingPattern):
            self.message = "There is nothing to tally on this step."
            return False
        if not pattern.countable:
            self.message = "Zones are not counted along a diagonal."
            return False
        showing = self.kept_showing()
        kept = self.visit.keep_tally(
            showing.id,
            position_px=float(pattern.middle(self.output.canvas, self.time)),
            axis="horizontal" if pattern.across else "vertical",
            direction=pattern.heading(self.output.canvas, self.time),
        )
        self._tallies.append(kept)
        self.message = f"Press {self.tallies} kept."
        return True

    def untally(self) -> None:
        """Take the last press back; the visit keeps it, marked as withdrawn."""
        if not self._tallies:
            self.message = "There is no press to take back."
            return
        self.visit.withdraw_tally(self._tallies[-1].id)
        self._tallies.pop()
        self.message = f"The last press was taken back; {self.tallies} are kept."

    # ---- what the operator changes by hand

    def adjust(self, change: Change) -> None:
        """Change the picture while zones are counted; what cannot be done is told."""
        pattern = self.pattern
        if self.elsewhere or self.blacked_out or pattern is None or not adjustable(pattern):
            self.message = "There is nothing to change by hand on this step."
            return
        # a box that only goes at another speed does not change the picture; all else must not flash
        steady = pattern.moves and change in (Change.UP, Change.DOWN, Change.HERE)
        if self.not_up() if steady else self.too_soon():
            return
        if isinstance(pattern, Comb):
            self._retaking = None  # another comb is another question
        if change in (Change.BACK, Change.ON) and pattern.moves:
            self.paused = True
        try:
            changed = adjusted(pattern, change, self.output.canvas, self.time)
            frame = changed.frame(self.output.canvas, self.signal)
        except PatternError as error:
            self.message = str(error)
            return
        if steady:
            self.put(changed, frame)
            self.message = self._what_is_shown()
        else:
            self.message = ""
            self.gate.ask(lambda: self._put_by_hand(changed, frame))

    def _put_anew(self, pattern: Pattern, frame: Frame) -> None:
        """Show another picture of the same step, which settles anew."""
        self.put(pattern, frame)
        self._shown_at = self._clock()

    def _put_by_hand(self, pattern: Pattern, frame: Frame) -> None:
        self._put_anew(pattern, frame)
        self.message = self._what_is_shown()

    @property
    def comb_shown(self) -> str:
        """Which comb is on screen, in a sentence; nothing where there is none."""
        if not isinstance(self.pattern, Comb):
            return ""
        apart = self.pattern.spacing
        every = "a box at each" if apart == 1 else f"a box every {apart}"
        return f"This comb is for {self.pattern.zones} zones, {every}."

    def pause(self) -> None:
        """Stop a moving box where it is, or let it go on from there."""
        if self.not_up():
            return
        if self.moving is not None:
            self.paused = True
            self.message = "The box stands still; P lets it go on."
        elif self.paused:
            self.paused = False
            self.adjust(Change.HERE)
        else:
            self.message = "Nothing moves on this step."

    def _what_is_shown(self) -> str:
        facts = self.frame.facts if self.frame else {}
        if isinstance(self.pattern, Comb):
            at = f"at {self.pattern.phase:g} of a zone, boxes of {facts['box_px']} px"
            return f"{self.comb_shown} {at[:1].upper()}{at[1:]}."
        still = ", standing still" if self.paused else ""
        changed = (
            {}
            if self.step is None or self.pattern is None
            else changes(self.step.pattern, self.pattern)
        )
        told = [
            f"{name} {changed[name]}" for name in ("speed", "side", "direction") if name in changed
        ]
        return f"The box: {', '.join([*told, str(Box.described(facts.get('box')) or '')])}{still}."

    # ---- combs

    def next_comb(self, step: Step) -> Comb | None:
        """The comb of a step that tells most now; None where it is time to go on."""
        way = way_of_step(step)
        if not is_comb(step) or way is None or not isinstance(self.pattern, Comb):
            return None
        gathered = self.zones.gather(way)
        if len(gathered.combs) >= MOST_COMBS:
            return None
        count = gathered.count()
        if count.count is not None or count.next_comb is None:
            return None
        try:
            comb = with_comb(self.pattern, *count.next_comb, self._phase_of(step))
            comb.boxes(self.output.canvas)
        except PatternError:
            return None  # so many boxes would touch on this canvas
        return comb

    def put_comb(self, comb: Comb) -> None:
        """Show the next comb; it settles, and the visit keeps when it came up."""
        self._put_anew(comb, comb.frame(self.output.canvas, self.signal))
        self.kept_showing()

    @staticmethod
    def _phase_of(step: Step) -> float | None:
        return step.pattern.phase if isinstance(step.pattern, Comb) else None

    def pattern_of(self, number: int) -> Pattern:
        """A step's pattern; of a step that asks for combs, the comb that tells most now."""
        step = self.sequence.steps[number - 1]
        way = way_of_step(step)
        if not is_comb(step) or way is None or self.elsewhere:
            return step.pattern
        proposed = self.zones.first_comb(way)
        if proposed is None or not isinstance(step.pattern, Comb):
            return step.pattern
        try:
            comb = with_comb(step.pattern, *proposed)
            comb.boxes(self.output.canvas)
        except PatternError:
            return step.pattern  # so many boxes would touch on this canvas
        return comb
