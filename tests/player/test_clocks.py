"""Time: what is left of a run, a display that warms up, and bright pictures that stand too long."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

import sequences
from patterns.kinds.moving_box import MovingBox
from patterns.kinds.window import Field
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.run.time_left import Pace
from player.windows.controls.controls import Controls
from player.windows.controls.image_retention import CAREFUL, USUAL, BrightTime, bright, limit_for
from player.windows.controls.warm_up import WarmUp
from player.windows.view import view_of
from readings.visit.visit import Visit
from sequences.duration import ends, sequence_seconds, takes
from tests.player.recording import Clock, controls_of, run_of
from tests.player.scripted_adviser import adjusting

CANVAS = Canvas(1920, 1080, Fraction(60))
WHITE = Field().frame(CANVAS, named_signal("sdr8"))
GREY = Field(level="40 %").frame(CANVAS, named_signal("sdr8"))
TEXT = """
title: Lobby wall
signal: sdr8
steps:
  - show: {field: {level: 100 %}}
    read: luminance
    settle: 5 s
  - show: {moving-box: {along: top, side: 120 px, speed: 60 px/s}}
    read: tally
  - show: {field: {level: 0 %}}
    read: luminance
    settle: 15 s
  - show: {field: {level: 50 %}}
"""
Later = Callable[[float], None]


@pytest.fixture
def controls(tmp_path: Path, clock: Clock) -> Iterator[Controls]:
    with controls_of(TEXT, tmp_path, clock) as made:
        yield made


def later_of(controls: Controls, clock: Clock) -> Later:
    """Let seconds pass, and the controls look at the clock."""

    def go_on(seconds: float) -> None:
        clock.now += seconds
        controls.beat()

    return go_on


@pytest.fixture
def later(controls: Controls, clock: Clock) -> Later:
    return later_of(controls, clock)


# ---- time left


def test_a_crawling_box_needs_its_whole_way_on_this_canvas() -> None:
    box = MovingBox(along="top", side="120 px", speed="60 px/s")
    assert box.seconds_to_end(CANVAS) == 30
    assert box.seconds_to_end(Canvas(3840, 2160)) == 62
    halfway = MovingBox(along="top", side="120 px", speed="60 px/s", start="900 px")
    assert halfway.seconds_to_end(CANVAS) == 15
    down = MovingBox(along="left", side="120 px", speed="60 px/s", direction="backward")
    assert down.seconds_to_end(CANVAS) == 16


def test_a_sequence_takes_its_settling_its_ways_and_ten_seconds_a_reading() -> None:
    sequence = sequences.load_text(TEXT, "lobby.yaml")
    assert sequence_seconds(sequence, CANVAS) == (5 + 10) + 30 + (15 + 10) + 0
    short = TEXT.replace("15 s", "250 ms")
    assert sequence_seconds(sequences.load_text(short, "lobby.yaml"), CANVAS) == 55.25


def test_a_comb_step_takes_three_combs_each_of_which_settles() -> None:
    text = "title: x\nsignal: sdr8\nsettle: 3 s\nsteps:\n  - {show: {comb: {}}, read: count}\n"
    sequence = sequences.load_text(text, "combs.yaml")
    assert sequence_seconds(sequence, CANVAS) == 3 * (3 + 10)


def test_the_time_left_counts_ways_settling_and_readings_and_goes_down(
    controls: Controls,
    later: Later,
) -> None:
    run = controls.run
    assert run.agenda.seconds_left == (5 + 10) + 30 + (15 + 10) + 0
    later(4)
    assert run.agenda.seconds_left == 66
    later(100)
    assert run.agenda.seconds_left == 55, "a step that takes longer does not eat into the others"


def test_an_adjustment_that_takes_longer_is_not_taken_to_be_nearly_done(visit: Visit) -> None:
    clock = Clock()
    run = run_of(adjusting("3 s"), visit, clock)
    assert run.agenda.seconds_left == 363
    clock.now += 300
    assert run.agenda.seconds_left == 72, "a fifth of six minutes"
    clock.now += 3000
    assert run.agenda.seconds_left == 72


def test_steps_that_are_read_are_not_counted_again(controls: Controls, later: Later) -> None:
    run = controls.run
    later(5)
    run.enter("400")
    later(1)
    run.go_to(1)
    assert run.agenda.seconds_left == 15 + 30 + 25


def test_the_pace_of_the_run_is_that_of_its_readings() -> None:
    pace = Pace()
    for seconds in (4, 6):
        pace.took(seconds)
    assert pace.seconds == 10
    pace.took(90)
    assert pace.seconds == 6
    step = sequences.load_text(TEXT, "lobby.yaml").steps[0]
    assert ends([takes(step, CANVAS)], pace.seconds) == [11]


# ---- warm-up


def test_a_warm_up_counts_from_the_beginning_of_the_visit_and_then_says_so() -> None:
    began = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def after(minutes: float, wanted: float = 1800) -> str:
        return WarmUp(began, wanted, lambda: began + timedelta(minutes=minutes)).text

    assert after(0) == "Warm-up: 30 min to go"
    assert after(12.5) == "Warm-up: 18 min to go"
    assert after(30) == "Warmed up: on 30 min"
    assert after(95) == "Warmed up: on 1 h 35 min"
    assert after(5, wanted=0) == ""


def test_a_warm_up_holds_nobody_up(controls: Controls, clock: Clock) -> None:
    warm_up = WarmUp(datetime.now(UTC), 1800)
    controls = Controls(controls.run, clock=clock, warm_up=warm_up)
    later = later_of(controls, clock)
    assert view_of(controls, "").warm == "Warm-up: 30 min to go"
    later(5)
    controls.type("400")
    controls.key("ENTER")
    assert controls.run.number == 2


# ---- bright pictures


def test_half_the_signal_in_any_channel_is_bright() -> None:
    assert bright(WHITE)
    assert not bright(GREY)
    assert not bright(None)
    red = Field(level={"r": "60 %", "g": "0 %", "b": "0 %"})
    assert bright(red.frame(CANVAS, named_signal("pq10")))


def test_the_limit_is_shorter_for_sequences_that_warn_of_still_pictures() -> None:
    assert limit_for(("bright",)) == USUAL == 600
    assert limit_for(("bright", "static")) == CAREFUL == 300
    assert limit_for(("static",), 0.0) == 0


def test_a_bright_picture_counts_from_where_it_has_settled_and_another_begins_anew() -> None:
    bright_time = BrightTime(10)
    assert not bright_time.look(0, WHITE, settling=True)
    assert not bright_time.look(60, WHITE, settling=True)
    assert not bright_time.look(69, WHITE)
    assert bright_time.left == 1
    assert bright_time.look(70, WHITE)
    other = Field(level="90 %").frame(CANVAS, named_signal("sdr8"))
    assert not bright_time.look(71, other)
    assert bright_time.still == 0
    assert not BrightTime(0).look(10_000, WHITE)


def test_rest_is_owed_for_as_long_as_it_was_bright_and_paid_back_in_the_dark() -> None:
    bright_time = BrightTime(100)
    bright_time.look(0, WHITE)
    bright_time.look(80, WHITE)
    assert bright_time.rest == 80
    bright_time.look(110, None)
    assert bright_time.rest == 50
    bright_time.look(111, GREY)
    assert bright_time.rest == 49
    bright_time.look(500, None)
    assert bright_time.rest == 0


def test_a_bright_picture_that_stood_too_long_goes_black_and_the_key_brings_it_back(
    controls: Controls,
    later: Later,
) -> None:
    run = controls.run
    later(5)
    later(560)
    assert view_of(controls, "").countdown == "Goes black in 40 s"
    later(41)
    assert run.screen.blacked_out
    assert controls.notice == (
        "Black by itself: a bright picture stood still for 10 min. F5 brings it back."
    )
    assert view_of(controls, "").countdown == "Rest: 10 min more"
    later(60)
    assert view_of(controls, "").countdown == "Rest: 9 min more"
    controls.key("F5")
    assert not run.screen.blacked_out
    later(500)
    assert not run.screen.blacked_out, "it counts anew"


def test_a_picture_that_moves_or_is_dim_may_stand(controls: Controls, clock: Clock) -> None:
    controls = Controls(controls.run, clock=clock, bright_limit=10)
    later = later_of(controls, clock)
    later(5)
    controls.run.enter("400")
    later(1)
    later(1000)
    assert (controls.run.number, controls.run.screen.blacked_out) == (2, False)
