"""Which steps of a sequence flash more often than is safe."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.flashing import Flashing, flashing_of
from patterns.picture.canvas import Canvas
from patterns.signal.signal import Signal
from sequences.model import Sequence


@dataclass(frozen=True)
class FlashingStep:
    """A step, and how it flashes."""

    number: int
    label: str
    flashing: Flashing

    def __str__(self) -> str:
        return f"step {self.number} ({self.label}) has {self.flashing}"


def flashing_steps(
    sequence: Sequence, canvas: Canvas, signal: Signal | None = None
) -> list[FlashingStep]:
    """The steps whose pattern flashes more than three times a second, whatever the area.

    Going from step to step is not counted: the player changes the picture by a key, and without
    one, at most once in 360 ms. What is exported as clips goes by itself:
    :mod:`patterns.files.reel` judges that. Raises PatternError where a frame cannot be drawn.
    """
    return [each for each in moving_steps(sequence, canvas, signal) if each.flashing.over]


def moving_steps(
    sequence: Sequence, canvas: Canvas, signal: Signal | None = None
) -> list[FlashingStep]:
    """How the steps that move flash, also where that is not too often."""
    used = signal or sequence.signal
    known: dict[str, Flashing] = {}
    found = []
    for step in sequence.steps:
        if not step.pattern.moves:
            continue
        key = f"{step.pattern.kind} {step.pattern.parameters()}"
        if key not in known:
            known[key] = flashing_of(step.pattern, canvas, used)
        found.append(FlashingStep(step.number, step.label, known[key]))
    return found
