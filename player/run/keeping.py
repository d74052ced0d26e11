"""The readings of a run: those that are kept, what they replace, and what speaks against them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.picture.frame import Frame
from player.outputs.base import Output
from player.run.counting import RunZones
from player.run.entry import EntryError
from player.run.expecting import Expected
from player.run.judging import Judging
from player.run.time_left import Pace
from player.run.zone_count import is_comb
from readings.visit.records import Reading, Value
from readings.visit.visit import Visit, VisitError
from sequences.model import Sequence, Step

ALONE = "No x and y were given, so the luminance is kept alone."


@dataclass(frozen=True)
class Kept:
    """A reading as the operator sees it in the list of the last ones."""

    number: int
    label: str
    text: str
    luminance: float | None = None
    """cd/m2; None for readings of other things."""
    expected: float | None = None
    """What it should have come to, cd/m2, when it was taken; None where nobody can say."""


class RunReadings(RunZones):
    """A run's screen with what has been read of it."""

    def __init__(
        self, sequence: Sequence, visit: Visit, output: Output, clock: Callable[[], float]
    ) -> None:
        super().__init__(sequence, visit, output, clock)
        self.kept: list[Kept] = []
        self.skipped: set[int] = set()
        """Steps that were passed over and have no reading."""
        self.judging = Judging(sequence, output.canvas, self.signal)
        self.pace = Pace()
        self._current: dict[int, Reading] = {}

    def recall(self, run: int) -> None:
        """Take up what an earlier part of the run has read and passed over."""
        labels = {step.number: step.label for step in self.sequence.steps}
        readings = self.visit.readings(run)
        for reading in readings:
            text = short_text(reading)
            self.kept.append(Kept(reading.step, labels[reading.step], text, reading.luminance))
            self._current[reading.step] = reading
        self.skipped = {skip.step for skip in self.visit.skips(run)} - self._current.keys()
        self.judging.recall(readings)

    def current_reading(self) -> Reading | None:
        """The reading that this step already has."""
        return self._current.get(self.number)

    def has_reading(self, number: int) -> bool:
        """Whether a step has a current reading."""
        return number in self._current

    @property
    def expects(self) -> Expected | None:
        """What a reading of the picture on screen should come to, where that can be said."""
        if self.step is None or self.pattern is None or self.frame is None or self.blacked_out:
            return None
        return self.judging.expected(self.step, self.pattern, self.frame)

    def doubts(self, step: Step, value: Value) -> str:
        """What speaks against a reading of a step; empty where nothing does."""
        picture = self._picture_of(step)
        if picture is None or is_comb(step):
            return ""
        before = self._current.get(step.number)
        return " ".join(self.judging.doubts(step, *picture, value, before)[:2])

    def _picture_of(self, step: Step) -> tuple[Pattern, Frame] | None:
        """What a reading of the step is of: what is on screen, or what was when it was shown."""
        if step is self.step:
            if self.pattern is None or self.frame is None:
                return None
            return self.pattern, self.frame
        try:
            return step.pattern, step.pattern.frame(self.output.canvas, self.signal)
        except PatternError:
            return None

    def keep(
        self, step: Step, value: Value, showing: int, instrument: int | None, before: int | None
    ) -> tuple[Reading, str]:
        """Keep a value for a step that was shown; the reading, and what is told of its doubts.

        Args:
            step: the step that it is of.
            value: what was read.
            showing: the id of the showing that it was read of.
            instrument: the id of the meter; None for the eye.
            before: the id of the reading that it takes the place of.
        """
        picture = self._picture_of(step)
        doubts = self.doubts(step, value)
        expects = None if picture is None else self.judging.expected(step, *picture)
        reading = self.visit.keep_reading(showing, value, instrument=instrument, replaces=before)
        self._current[step.number] = reading
        self.skipped.discard(step.number)
        if picture is not None:
            self.judging.remember(step, *picture, value)
        adds = self.adds(step)
        if before is not None or not adds:
            self._forget(step.number, last_only=adds)
        expected = expects.luminance if expects is not None else None
        self.kept.append(
            Kept(step.number, step.label, short_text(value), value.luminance, expected)
        )
        return reading, self._note_beside(doubts, value, showing)

    def showings_of(self, steps: Iterable[Step]) -> dict[int, int]:
        """The id of the last showing of each step in this run, by the step's number.

        Raises:
            EntryError: one of them has not been on screen.
        """
        last = {each.step: each.id for each in self.visit.showings(self.record)}
        for step in steps:
            if step.number not in last:
                raise EntryError(
                    f"Step {step.number} has not been on screen in this run, so nothing can have "
                    "been read of it."
                )
        return last

    def _note_beside(self, doubts: str, value: Value, showing: int) -> str:
        """Keep what is to be known of a reading as a note beside it; what is told of it."""
        read = short_text(value).strip()
        if doubts:
            note, said = f"Doubted and kept, {read}: {doubts}", f" Doubtful: {doubts}"
        elif value.quantity == "colour" and value.x is None:
            note, said = f"{read}: {ALONE}", f" {ALONE}"
        else:
            return ""
        try:
            self.visit.keep_note(note, run=self.record, showing=showing)
        except VisitError as error:
            return f"{said} That could not be noted: {error}."  # the reading itself is kept
        return said

    @staticmethod
    def _id_of(reading: Reading | None) -> int | None:
        return reading.id if reading else None

    def _forget(self, number: int, *, last_only: bool) -> None:
        """Take what a step gave before off the list of the last readings."""
        places = [place for place, each in enumerate(self.kept) if each.number == number]
        for place in reversed(places[-1:] if last_only else places):
            del self.kept[place]


def short_text(value: Value) -> str:
    """The text as typed or received; of a mean, or with the dark subtracted, what came of it."""
    derivation = value.derivation
    if derivation is None or value.luminance is None:
        return value.raw
    colour = "" if value.x is None or value.y is None else f"  {value.x:.4f} {value.y:.4f}"
    mean = f", mean of {derivation.count}" if derivation.count > 1 else ""
    dark = ", dark subtracted" if derivation.dark is not None else ""
    return f"{value.luminance:.6g}{colour}{mean}{dark}"
