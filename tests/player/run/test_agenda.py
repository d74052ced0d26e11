"""A run in less time than it takes: what is important first, and what will not fit is told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.run.live import LiveRun
from player.run.time_left import important_first, numbers_said
from readings.visit.visit import Visit
from sequences.duration import ends, sequence_seconds, takes
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Lobby wall
signal: sdr8
settle: 10 s
steps:
  - {show: {pluge: {}}, read: {choice: [seen, not seen]}, importance: last}
  - {each: {level: [20 %, 40 %, 60 %]}, show: {field: {}}, read: luminance}
  - {show: {field: {level: 100 %}}, read: luminance, importance: first}
  - {show: {field: {level: 0 %}}, read: luminance, importance: first, settle: 30 s}
  - {show: {field: {level: 100 %}}, read: luminance, importance: last}
"""
SEQUENCE = sequences.load_text(TEXT, "lobby.yaml")
CANVAS = Canvas(1920, 1080, Fraction(60))
IMPORTANT = (5, 6, 2, 3, 4, 1, 7)


def start(visit: Visit, clock: Clock, minutes: float | None = None) -> LiveRun:
    overrides = {} if minutes is None else {"minutes": minutes}
    run = LiveRun(SEQUENCE, visit, RecordingOutput(), overrides=overrides, clock=clock)
    run.begin()
    return run


def played(run: LiveRun, clock: Clock, *texts: str) -> list[int]:
    """Type readings, and give the steps that they were typed at."""
    found = []
    for text in texts:
        found.append(run.number)
        clock.now += 1
        assert run.enter(text), run.message
    return found


def test_within_each_importance_the_order_of_the_file_stays() -> None:
    assert important_first(SEQUENCE.steps, lambda _: True, 0) == IMPORTANT


def test_what_is_done_and_what_is_on_screen_stay_before_what_is_open() -> None:
    order = important_first(SEQUENCE.steps, lambda step: step.number not in (1, 2, 6), 3)
    assert order == (1, 2, 6, 3, 5, 4, 7)


def test_without_a_time_the_order_is_that_of_the_file(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock)
    assert (run.agenda.order, run.agenda.too_many, run.agenda.time_there) == (
        (1, 2, 3, 4, 5, 6, 7),
        (),
        None,
    )
    assert played(run, clock, "1", "20", "40") == [1, 2, 3]


def test_with_a_time_the_important_steps_come_first_and_keep_their_numbers(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock, 60)
    assert run.message == "60 min: what is important comes first. Everything fits."
    values = ("400", "0.05", "5", "50", "150", "1", "400")
    assert played(run, clock, *values) == list(IMPORTANT)
    assert run.finished
    assert [each.step for each in visit.readings()] == [1, 2, 3, 4, 5, 6, 7]
    assert [each.luminance for each in visit.readings()][1:] == [5, 50, 150, 400, 0.05, 400]
    assert visit.runs()[-1].overrides == {"minutes": 60}


def test_what_will_not_fit_is_told_and_it_is_the_least_important(visit: Visit) -> None:
    # 20 s a step, black 40 s: five of them are done after two minutes
    run = start(visit, Clock(), 2)
    assert run.agenda.too_many == (1, 7)
    assert run.message == "2 min: what is important comes first. No time for steps 1, 7."


def test_what_fits_is_reckoned_again_as_time_goes_by(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock, 2)
    clock.now += 60
    assert run.agenda.time_there == 60
    assert run.agenda.too_many == (1, 3, 4, 7)
    played(run, clock, "400")
    clock.now += 300
    assert run.agenda.time_there is not None
    assert run.agenda.time_there < 0
    assert run.agenda.too_many == (1, 2, 3, 4, 6, 7)


def test_the_arrows_go_along_the_order_and_skipped_steps_are_not_come_back_to(
    visit: Visit,
) -> None:
    clock = Clock()
    run = start(visit, clock, 60)
    seen = [run.number]
    for key in ("go_on", "go_on", "back", "back", "back"):
        clock.now += 1
        getattr(run, key)()
        seen.append(run.number)
    assert seen == [5, 6, 2, 6, 5, 5]
    assert run.message == "This is the first step."
    assert run.keeping.skipped == {5, 6}
    run.go_to(4)
    assert run.agenda.next_open() == 2


def test_time_given_on_the_way_leaves_what_is_done_behind_and_the_step_on_screen(
    visit: Visit,
) -> None:
    clock = Clock()
    run = start(visit, clock)
    played(run, clock, "1", "20")
    run.agenda.give_minutes(5)
    assert run.agenda.order == (1, 2, 3, 5, 6, 4, 7)
    assert played(run, clock, "50", "400") == [3, 5]
    run.agenda.give_minutes(None)
    assert run.agenda.order == (1, 2, 3, 4, 5, 6, 7)
    clock.now += 1
    assert run.enter("0.05")
    assert run.number == 4, "in the order of the file, 4 is the first without a reading"


