"""A run's screen alone: what is up, since when, and what the visit has of it."""

from __future__ import annotations

import pytest

import sequences
from player.outputs.base import Guard
from player.run.by_hand import Change, changed, changes
from player.run.entry import EntryError
from player.run.gate import CHANGE_GAP
from player.run.record import begin_or_resume
from player.run.screen import NOT_UP, TOO_SOON, Screen
from readings.evidence.measured import GOES_ON_FROM
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Lobby wall
signal: sdr8
settle: 5 s
steps:
  - {show: {field: {level: 20 %}}, read: luminance}
  - {show: {moving-box: {along: row, place: 40 %}}, read: tally}
"""
SEQUENCE = sequences.load_text(TEXT, "lobby.yaml")
GREY, BOX = (step.pattern for step in SEQUENCE.steps)


@pytest.fixture
def output() -> RecordingOutput:
    return RecordingOutput()


@pytest.fixture
def screen(visit: Visit, output: RecordingOutput, clock: Clock) -> Screen:
    begun = begin_or_resume(visit, SEQUENCE, output, "", {})
    return Screen(SEQUENCE, visit, begun.run, output, clock)


def test_before_the_first_step_there_is_nothing_to_keep(screen: Screen) -> None:
    assert (screen.number, screen.step, screen.settle_left) == (0, None, 0)
    assert screen.guard == Guard("unknown", "nothing has been shown yet")
    with pytest.raises(EntryError, match="Nothing is on screen"):
        screen.kept_showing()


def test_a_step_settles_from_when_it_came_up_and_anew_after_black(
    screen: Screen, clock: Clock
) -> None:
    screen.show(1, GREY)
    assert screen.settle_left == 5
    clock.now = 4
    assert (screen.settle_left, screen.up_for, screen.step_for) == (1, 4, 4)
    screen.black_out()
    assert (screen.settle_left, screen.blacked_out) == (5, True)
    screen.show(1, GREY)
    clock.now = 10
    assert (screen.settle_left, screen.blacked_out) == (0, False)


def test_a_showing_is_kept_once_and_a_picture_changed_by_hand_has_one_of_its_own(
    screen: Screen, visit: Visit, clock: Clock
) -> None:
    screen.show(2, BOX)
    assert screen.kept_showing().id == screen.kept_showing().id == 1
    clock.now = 2
    assert screen.tick(30) is not None
    assert screen.time == 0.5
    moved = changed(BOX, Change.LARGER, screen.canvas, screen.time)
    screen.put(moved, screen.frame_of(moved), anew=False)
    assert (screen.time, screen.up_for) == (0, 2), "it only goes on otherwise"
    assert screen.kept_showing().id == 2
    (first, second) = visit.showings()
    assert GOES_ON_FROM not in first.facts
    assert second.facts["changed"] == changes(BOX, moved)
    assert screen.shown == {2}


def test_what_waits_is_not_up_and_what_has_just_changed_may_not_change_again(
    screen: Screen, clock: Clock
) -> None:
    screen.gate.ask(lambda: screen.show(1, GREY))
    assert (screen.not_up, screen.too_soon) == ("", TOO_SOON)
    screen.gate.ask(lambda: screen.show(2, BOX))
    assert (screen.not_up, screen.too_soon, screen.number) == (NOT_UP, NOT_UP, 1)
    clock.now = CHANGE_GAP
    screen.beat()
    assert (screen.not_up, screen.number) == ("", 2)
    screen.halted = "The screen is gone."
    assert screen.not_up == screen.too_soon == "The screen is gone."


def test_nothing_comes_by_itself_over_a_blackout_until_it_is_asked_back(
    screen: Screen, clock: Clock
) -> None:
    screen.gate.ask(lambda: screen.show(1, GREY))
    screen.gate.ask(lambda: screen.show(2, BOX))
    screen.gate.black(screen.black_out)
    clock.now = 9
    screen.beat()
    assert (screen.number, screen.coming) == (1, False)
    screen.returning = True
    screen.beat()
    assert (screen.number, screen.blacked_out, screen.returning) == (2, False, False)


def test_a_frame_is_drawn_ahead_once_and_used(screen: Screen) -> None:
    screen.show(2, BOX)
    assert screen.ahead is None
    screen.draw_ahead(GREY)
    drawn = screen.ahead
    assert drawn is not None
    screen.draw_ahead(GREY)
    assert screen.ahead is drawn
    screen.show(1, GREY)
    assert screen.frame is drawn
    assert screen.ahead is None


def test_after_the_last_step_it_is_black_and_nothing_is_up(
    screen: Screen, output: RecordingOutput
) -> None:
    screen.show(1, GREY)
    screen.show_end()
    assert (screen.number, screen.step, screen.frame, screen.pattern) == (3, None, None, None)
    assert output.seen[-1] == "blackout"
