"""Instruments as the operator calls them: typed, or behind a program."""

from __future__ import annotations

import sequences
from player.meters.command import CommandMeter
from player.run.live import LiveRun
from player.run.unattended import instrument_of, typed_with
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Lobby wall
signal: sdr8
steps:
  - show: {field: {level: 100 %}}
    read: colour
  - show: {field: {level: 0 %}}
    read: luminance
  - show: {moving-box: {along: top, speed: 120 px/s}}
    read: count
"""


def play(visit: Visit, instrument: int | None) -> list[int | None]:
    """Type an answer to every step, and give the instrument of each reading."""
    live = LiveRun(
        sequences.load_text(TEXT, "lobby.yaml"),
        visit,
        RecordingOutput(),
        typed_with=instrument,
        clock=Clock(1.0),
    )
    live.begin()
    for text in ("100,2 0,3127 0,329", "0,05", "12"):
        assert live.enter(text), live.message
    live.leave()
    return [reading.instrument for reading in visit.readings(live.id)]


def test_light_that_is_typed_is_that_of_the_instrument_named_and_a_count_is_the_eyes(
    visit: Visit,
) -> None:
    reference = typed_with(visit, "borrowed", "reference")
    assert (reference.name, reference.kind, reference.role) == ("borrowed", "typed", "reference")
    assert play(visit, reference.id) == [reference.id, reference.id, None]


def test_without_a_name_typed_readings_have_no_instrument(visit: Visit) -> None:
    assert play(visit, None) == [None, None, None]


def test_the_same_name_is_the_same_instrument_again(visit: Visit) -> None:
    assert typed_with(visit, "spot").id == typed_with(visit, "spot").id
    assert typed_with(visit, "spot", "reference").id == 2


def test_two_programs_can_be_told_apart_by_their_names(visit: Visit) -> None:
    spot = instrument_of(visit, CommandMeter("read-spot"), name="spot")
    other = instrument_of(visit, CommandMeter("read-other"), "reference", "other")
    assert (spot.name, spot.kind, spot.role) == ("spot", "command", "spot meter")
    assert (other.name, other.kind, other.role) == ("other", "command", "reference")
    assert instrument_of(visit, CommandMeter("read-spot")).name == "command"