def test_after_a_kill_what_was_left_of_the_minutes_holds_and_the_time_in_between_is_none(
    visit: Visit,
) -> None:
    clock, at = Clock(), [datetime(2031, 5, 4, 9, 0, tzinfo=UTC)]
    with visit.at_times_of(lambda: at[0]):
        run = start(visit, clock)
        played(run, clock, "1")
        run.take_minutes(60, stay=True)
        at[0] += timedelta(minutes=25)
        played(run, clock, "20")
        at[0] += timedelta(hours=20)
        again = start(visit, clock)  # as after a kill: nobody left it
        assert (again.number, again.agenda.given) == (5, 35.0)
        assert again.message.startswith(
            "Run 1 goes on where it was left. Of 60 min there are still 35 min: what is important"
        )
        at[0] += timedelta(minutes=30)
        played(again, clock, "400")
        at[0] += timedelta(minutes=30)
        assert start(visit, clock).agenda.given == 5.0
        assert start(visit, clock, 12).agenda.given == 12
        last = start(visit, clock)
        assert last.agenda.given == 12
        last.leave()
        assert start(visit, clock).agenda.given is None


def test_minutes_that_are_over_at_a_kill_leave_the_order(visit: Visit) -> None:
    clock, at = Clock(), [datetime(2031, 5, 4, 9, 0, tzinfo=UTC)]
    with visit.at_times_of(lambda: at[0]):
        run = start(visit, clock, 10)
        at[0] += timedelta(minutes=25)
        played(run, clock, "400")
        at[0] += timedelta(seconds=1)
        again = start(visit, clock)
    assert again.agenda.given == 0
    assert again.agenda.order == run.agenda.order
    assert again.message.startswith("Run 1 goes on where it was left. Of 10 min there are still 0")


def test_a_run_that_was_left_is_taken_up_whatever_time_there_is(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock, 60)
    played(run, clock, "400")
    run.leave()
    again = start(visit, clock, 1)
    assert (again.id, again.number) == (run.id, 6)
    assert again.message == (
        "Run 1 goes on where it was left. "
        "1 min: what is important comes first. No time for steps 1, 3, 4, 7."
    )
    played(again, clock, "0.05")
    again.leave()
    plain = start(visit, clock)
    assert (plain.id, plain.number, plain.agenda.given) == (1, 1, None)


def test_pasted_values_follow_the_order_of_play(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock, 60)
    clock.now += 1
    run.go_on()
    clock.now += 1
    run.back()
    clock.now += 1
    assert run.paste("400\n0.05"), run.message
    assert [(each.step, each.raw) for each in visit.readings()] == [(5, "400"), (6, "0.05")]
    assert run.number == 2


def test_the_next_step_is_drawn_ahead_in_the_order_of_play(visit: Visit) -> None:
    run = start(visit, Clock(), 60)
    run.prepare()
    assert run.screen._ahead is not None
    assert run.screen._ahead[0] == SEQUENCE.steps[5].pattern


def test_the_last_reading_is_taken_again_at_its_own_step(visit: Visit) -> None:
    clock = Clock()
    run = start(visit, clock, 60)
    played(run, clock, "400", "0.05")
    clock.now += 1
    run.again()
    assert run.number == 6
    assert run.agenda.seconds_left == 30 + 10 + 3 * 20 + 2 * 20


def test_a_warm_up_takes_as_long_as_the_display_has_not_been_on() -> None:
    text = TEXT.replace("settle: 10 s\n", "settle: 10 s\nwarm_up: 5 min\n", 1)
    warm = sequences.load_text(text, "lobby.yaml")
    assert sequence_seconds(SEQUENCE, CANVAS) == 6 * 20 + 40
    assert sequence_seconds(warm, CANVAS) == 300 + 10 + 5 * 20 + 40
    each = [takes(step, CANVAS) for step in warm.steps]
    assert ends(each, on_for=280)[:2] == [20 + 10, 20 + 10 + 20]
    assert ends(each, on_for=280, enough=300)[:2] == [20, 40]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ((3,), "step 3"),
        ((2, 5, 6, 7, 9, 10), "steps 2, 5 to 7, 9, 10"),
        ((1, 2), "steps 1, 2"),
        (range(1, 30, 2), "steps 1, 3, 5, 7, 9, 11, …"),
    ],
)
def test_numbers_of_steps_are_said_with_runs_of_them_together(
    numbers: tuple[int, ...], said: str
) -> None:
    assert numbers_said(numbers) == said
