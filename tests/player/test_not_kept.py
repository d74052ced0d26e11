"""What was refused is held apart, tried again, brought back or forgotten: the part alone."""

from __future__ import annotations

import pytest

from player.windows.controls.not_kept import NotKept, Refused
from readings.visit.records import Value
from tests.player.recording import Clock

HERE, THERE = (1, "grey"), (2, "white")


@pytest.fixture
def not_kept(clock: Clock) -> NotKept:
    return NotKept(clock)


def typing(not_kept: NotKept, clock: Clock, *keys: float) -> None:
    """Keys so many seconds one after another."""
    for apart in keys:
        clock.now += apart
        not_kept.at_a_key()


def test_enter_tries_only_the_last_one_again_and_only_at_its_picture(not_kept: NotKept) -> None:
    not_kept.add(Refused("reading", "12x", HERE))
    not_kept.add(Refused("reading", "13x", HERE))
    assert not_kept.of("reading") == ("12x", "13x")
    assert not_kept.pending("reading", THERE) is None
    assert not_kept.again("note", HERE) is None
    found = not_kept.again("reading", HERE)
    assert found is not None
    assert found.text == "13x"
    assert not_kept.of("reading") == ("12x",)


def test_what_was_too_early_is_never_tried_again_by_enter(not_kept: NotKept) -> None:
    not_kept.add(Refused("reading", "7", None))
    assert not_kept.pending("reading", None) is None
    assert not_kept.again("reading", HERE) is None
    assert not_kept.of("reading") == ("7",)


def test_a_picture_that_came_up_leaves_it_in_sight_alone(not_kept: NotKept) -> None:
    not_kept.add(Refused("reading", "7", HERE))
    not_kept.part("reading")
    assert not_kept.pending("reading", HERE) is None
    assert not_kept.of("reading") == ("7",)


def test_backspace_brings_the_last_typed_back_but_never_what_a_meter_gave(
    not_kept: NotKept,
) -> None:
    not_kept.add(Refused("reading", "7", None))
    not_kept.add(Refused("reading", "480", HERE, value=Value(quantity="luminance", raw="480")))
    found = not_kept.bring_back("reading")
    assert found is not None
    assert found.text == "7"
    assert not_kept.bring_back("reading") is None
    assert not_kept.of("reading") == ("480",)


def test_nothing_typed_is_nothing_refused(not_kept: NotKept) -> None:
    not_kept.add(Refused("reading", "  ", HERE))
    assert not_kept.of("reading") == ()


def test_lines_are_apart(not_kept: NotKept) -> None:
    not_kept.add(Refused("reading", "7", HERE))
    not_kept.add(Refused("note", "lamps", "note"))
    assert not_kept.forget("note")
    assert not not_kept.forget("note")
    not_kept.kept("note", "blinds")
    assert not_kept.pending("reading", HERE) is not None


def test_what_was_kept_after_all_is_no_longer_shown_as_not_kept(
    not_kept: NotKept, clock: Clock
) -> None:
    for text in ("7", "7", "8"):
        not_kept.add(Refused("reading", text, None))
    typing(not_kept, clock, 0.1, 0.1)
    not_kept.kept("reading", "7")
    assert not_kept.of("reading") == ("7", "8")


def test_it_stays_while_keys_come_one_after_another_and_goes_once_there_was_time_to_look(
    not_kept: NotKept, clock: Clock
) -> None:
    not_kept.add(Refused("reading", "7", HERE))
    typing(not_kept, clock, *[0.4] * 40)
    not_kept.kept("reading", "9")
    assert not_kept.of("reading") == ("7",)
    assert not_kept.pending("reading", HERE) is None, (
        "a reading was kept: Enter must not replace it"
    )
    typing(not_kept, clock, 2.1, 0.1)
    assert not_kept.of("reading") == ("7",)
    not_kept.kept("reading", "10")
    assert not_kept.of("reading") == ()


def test_what_was_refused_within_a_look_stays(not_kept: NotKept, clock: Clock) -> None:
    typing(not_kept, clock, 0.1)
    clock.now += 2.0  # a meter took so long
    not_kept.add(Refused("reading", "480", HERE))
    typing(not_kept, clock, 0.5, 0.1)
    not_kept.kept("reading", "9")
    assert not_kept.of("reading") == ("480",)
