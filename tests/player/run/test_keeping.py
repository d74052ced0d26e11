"""A run's readings alone: what is kept, what it takes the place of, and what is left open."""

from __future__ import annotations

import pytest

import sequences
from player.run.entry import EntryError, parse_entry
from player.run.keeping import Keeping
from player.run.record import begin_or_resume
from player.run.screen import Screen
from readings.visit.visit import Visit
from sequences.model import Step
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 100 %}}, read: luminance, label: white}
  - {show: {field: {level: 50 %}}, label: a look}
  - {show: {moving-box: {along: row, place: 40 %}}, read: tally, label: hops}
  - {show: {field: {level: 50 %}}, read: luminance, label: grey}
"""
SEQUENCE = sequences.load_text(TEXT, "lobby.yaml")
WHITE, LOOK, HOPS, GREY = SEQUENCE.steps


@pytest.fixture
def screen(visit: Visit, clock: Clock) -> Screen:
    output = RecordingOutput()
    begun = begin_or_resume(visit, SEQUENCE, output, "", {})
    return Screen(SEQUENCE, visit, begun.run, output, clock)


@pytest.fixture
def keeping(visit: Visit, screen: Screen) -> Keeping:
    return Keeping(SEQUENCE, visit, 1, screen)


def take(keeping: Keeping, screen: Screen, step: Step, text: str) -> int:
    """Show a step and keep what is typed; the reading's id."""
    screen.show(step.number, step.pattern)
    assert step.read is not None
    reading, _ = keeping.keep(step, parse_entry(text, step.read), None)
    return reading.id


def test_a_second_reading_of_a_step_takes_the_place_of_the_first(
    keeping: Keeping, screen: Screen, visit: Visit
) -> None:
    first = take(keeping, screen, WHITE, "400")
    assert keeping.replaced(WHITE) == first
    second = take(keeping, screen, WHITE, "410")
    assert [each.id for each in visit.readings()] == [second]
    assert [(each.number, each.text) for each in keeping.kept] == [(1, "410")]
    assert keeping.taken == 2


def test_each_pass_of_a_box_adds_and_only_the_one_that_is_retaken_is_replaced(
    keeping: Keeping, screen: Screen, visit: Visit
) -> None:
    first = take(keeping, screen, HOPS, "11")
    assert keeping.replaced(HOPS) is None
    second = take(keeping, screen, HOPS, "12")
    keeping.retaking = second
    third = take(keeping, screen, HOPS, "13")
    assert [each.id for each in visit.readings()] == [first, third]
    assert [each.text for each in keeping.kept] == ["11", "13"]


def test_an_adjusting_step_adds_up_and_is_open_until_its_adjusting_ended(
    visit: Visit, clock: Clock
) -> None:
    text = TEXT.replace("read: luminance, label: grey", "read: {adjust: [preset]}, label: grey")
    sequence = sequences.load_text(text, "lobby.yaml")
    output = RecordingOutput()
    run = begin_or_resume(visit, sequence, output, "", {}).run
    screen = Screen(sequence, visit, run, output, clock)
    keeping, step = Keeping(sequence, visit, run, screen), sequence.steps[3]
    first, second = (take(keeping, screen, step, text) for text in ("80 .31 .33", "20 .31 .33"))
    assert [each.id for each in visit.readings()] == [first, second]
    assert [each.text for each in keeping.kept] == ["80 .31 .33", "20 .31 .33"]
    assert keeping.replaced(step) is None
    assert keeping.is_open(step)
    keeping.end_adjustment(step, "within the meter", largest=0.9, spread=0.4)
    assert not keeping.is_open(step)
    keeping.end_adjustment(step, "gone on")
    assert keeping.is_open(step)
    keeping.skip(step, "no time")
    assert not keeping.is_open(step)
    assert not Keeping(sequence, visit, run, screen).is_open(step)


def test_a_step_is_open_until_it_is_read_passed_over_or_where_nothing_is_read_shown(
    keeping: Keeping, screen: Screen
) -> None:
    assert [keeping.is_open(step) for step in SEQUENCE.steps] == [True, True, True, True]
    take(keeping, screen, WHITE, "400")
    screen.show(2, LOOK.pattern)
    screen.kept_showing()
    keeping.skip(HOPS, "the box is hard to see")
    assert [keeping.is_open(step) for step in SEQUENCE.steps] == [False, False, False, True]
    take(keeping, screen, HOPS, "11")
    assert keeping.skipped == set()


def test_a_run_that_goes_on_has_what_was_read_and_passed_over(
    keeping: Keeping, screen: Screen, visit: Visit
) -> None:
    read = take(keeping, screen, WHITE, "400")
    keeping.skip(HOPS)
    again = Keeping(SEQUENCE, visit, 1, screen)
    assert [(each.number, each.label, each.text) for each in again.kept] == [(1, "white", "400")]
    current = again.current(1)
    assert current is not None
    assert (current.id, again.skipped, again.taken) == (read, {3}, 0)


def test_nothing_is_read_of_a_step_that_was_never_on_screen(
    keeping: Keeping, screen: Screen
) -> None:
    screen.show(1, WHITE.pattern)
    shown = screen.kept_showing().id
    assert keeping.showings_of([WHITE]) == {1: shown}
    with pytest.raises(EntryError, match="Step 3 has not been on screen in this run"):
        keeping.showings_of([WHITE, HOPS])


def test_what_is_expected_is_that_of_the_picture_on_screen_and_nothing_in_the_black(
    keeping: Keeping, screen: Screen
) -> None:
    take(keeping, screen, WHITE, "400")
    screen.show(4, GREY.pattern)
    expected = keeping.expects
    assert expected is not None
    assert expected.luminance == pytest.approx(400 * (128 / 255) ** 2.4, rel=0.01)
    screen.black_out()
    assert keeping.expects is None
