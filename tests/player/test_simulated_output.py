"""The simulated output keeps to what outputs promise."""

from itertools import pairwise

import pytest

import sequences
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.outputs.base import Guard, Output, OutputError
from player.outputs.simulated import SimulatedOutput
from player.simulated import SimulatedDisplay, load_display
from player.simulated_play import play_simulated, simulated_display
from readings.visit.visit import Visit

CANVAS = Canvas(640, 360)


@pytest.fixture
def output() -> SimulatedOutput:
    return SimulatedOutput(CANVAS, 10, "narrow", SimulatedDisplay(load_display("lobby-wall")))


def field(canvas: Canvas = CANVAS, signal: str = "pq10"):
    return KINDS["field"].model_validate({"level": "100 %"}).frame(canvas, named_signal(signal))


def luminance(output: SimulatedOutput) -> float:
    return float(output.display.light_at(0.5, 0.5, 5)[1])


def test_it_claims_nothing_about_a_framebuffer(output: SimulatedOutput):
    as_output: Output = output
    guard = as_output.show(field())
    assert guard == Guard(
        "unknown", "the display is simulated: there is no framebuffer to read back"
    )


def test_light_comes_with_time_and_goes_with_blackout(output: SimulatedOutput):
    output.show(field())
    assert luminance(output) < 1
    output.wait(10)
    assert luminance(output) > 600
    output.blackout()
    output.wait(10)
    assert luminance(output) < 0.01
    output.close()
    output.close()


def test_it_can_be_black_before_the_first_frame(output: SimulatedOutput):
    output.blackout()
    output.wait(10)
    assert luminance(output) < 0.01


def test_before_anything_is_shown_there_is_only_the_room(output: SimulatedOutput):
    assert luminance(output) == 0.0005
    assert output.display.mean_light()[1] == 0.0005


def test_a_frame_of_another_size_is_refused(output: SimulatedOutput):
    with pytest.raises(OutputError, match=r"A frame of 64x64 was given to an output of 640x360\."):
        output.show(field(Canvas(64, 64)))


@pytest.mark.parametrize("signal", ["pq12", "sdr8"])
def test_a_frame_of_another_depth_or_range_is_refused(output: SimulatedOutput, signal: str):
    with pytest.raises(OutputError, match="output of 10 bits, narrow range"):
        output.show(field(signal=signal))


def test_a_picture_too_small_for_the_zones_is_refused():
    wall = load_display("lobby-wall")
    many = wall.model_copy(update={"light": wall.light.model_copy(update={"columns": 100})})
    small = SimulatedOutput(Canvas(64, 64), 10, "narrow", SimulatedDisplay(many))
    with pytest.raises(OutputError, match="too small for a display of 100 x 18 zones"):
        small.show(field(Canvas(64, 64)))


def test_a_simulated_runs_readings_lie_as_far_apart_as_they_would_have_taken(tmp_path):
    display = simulated_display("ticket-desk")
    sequence = sequences.load("greyscale-11")
    with Visit.create(tmp_path / "desk.visit", display="ticket desk") as visit:
        for _ in range(2):
            play_simulated(sequence, visit, display, canvas=Canvas(320, 180))
        first, second = visit.runs()
        times = [reading.taken_at for reading in visit.readings(first.id)]
    apart = [(later - earlier).total_seconds() for earlier, later in pairwise(times)]
    assert min(apart) >= 3.0
    assert first.started_at < times[0] < times[-1] <= first.ended_at <= second.started_at
