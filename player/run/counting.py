"""What the operator of a run does to count dimming zones: presses, changes by hand, combs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from patterns.errors import PatternError
from patterns.kinds import CrawlingPattern, Pattern
from patterns.kinds.moving_box import Comb, MovingBox
from patterns.picture.sheet import Box
from player.run.by_hand import Change, changeable, changed, changes, with_comb
from player.run.screen import Screen
from player.run.zone_count import MOST_COMBS, ZoneCounter, way_of_step
from readings.evidence.measured import Press
from readings.visit.records import Reading, Tally
from readings.visit.visit import Visit
from sequences.model import Sequence, Step
from sequences.zone_steps import is_comb, is_crawl

if TYPE_CHECKING:
    from readings.zones.gather import Way


class Counting:
    """What is needed to count zones on a run's screen.

    Args:
        sequence: what is played.
        visit: keeps the presses.
        run: the run's id in the visit.
        screen: the run's picture.
    """

    def __init__(self, sequence: Sequence, visit: Visit, run: int, screen: Screen) -> None:
        self._sequence = sequence
        self._visit = visit
        self._run = run
        self._screen = screen
        self._tallies: list[Tally] = []
        self._finished = False
        """Whether the box had finished its way before it was last changed by hand."""

    @property
    def zones(self) -> ZoneCounter:
        """What the run holds of the display's zones."""
        return ZoneCounter(self._visit, self._run, self._screen.canvas)

    @property
    def way(self) -> Way | None:
        """Which zones are being counted on this step."""
        return None if self._screen.elsewhere else way_of_step(self._screen.step)

    # ---- presses

    @property
    def tallies(self) -> int:
        """Presses kept since the step came up, those taken back not counted."""
        return len(self._tallies)

    @property
    def presses(self) -> tuple[Press, ...]:
        """The same with the places of the box."""
        return tuple(Press(each.position_px, each.axis, each.direction) for each in self._tallies)

    def begin_step(self) -> None:
        """A step came up: its presses are counted from none."""
        self._tallies, self._finished = [], False

    # ---- the way of a crawling box

    @property
    def crawling(self) -> MovingBox | None:
        """The box of a pass on screen, whose way is known here; None where there is none."""
        screen = self._screen
        box = screen.pattern
        there = not screen.elsewhere and is_crawl(screen.step) and isinstance(box, MovingBox)
        return box if there and isinstance(box, MovingBox) else None

    @property
    def unfinished(self) -> bool:
        """Whether a pass is on its way: its box has not been at the end that it is to go to."""
        box = self.crawling
        return box is not None and not self._has_finished(box)

    @property
    def at_end(self) -> bool:
        """Whether the box stands at an end of its way, and goes nowhere by itself."""
        box, screen = self.crawling, self._screen
        stops = box is not None and box.ends == "stop"
        return stops and box is not None and box.finished(screen.canvas, screen.time)

    @property
    def way_left(self) -> float | None:
        """Seconds until the box is at the end of its way; None where it does not go there."""
        box, screen = self.crawling, self._screen
        if box is None or screen.moving is None or box.finished(screen.canvas, screen.time):
            return None
        return float(box.seconds_to_end(screen.canvas) - screen.time)

    def note_way(self) -> None:
        """Remember whether the way was finished: the box is changed by hand now."""
        self._finished = self.crawling is not None and not self.unfinished

    def _has_finished(self, box: MovingBox) -> bool:
        planned = self._screen.step.pattern if self._screen.step is not None else None
        to_its_end = isinstance(planned, MovingBox) and box.direction == planned.direction
        done = to_its_end and box.finished(self._screen.canvas, self._screen.time)
        return self._finished or done

    @property
    def no_press(self) -> str:
        """Why a press on this step would say nothing, in a sentence; empty where it would."""
        pattern = self._screen.pattern
        if self._screen.elsewhere:
            return "The media player's clock is not known here: count, and type the number."
        if not isinstance(pattern, CrawlingPattern):
            return "There is nothing to tally on this step."
        return "" if pattern.countable else "Zones are not counted along a diagonal."

    def tally(self) -> str:
        """Keep where the moving box is now; the presses so far, in a sentence.

        Raises:
            ValueError: there is nothing to press for (`no_press`).
        """
        screen, pattern = self._screen, self._screen.pattern
        if self.no_press or not isinstance(pattern, CrawlingPattern):
            raise ValueError(self.no_press)
        kept = self._visit.keep_tally(
            screen.kept_showing().id,
            position_px=float(pattern.middle(screen.canvas, screen.time)),
            axis="horizontal" if pattern.across else "vertical",
            direction=pattern.heading(screen.canvas, screen.time),
        )
        self._tallies.append(kept)
        return f"Press {self.tallies} kept."

    def untally(self) -> str:
        """Take the last press back; the visit keeps it, marked as withdrawn."""
        if not self._tallies:
            return "There is no press to take back."
        self._visit.withdraw_tally(self._tallies[-1].id)
        self._tallies.pop()
        return f"The last press was taken back; {self.tallies} are kept."

    # ---- what the operator changes by hand

    @property
    def changeable(self) -> bool:
        """Whether the picture on screen may be changed by hand."""
        screen = self._screen
        return not (screen.elsewhere or screen.blacked_out) and changeable(screen.pattern)

    def is_steady(self, change: Change) -> bool:
        """Whether a change leaves the picture as it is: a box that only goes at another speed."""
        pattern = self._screen.pattern
        slides = change in (Change.UP, Change.DOWN, Change.HERE)
        return pattern is not None and pattern.moves and slides

    def changed(self, change: Change) -> Pattern:
        """The pattern on screen after a change by hand; a box that is moved by hand stands still.

        Raises:
            PatternError: that is not possible; the text is one sentence for the operator.
        """
        screen, pattern = self._screen, self._screen.pattern
        if pattern is None:
            raise PatternError("Nothing is on screen.")
        if change in (Change.BACK, Change.ON) and pattern.moves:
            screen.paused = True
        return changed(pattern, change, screen.canvas, screen.time)

    @property
    def comb_shown(self) -> str:
        """Which comb is on screen, in a sentence; nothing where there is none."""
        pattern = self._screen.pattern
        if not isinstance(pattern, Comb):
            return ""
        apart = pattern.spacing
        every = "a box at each" if apart == 1 else f"a box every {apart}"
        return f"This comb is for {pattern.zones} zones, {every}."

    @property
    def shown(self) -> str:
        """Which box or comb is on screen, in a sentence or two."""
        screen, pattern = self._screen, self._screen.pattern
        facts = screen.frame.facts if screen.frame else {}
        if isinstance(pattern, Comb):
            at = f"at {pattern.phase:g} of a zone, boxes of {facts['box_px']} px"
            return f"{self.comb_shown} {at[:1].upper()}{at[1:]}."
        still = ", standing still" if screen.paused else ""
        changed = (
            {} if screen.step is None or pattern is None else changes(screen.step.pattern, pattern)
        )
        words = [
            f"{name} {changed[name]}" for name in ("speed", "side", "direction") if name in changed
        ]
        return f"The box: {', '.join([*words, str(Box.described(facts.get('box')) or '')])}{still}."

    # ---- combs

    def next_comb(self, step: Step) -> Comb | None:
        """The comb of a step that tells most now; None where it is time to go on."""
        way = way_of_step(step)
        pattern = self._screen.pattern
        if not is_comb(step) or way is None or not isinstance(pattern, Comb):
            return None
        gathered = self.zones.gather(way)
        if len(gathered.combs) >= MOST_COMBS:
            return None
        count = gathered.count()
        if count.count is not None or count.next_comb is None:
            return None
        phase = step.pattern.phase if isinstance(step.pattern, Comb) else None
        return self._fitting(pattern, *count.next_comb, phase)

    def comb_of(self, reading: Reading) -> Comb | None:
        """The comb that a reading is the answer to; None for readings of other things."""
        step = self._sequence.steps[reading.step - 1]
        if not is_comb(step) or not isinstance(step.pattern, Comb):
            return None
        facts = self._visit.showing(reading.showing).facts
        return with_comb(
            step.pattern, int(facts["zones"]), int(facts["spacing"]), float(facts["phase"])
        )

    def pattern_of(self, number: int) -> Pattern:
        """A step's pattern; of a step that asks for combs, the comb that tells most now."""
        step = self._sequence.steps[number - 1]
        way = way_of_step(step)
        if not is_comb(step) or way is None or self._screen.elsewhere:
            return step.pattern
        proposed = self.zones.first_comb(way)
        if proposed is None or not isinstance(step.pattern, Comb):
            return step.pattern
        return self._fitting(step.pattern, *proposed) or step.pattern

    def _fitting(
        self, comb: Comb, zones: int, spacing: int, phase: float | None = None
    ) -> Comb | None:
        """A comb for another count; None where so many boxes would touch on this canvas."""
        try:
            found = with_comb(comb, zones, spacing, phase)
            found.boxes(self._screen.canvas)
        except PatternError:
            return None
        return found
