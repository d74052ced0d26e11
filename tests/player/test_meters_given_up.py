"""A measurement that is given up ends, and the next one is not mixed with it."""

import threading
import time
from pathlib import Path

import pytest

import sequences
from player.meters.base import MeterError, MeterReading
from player.meters.repeating import RepeatingMeter, Repeats
from player.run.live import LiveRun
from player.run.unattended import instrument_of
from player.windows.controls.measuring import Measuring
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

SEQUENCE = """title: one
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {level: 0 %}}, read: luminance}
"""


class Slow:
    """A meter that takes its time, and counts who is at it at once."""

    name = "spot meter"

    def __init__(self) -> None:
        self.specification = Specification()
        self.ended = threading.Event()
        self.began = threading.Event()
        self.value = 1.0

    def give_up(self) -> None:
        self.ended.set()

    def measure(self) -> MeterReading:
        value = self.value
        self.began.set()
        if self.ended.wait(0.2 if value == 2 else 20):
            self.ended.clear()
            raise MeterError("The measurement was given up.")
        return MeterReading(f"Y {value}", value, None, None)


@pytest.mark.parametrize("repeats", [None, Repeats(least=2, most=2)])
def test_a_measurement_that_is_given_up_ends_in_the_meter_too(
    tmp_path: Path, repeats: Repeats | None
):
    meter, clock = Slow(), Clock()
    asked = meter if repeats is None else RepeatingMeter(meter, repeats)
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        live = LiveRun(
            sequences.load_text(SEQUENCE, "one.yaml"), visit, RecordingOutput(), clock=clock
        )
        live.begin()
        clock.now = 100.0
        measuring = Measuring(live, asked, instrument_of(visit, asked).id)
        measuring.start()
        assert meter.began.wait(10)
        measuring.give_up()
        assert not measuring.busy
        end = time.monotonic() + 10
        while meter.ended.is_set():
            assert time.monotonic() < end, "the meter was never told"
            time.sleep(0.01)
        meter.value = 2.0
        measuring.start()
        while measuring.busy:
            assert time.monotonic() < end
            measuring.beat()
            time.sleep(0.01)
        (reading,) = visit.readings()
    assert (reading.luminance, measuring.failed) == (2, "")
