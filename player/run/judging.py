"""What a run has read of light so far, and what that says of the next reading."""

from __future__ import annotations

import numpy as np

from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.run.expecting import Coded, Expected, Past, coded_of, expected_of, likeness
from player.run.plausible import doubts
from readings.bounds import no_light
from readings.visit.records import Reading, Value
from sequences.model import Sequence, Step

MOST_RECALLED = 60
"""Readings of a run taken up again whose pictures are drawn anew to compare with."""


class Judging:
    """Compares each reading with the codes on screen and with the readings before it."""

    def __init__(self, sequence: Sequence, canvas: Canvas, signal: Signal) -> None:
        self._sequence = sequence
        self._canvas = canvas
        self._signal = signal
        self._absolute = signal.transfer.name == "pq"
        self._past: dict[int, Past] = {}
        self._left: list[Reading] = []
        self._seen: tuple[Step | None, Frame | None, Coded | None] = (None, None, None)

    def recall(self, readings: list[Reading]) -> None:
        """Take up the readings of a run that goes on; drawn only once they are needed."""
        self._left = readings[-MOST_RECALLED:]

    def remember(self, step: Step, pattern: Pattern, frame: Frame, value: Value) -> None:
        """A reading was kept for this picture; it stands for what the step gave before."""
        self._past.pop(step.number, None)
        coded = self.coded(step, pattern, frame)
        if coded is not None and value.luminance is not None:
            self._past[step.number] = Past(step.number, step.label, value, coded, likeness(pattern))

    def expected(self, step: Step, pattern: Pattern, frame: Frame) -> Expected | None:
        """What a reading of this picture should come to; None where that cannot be said."""
        return expected_of(
            self.coded(step, pattern, frame),
            likeness(pattern),
            self._others(step),
            absolute=self._absolute,
        )

    def colour_coded(
        self, step: Step, pattern: Pattern, frame: Frame
    ) -> tuple[float, float] | None:
        """CIE 1931 x and y that are coded there, of black those of white; None where unknown."""
        coded = self.coded(step, pattern, frame)
        if coded is None:
            return None
        if coded.x is not None and coded.y is not None:
            return coded.x, coded.y
        if not coded.grey:
            return None
        white = np.full(3, self._signal.quantiser.white)
        x, y, z = (float(part) for part in self._signal.xyz(white))
        return x / (x + y + z), y / (x + y + z)

    def doubts(
        self, step: Step, pattern: Pattern, frame: Frame, value: Value, before: Reading | None
    ) -> tuple[str, ...]:
        """What speaks against a reading of this picture, in sentences."""
        return doubts(
            value,
            coded=self.coded(step, pattern, frame),
            like=likeness(pattern),
            expected=self.expected(step, pattern, frame),
            past=self._others(step),
            before=before,
            absolute=self._absolute,
        )

    def coded(self, step: Step, pattern: Pattern, frame: Frame) -> Coded | None:
        """What is coded where the step is read; None where no one colour is."""
        if self._seen[0] is not step or self._seen[1] is not frame:
            self._seen = (step, frame, coded_of(step, pattern, frame))
        return self._seen[2]

    def _others(self, step: Step) -> list[Past]:
        """The current readings, without the one that the next takes the place of."""
        if self._left:
            self._draw_left()
        return [each for each in self._past.values() if each.number != step.number]

    def _draw_left(self) -> None:
        left, self._left = self._left, []
        newer, self._past = self._past, {}
        for reading in left:
            step = self._sequence.steps[reading.step - 1]
            # a visit of before has readings that nobody would take today
            light = reading.luminance
            if light is None or no_light(light) or step.pattern.moves:
                continue
            try:
                frame = step.pattern.frame(self._canvas, self._signal)
            except PatternError:
                continue
            self.remember(step, step.pattern, frame, reading)
        self._past |= newer
