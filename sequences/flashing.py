"""Which steps of a sequence flash more often than is safe."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.canvas import Canvas
from patterns.flashing import Flashing, flashing_of
from patterns.signal import Signal
from sequences.model import Sequence


@dataclass(frozen=True)
class FlashingStep:
    """A step over the limit, and how it flashes."""

    number: int
    label: str
    flashing: Flashing

    def __str__(self) -> str:
        return f"step {self.number} ({self.label}) {self.flashing}"


def flashing_steps(
    sequence: Sequence, canvas: Canvas, signal: Signal | None = None
) -> list[FlashingStep]:
    """The steps whose pattern flashes more than three times a second, whatever the area.

    Going from step to step is not counted: the player changes the picture by a key, and without
    one, at most once in 360 ms. Raises PatternError where a frame cannot be drawn.
    """
    used = signal or sequence.signal
    known: dict[str, Flashing] = {}
    found = []
    for step in sequence.steps:
        key = f"{step.pattern.kind} {step.pattern.parameters()}"
        if key not in known:
            known[key] = flashing_of(step.pattern, canvas, used)
        if known[key].over:
            found.append(FlashingStep(step.number, step.label, known[key]))
    return found
