"""The readings of a run: those that are kept, what they replace, and what speaks against them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from patterns.control import ADJUSTING
from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.picture.frame import Frame
from player.run.entry import EntryError
from player.run.expecting import Coded, Expected
from player.run.judging import Judging
from player.run.screen import Screen
from player.run.stuck import ENOUGH, Seen, stuck
from player.run.watching import Light
from player.run.zone_count import way_of_step
from readings.visit.records import Adjustment, AdjustmentEnd, Reading, Value
from readings.visit.visit import Visit, VisitError
from sequences.model import Sequence, Step
from sequences.zone_steps import is_comb

if TYPE_CHECKING:  # loaded with the first picture up
    from player.run.aiming import Aiming, SeenLight
    from player.run.target import Target, Told

ALONE = "No x and y were given, so the luminance is kept alone."


@dataclass(frozen=True)
class Kept:
    """A reading as the operator sees it in the list of the last ones."""

    number: int
    label: str
    text: str
    reading: int
    """Its id in the visit."""
    luminance: float | None = None
    """cd/m2; None for readings of other things."""
    expected: float | None = None
    """What it should have come to, cd/m2, when it was taken; None where nobody can say."""
    told: Told | None = None
    """How far it is from its target; None where none is known."""


class Keeping:
    """What has been read in a run, with what an earlier part of it has read and passed over.

    Args:
        sequence: what is played.
        visit: keeps the readings.
        run: the run's id in the visit.
        screen: the run's picture.
    """

    def __init__(self, sequence: Sequence, visit: Visit, run: int, screen: Screen) -> None:
        self._visit = visit
        self._run = run
        self._screen = screen
        self.kept: list[Kept] = []
        self.taken = 0
        """Readings kept since this start, those that were replaced among them."""
        self.retaking: int | None = None
        """The answer to a comb, or the pass, that the next one takes the place of."""
        self.stuck = ""
        """That the meter gave one number for unlike pictures, by the reading that was kept last, in
        a sentence; empty where it did not."""
        self._row: list[Seen] = []
        self._most = 0.0
        self._judging = Judging(sequence, screen.canvas, screen.signal)
        self._sequence = sequence
        self._current: dict[int, Reading] = {}
        labels = {step.number: step.label for step in sequence.steps}
        before = visit.readings(run)
        for reading in before:
            text = short_text(reading)
            self.kept.append(
                Kept(reading.step, labels[reading.step], text, reading.id, reading.luminance)
            )
            self._current[reading.step] = reading
        self.skipped = {skip.step for skip in visit.skips(run)} - self._current.keys()
        """Steps that were passed over and have no reading."""
        self._adjusted = visit.adjusted(run)
        adjusts = {step.number for step in sequence.steps if step.role == ADJUSTING}
        # what was read on the way was read of other pictures than the step's own
        self._judging.recall([each for each in before if each.step not in adjusts])

    def get_ready(self) -> None:
        """Load what targets rest on, which takes a while: with the first picture up already."""
        _ = self._aiming

    @cached_property
    def _aiming(self) -> Aiming:
        from player.run.aiming import Aiming

        return Aiming(self._visit, self._run, self._sequence)

    def current(self, number: int) -> Reading | None:
        """The reading that a step already has."""
        return self._current.get(number)

    def is_open(self, step: Step) -> bool:
        """Whether a step has still to be played: nothing is read of it, nor was it passed over.

        One that adjusts is open until its adjusting ended, whatever was read in it.
        """
        if step.role == ADJUSTING:
            return step.number not in self._adjusted
        if step.number in self._current or step.number in self.skipped:
            return False
        return step.read is not None or step.number not in self._screen.shown

    def lacks(self, step: Step) -> bool:
        """Whether what a step asks for is not there: a reading, or the end of its adjusting."""
        if step.role == ADJUSTING:
            return self.is_open(step)
        return step.read is not None and self.current(step.number) is None

    def adds(self, step: Step) -> bool:
        """Whether each reading of a step tells something of its own, and takes no other's place.

        So it is with each pass of a box and each comb, where no media player shows them, and while
        a display is adjusted.
        """
        if step.role == ADJUSTING:
            return True
        return not self._screen.elsewhere and way_of_step(step) is not None

    # ---- what speaks against a reading

    @property
    def expects(self) -> Expected | None:
        """What a reading of the picture on screen should come to, where that can be said."""
        screen = self._screen
        if screen.step is None or screen.pattern is None or screen.frame is None:
            return None
        if screen.blacked_out:
            return None
        return self._judging.expected(screen.step, screen.pattern, screen.frame)

    @property
    def target(self) -> Target | None:
        """What a reading of the picture on screen should come to, where findings would say so."""
        screen = self._screen
        if screen.step is None or screen.pattern is None or screen.frame is None:
            return None
        if screen.blacked_out:
            return None
        coded = self._judging.coded(screen.step, screen.pattern, screen.frame)
        return self._aiming.target(screen.step, screen.showing, coded)

    def load_colour(self) -> None:
        """Begin to load what differences of colour need: `seen` waits for nothing."""
        self._aiming.load_colour()

    @property
    def colour_loaded(self) -> bool:
        """Whether `seen` judges colours already."""
        return self._aiming.colour_loaded

    def seen(
        self, light: Light, instrument: int | None, spread: Light | None = None
    ) -> SeenLight | None:
        """What light of the picture on screen comes to that is not kept; None without one.

        Args:
            light: luminance in cd/m2, x and y.
            instrument: the id of the meter.
            spread: how far each of the three may be off, k = 2; None where that is not known.
        """
        screen = self._screen
        if screen.step is None or screen.pattern is None or screen.frame is None:
            return None
        if screen.blacked_out or screen.showing is None:
            return None
        coded = self._judging.coded(screen.step, screen.pattern, screen.frame)
        return self._aiming.seen(screen.step, screen.showing, coded, light, instrument, spread)

    def colour_coded(self, step: Step) -> tuple[float, float] | None:
        """CIE 1931 x and y that are coded where a step is read; None where that is not known."""
        picture = self._picture_of(step)
        return None if picture is None else self._judging.colour_coded(step, *picture)

    def doubts(self, step: Step, value: Value) -> str:
        """What speaks against a reading of a step; empty where nothing does."""
        picture = self._picture_of(step)
        if picture is None or is_comb(step):
            return ""
        before = None if step.role == ADJUSTING else self._current.get(step.number)
        return " ".join(self._judging.doubts(step, *picture, value, before)[:2])

    def _picture_of(self, step: Step) -> tuple[Pattern, Frame] | None:
        """What a reading of the step is of: what is on screen, or what was when it was shown."""
        screen = self._screen
        if step is screen.step:
            if screen.pattern is None or screen.frame is None:
                return None
            return screen.pattern, screen.frame
        try:
            return step.pattern, step.pattern.frame(screen.canvas, screen.signal)
        except PatternError:
            return None

    # ---- keeping

    def keep(
        self, step: Step, value: Value, instrument: int | None, showing: int | None = None
    ) -> tuple[Reading, str]:
        """Keep a value for a step that was shown; the reading, and what is to be known of it.

        Args:
            step: the step that it is of.
            value: what was read.
            instrument: the id of the meter; None for the eye.
            showing: the id of the showing that it was read of; None for what is on screen, where
                it may take the place of an answer that is given again (`retaking`).
        """
        aiming = self._aiming  # made before this reading is one of the visit's
        adds = self.adds(step)
        before = self.replaced(step, retaken=showing is None)
        shown = self._screen.kept_showing() if showing is None else self._visit.showing(showing)
        picture = self._picture_of(step)
        doubts = self.doubts(step, value)
        expects = None if picture is None else self._judging.expected(step, *picture)
        reading = self._visit.keep_reading(shown.id, value, instrument=instrument, replaces=before)
        self._current[step.number] = reading
        self.skipped.discard(step.number)
        self.taken += 1
        coded = None
        if picture is not None:
            coded = self._judging.coded(step, *picture)
            self._judging.remember(step, *picture, value)
        said = aiming.keep(reading, shown, coded)
        self._look_for_a_stuck_meter(value, coded, instrument)
        self.kept = [
            each
            for each in self.kept
            if each.reading != before and (adds or each.number != step.number)
        ]
        expected = expects.luminance if expects is not None else None
        text = short_text(value)
        self.kept.append(
            Kept(step.number, step.label, text, reading.id, value.luminance, expected, said.told)
        )
        # how far off it is means nothing where the meter is stuck
        told = f" {said.sentence}" if said.sentence and not self.stuck else ""
        return reading, told + self._note_beside(doubts, value, shown.id)

    def _look_for_a_stuck_meter(
        self, value: Value, coded: Coded | None, instrument: int | None
    ) -> None:
        self.stuck = ""
        if not value.of_light or value.luminance is None:
            return
        if coded is None:
            self._row.clear()
            return
        self._row = [*self._row, Seen(value, coded)][-ENOUGH:]
        self._most = max(self._most, value.luminance)
        floor = self._aiming.floor_of(instrument)
        absolute = self._screen.signal.transfer.name == "pq"
        self.stuck = stuck(self._row, most=self._most, floor=floor, absolute=absolute)

    def replaced(self, step: Step, *, retaken: bool = True) -> int | None:
        """The id of the reading that the next of a step takes the place of; None for none.

        Args:
            step: the step.
            retaken: whether an answer that is given again counts, where each reading adds.
        """
        if self.adds(step):
            return self.retaking if retaken else None
        before = self._current.get(step.number)
        return None if before is None else before.id

    def skip(self, step: Step, why: str = "") -> None:
        """Keep that a step was passed over, and why."""
        self._visit.skip_step(self._run, step.number, why=why)
        self.skipped.add(step.number)
        if step.role == ADJUSTING:
            self._adjusted.add(step.number)

    def end_adjustment(
        self,
        step: Step,
        why: AdjustmentEnd,
        *,
        largest: float | None = None,
        spread: float | None = None,
        text: str = "",
    ) -> Adjustment:
        """Keep how the adjusting of a step ended, or that it is gone on with: as the visit does."""
        kept = self._visit.end_adjustment(
            self._run, step.number, why, largest=largest, spread=spread, text=text
        )
        if kept.ended:
            self._adjusted.add(step.number)
        else:
            self._adjusted.discard(step.number)
        return kept

    def showings_of(self, steps: Iterable[Step]) -> dict[int, int]:
        """The id of the last showing of each step in this run, by the step's number.

        Raises:
            EntryError: one of them has not been on screen.
        """
        last = {each.step: each.id for each in self._visit.showings(self._run)}
        for step in steps:
            if step.number not in last:
                raise EntryError(
                    f"Step {step.number} has not been on screen in this run, so nothing can have "
                    "been read of it."
                )
        return last

    def _note_beside(self, doubts: str, value: Value, showing: int) -> str:
        """Keep what is to be known of a reading as a note beside it; a sentence about it."""
        read = short_text(value).strip()
        if doubts or self.stuck:
            noted = " ".join(filter(None, (self.stuck, doubts)))
            note = f"Doubted and kept, {read}: {noted}"
            sentence = f" Doubtful: {doubts}" if doubts else ""
        elif value.quantity == "colour" and value.x is None:
            note, sentence = f"{read}: {ALONE}", f" {ALONE}"
        else:
            return ""
        try:
            self._visit.keep_note(note, run=self._run, showing=showing)
        except VisitError as error:
            return f"{sentence} That could not be noted: {error}."  # the reading itself is kept
        return sentence


def short_text(value: Value) -> str:
    """The text as typed or received, of a choice its words; what came of a mean and the like."""
    if value.quantity in ("choice", "count") and value.text:
        return value.text
    derivation = value.derivation
    if derivation is None or value.luminance is None:
        return value.raw
    colour = "" if value.x is None or value.y is None else f"  {value.x:.4f} {value.y:.4f}"
    mean = f", mean of {derivation.count}" if derivation.count > 1 else ""
    dark = ", dark subtracted" if derivation.dark is not None else ""
    return f"{value.luminance:.6g}{colour}{mean}{dark}"
