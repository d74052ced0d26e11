"""An output that shows nothing and remembers everything, for tests of the run."""

from __future__ import annotations

from fractions import Fraction

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.quantise import Range
from player.outputs.base import Guard


class RecordingOutput:
    """Keeps the hash of every frame shown; ``blackout`` is recorded as the word."""

    name = "simulated"

    def __init__(self, canvas: Canvas | None = None, bits: int = 8, range_: Range = "full") -> None:
        self.canvas = canvas or Canvas(1920, 1080, Fraction(60))
        self.bits = bits
        self.range: Range = range_
        self.seen: list[str] = []

    def about(self) -> dict[str, object]:
        return {"bits": self.bits, "range": self.range}

    def show(self, frame: Frame) -> Guard:
        self.seen.append(frame.sha256)
        return Guard("verified", "recorded")

    def blackout(self) -> None:
        self.seen.append("blackout")

    def close(self) -> None:
        self.seen.append("closed")
