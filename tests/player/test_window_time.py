"""The time that there is, and warming up, as the operator has them in the window."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from player.run.unattended import instrument_of
from player.windows.controls.controls import Controls
from player.windows.controls.measuring import Measuring
from player.windows.view import view_of
from tests.player.desk import ToldMeter, finish
from tests.player.recording import Clock, controls_of, press

TEXT = """
title: Lobby wall
signal: sdr8
settle: 10 s
steps:
  - {show: {pluge: {}}, label: By eye, read: text, importance: last}
  - {each: {level: [20 %, 40 %]}, show: {field: {}}, label: "{level}", read: luminance}
  - {show: {field: {level: 100 %}}, label: White, read: luminance, importance: first}
"""
WARM = """
title: Lobby wall
signal: sdr8
warm_up: 30 min
settle: 0 s
steps:
  - {show: {field: {level: 60 %}}, label: Warming up}
  - {show: {field: {level: 100 %}}, label: White, read: luminance}
  - {show: {field: {level: 0 %}}, label: Black, read: luminance}
"""


@pytest.fixture
def controls(tmp_path: Path, clock: Clock) -> Iterator[Controls]:
    with controls_of(TEXT, tmp_path, clock) as made:
        yield made


@pytest.fixture
def cold(tmp_path: Path, clock: Clock) -> Iterator[Controls]:
    with controls_of(WARM, tmp_path, clock) as made:
        made.run.agenda._on_before = 0.0
        yield made


# ---- the time that there is


def test_minutes_are_typed_and_what_will_not_fit_is_told(controls: Controls, clock: Clock) -> None:
    press(controls, clock, "F9")
    view = view_of(controls, "")
    assert view.special == "MINUTES LEFT: Enter takes them, Tab goes back"
    assert controls.wants_strip
    press(controls, clock, "1", "ENTER")
    assert controls.notice == "1 min: what is important comes first. No time for step 1."
    assert controls.run.number == 4, "the most important one, at once"
    view = view_of(controls, "")
    assert (view.special, view.left, view.line) == ("", "Under a minute left: 1 step too many", "")
    notes = [note.text for note in controls.run.visit.notes()]
    assert notes == ["There are 1 min from here on: what is important comes first."]


def test_the_list_has_the_order_of_play_and_says_what_there_is_no_time_for(
    controls: Controls, clock: Clock
) -> None:
    press(controls, clock, "F9", "1", "ENTER", "F4")
    view = view_of(controls, "")
    assert view.steps_title == "By importance: 1 to 4 of 4"
    assert [(line.number, line.state) for line in view.steps] == [
        (4, "now"),
        (2, "to come"),
        (3, "to come"),
        (1, "no time"),
    ]
    press(controls, clock, "DOWN", "ENTER")
    assert controls.run.number == 2
    press(controls, clock, "F4", "3", "ENTER")
    assert controls.run.number == 3, "a number is that of the file"


def test_a_step_where_something_was_typed_stays_until_it_is_read(
    controls: Controls, clock: Clock
) -> None:
    press(controls, clock, "s", "F9", "5", "ENTER")
    assert (controls.run.number, controls.entry.reading) == (1, "s")
    assert controls.run.agenda.order == (1, 4, 2, 3)
    press(controls, clock, "ENTER")
    assert controls.run.number == 4


def test_no_minutes_go_back_to_the_order_of_the_file(controls: Controls, clock: Clock) -> None:
    press(controls, clock, "F9", "5", "ENTER", "F9", "ENTER")
    assert controls.run.agenda.order == (1, 2, 3, 4)
    assert view_of(controls, "").left == "About 2 min left"
    press(controls, clock, "F9", "ENTER")
    assert len(controls.run.visit.notes()) == 2, "nothing changed the second time"


@pytest.mark.parametrize(
    ("typed", "said"),
    [("x", "'x' is not a number."), ("9999", "The time is 0 to 1440 minutes.")],
)
def test_what_is_no_time_is_told_and_set_apart(
    controls: Controls, clock: Clock, typed: str, said: str
) -> None:
    press(controls, clock, "F9", *typed, "ENTER")
    assert controls.notice == said
    assert (controls.entry.purpose, controls.entry.text) == ("minutes", "")
    assert view_of(controls, "").not_kept == typed
    press(controls, clock, "TAB")
    assert controls.entry.purpose == "reading"
    assert controls.run.agenda.given is None


def test_the_time_that_is_left_is_told_until_it_is_up(controls: Controls, clock: Clock) -> None:
    press(controls, clock, "F9", "3", "0", "ENTER")
    assert view_of(controls, "").left == "30 min left: enough"
    clock.now += 1801
    assert view_of(controls, "").left == "Time is up: 4 steps to go"


# ---- warming up


def test_a_step_that_asks_for_a_warm_up_is_counted_down_and_then_read(
    cold: Controls, clock: Clock
) -> None:
    assert view_of(cold, "").countdown == "Warm-up: 30 min"
    clock.now += 1770
    assert view_of(cold, "").countdown == "Warm-up: 30 s"
    clock.now += 30
    assert view_of(cold, "").countdown == ""
    press(cold, clock, "ENTER", "4", "0", "0", "ENTER")
    assert cold.run.number == 3
    assert cold.run.visit.notes() == []


def test_a_warm_up_is_cut_short_by_asking_twice_and_the_visit_keeps_it(
    cold: Controls, clock: Clock
) -> None:
    clock.now += 720
    cold.run.go_to(2)
    clock.now += 1
    press(cold, clock, "4", "0", "0", "ENTER")
    assert cold.run.number == 2
    assert cold.notice == (
        "On for 12 min of the 30 min that this step asks for. Enter once more cuts that short."
    )
    assert (cold.entry.reading, view_of(cold, "").not_kept) == ("", "400")
    press(cold, clock, "ENTER", "0", ",", "0", "5", "ENTER")
    assert [each.raw for each in cold.run.visit.readings()] == ["400", "0,05"]
    (note,) = cold.run.visit.notes()
    assert note.text == "Warm-up cut short: 12 min of 30 min since the visit began."
    assert note.step == 2


def test_to_go_on_from_a_picture_to_warm_up_with_cuts_it_short_too(
    cold: Controls, clock: Clock
) -> None:
    clock.now += 60
    press(cold, clock, "RIGHT")
    assert cold.run.number == 2
    assert cold.run.agenda.warm_up_left == 0
    assert len(cold.run.visit.notes()) == 1


def test_the_question_stands_for_its_own_step_alone(cold: Controls, clock: Clock) -> None:
    press(cold, clock, "ENTER")
    cold.run.go_to(2)
    clock.now += 1
    press(cold, clock, "4", "ENTER")
    assert cold.run.number == 2
    assert cold.run.visit.notes() == []


def test_a_meter_waits_for_the_warm_up_and_enter_asks_before_it_cuts_it_short(
    cold: Controls, clock: Clock
) -> None:
    meter = ToldMeter(400)
    measuring = Measuring(cold.run, meter, instrument_of(cold.run.visit, meter).id)
    cold = Controls(cold.run, measuring, clock=clock)
    clock.now += 1
    cold.run.go_to(2)
    press(cold, clock, "F6")
    assert cold.notice == "The meter waits until the display has warmed up."
    cold.beat()
    assert cold.run.number == 2
    press(cold, clock, "ESCAPE", "ENTER")
    assert not cold.meter.busy
    assert cold.notice.endswith("Enter once more cuts that short.")
    press(cold, clock, "ENTER")
    finish(cold)
    assert (cold.run.number, cold.notice) == (3, "Kept Y 400 for step 2.")


def test_a_picture_to_warm_up_with_stands_as_long_as_it_has_to(
    cold: Controls, clock: Clock
) -> None:
    for _ in range(28):
        clock.now += 60
        cold.beat()
    assert not cold.run.screen.blacked_out
    cold.run.go_to(2)
    for _ in range(12):
        clock.now += 60
        cold.beat()
    assert cold.run.screen.blacked_out


def test_time_left_counts_the_warm_up(cold: Controls, clock: Clock) -> None:
    assert cold.run.agenda.seconds_left == 1820
    clock.now += 900
    assert cold.run.agenda.seconds_left == 920
