"""An output that shows nothing and remembers everything, and a clock, for tests of the run."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path

import sequences
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.quantise import Range
from player.outputs.base import Guard
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.windows.controls.controls import Controls
from readings.visit.visit import Visit


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


class Clock:
    """A clock for a run: stands still until it is told to go on, or goes on by ``step`` a look."""

    def __init__(self, step: float = 0.0) -> None:
        self.now = 0.0
        self.step = step

    def __call__(self) -> float:
        self.now += self.step
        return self.now


def run_of(text: str, visit: Visit, clock: Clock, output: RecordingOutput | None = None) -> LiveRun:
    """A run of a sequence's text that has begun, on an output as above."""
    sequence = sequences.load_text(text, "lobby.yaml")
    run = LiveRun(sequence, visit, output or RecordingOutput(), clock=clock)
    run.begin()
    return run


@contextmanager
def controls_of(text: str, folder: Path, clock: Clock) -> Iterator[Controls]:
    """The controls of a run that has begun, of a sequence's text, on an output as above."""
    with Visit.create(folder / "lobby.visit", display="lobby wall") as visit:
        yield Controls(run_of(text, visit, clock), clock=clock)


def press(controls: Controls, clock: Clock, *keys: str) -> None:
    """Press keys by their names, and type what is no key, each late enough after the one before."""
    for key in keys:
        clock.now += CHANGE_GAP + 0.01
        if not controls.key(key):
            controls.type(key)
