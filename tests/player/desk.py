"""An operator's desk without windows: a run's controls, and a meter that is told what to say."""

from __future__ import annotations

import threading

import pytest

import sequences
from player.meters.base import Meter, MeterReading
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.run.unattended import instrument_of
from player.windows.controls.controls import Controls
from player.windows.controls.measuring import Measuring
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

PATIENCE = 10.0


class ToldMeter:
    """Gives what it is told, one after another, while ``let`` is set.

    Numbers are luminances, an error is a failure.
    """

    name = "spot meter"

    def __init__(self, *answers: MeterReading | Exception | float) -> None:
        self.specification = Specification()
        self.answers = list(answers)
        self.let = threading.Event()
        self.let.set()

    def measure(self) -> MeterReading:
        assert self.let.wait(PATIENCE)
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        if isinstance(answer, MeterReading):
            return answer
        return MeterReading(f"Y {answer}", float(answer), None, None)

    def has_left(self, many: int) -> None:
        """Wait until no more than so many answers are left."""
        for _ in range(int(100 * PATIENCE)):
            if len(self.answers) <= many:
                return
            threading.Event().wait(0.01)
        pytest.fail("the meter never answered")


def finish(controls: Controls) -> None:
    """Wait until nothing is measured any more."""
    for _ in range(int(100 * PATIENCE)):
        controls.beat()
        dark = controls.dark_offset
        if not controls.meter.busy and (dark is None or not dark.busy):
            return
        threading.Event().wait(0.01)
    pytest.fail("the meter's answer never came")


class Desk:
    """The controls of a sequence's run that has begun, and what it all stands on."""

    def __init__(self, text: str, visit: Visit, meter: Meter | None = None) -> None:
        self.clock, self.visit, self.output = Clock(), visit, RecordingOutput()
        sequence = sequences.load_text(text, "lobby.yaml")
        self.run = LiveRun(sequence, visit, self.output, clock=self.clock)
        measuring = None
        if meter is not None:
            measuring = Measuring(self.run, meter, instrument_of(visit, meter).id)
        self.controls = Controls(self.run, measuring, clock=self.clock)
        self.controls.begin()

    def type(self, text: str) -> None:
        """Type a text, letter by letter, each late enough after the one before."""
        for each in text:
            self.clock.now += CHANGE_GAP + 0.01
            self.controls.type(each)

    def key(self, *names: str) -> None:
        """Press keys, each late enough after the one before."""
        for name in names:
            self.clock.now += CHANGE_GAP + 0.01
            self.controls.key(name)

    def wait(self, seconds: float) -> None:
        """Let the clock go on, and let the controls look at it."""
        self.clock.now += seconds
        self.controls.beat()

    @property
    def raws(self) -> list[str]:
        return [each.raw for each in self.visit.readings()]

    @property
    def notes(self) -> list[str]:
        return [note.text for note in self.visit.notes()]
