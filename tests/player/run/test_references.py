"""White and black are played first where time runs short, since other readings need them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.run.live import LiveRun
from player.run.references import references_of
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

SHIPPED = Path(sequences.__file__).parent / "shipped"
CANVAS = Canvas(1920, 1080, Fraction(60))
IN_TIME = {"peak-over-time", "warm-up"}
"""Sequences whose steps follow each other in time: another order would be another measurement."""
ALONE = {"star-field", "zone-count", "zone-trace-columns", "zone-trace-rows"}
"""Those of which no reading needs another."""
MEASURING = sorted(
    path.stem
    for path in SHIPPED.glob("*.yaml")
    if any(step.read is not None and step.read.of_light for step in sequences.load(path).steps)
    and not path.stem.startswith("adjust-")  # it reads what it needs in its own order
)

TEXT = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {pluge: {}}, read: text, importance: first}
  - {each: {level: [20 %, 0 %, 40 %, 100 %, 100 %]}, show: {field: {}}, read: luminance, role: grey}
  - {show: {field: {level: 50 %}}, read: luminance, role: background, importance: last}
  - {show: {field: {level: 50 %}}, read: luminance, role: background, importance: last}
  - {each: {area: [1 %, 10 %]}, show: {window: {}}, read: luminance, role: window}
"""


def test_a_role_and_the_ends_of_greys_tell_what_others_need() -> None:
    sequence = sequences.load_text(TEXT, "lobby.yaml")
    assert references_of(sequence.steps, CANVAS, sequence.signal) == {3, 5, 7}


def test_the_ends_of_greys_are_not_needed_beside_a_white_and_a_black_of_their_own() -> None:
    sequence = sequences.load_text(TEXT.replace("background", "target-white"), "lobby.yaml")
    assert references_of(sequence.steps, CANVAS, sequence.signal) == {3, 7}


def test_they_are_played_before_what_a_file_calls_usual(visit: Visit) -> None:
    sequence = sequences.load_text(TEXT, "lobby.yaml")
    run = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
    run.agenda.give_minutes(1, stay=False)
    assert run.agenda.order == (1, 3, 5, 7, 2, 4, 6, 9, 10, 8)


@pytest.mark.parametrize("name", sorted(set(MEASURING) - IN_TIME - ALONE))
def test_a_shipped_sequence_says_itself_what_comes_first(name: str) -> None:
    sequence = sequences.load(SHIPPED / f"{name}.yaml")
    first = {step.number for step in sequence.steps if step.importance == "first"}
    assert first, "something comes first"
    assert first < {step.number for step in sequence.steps}, "not all of it"
    assert references_of(sequence.steps, CANVAS, sequence.signal) <= first


@pytest.mark.parametrize("name", sorted(IN_TIME))
def test_what_follows_in_time_keeps_its_order(name: str) -> None:
    steps = sequences.load(SHIPPED / f"{name}.yaml").steps
    assert {step.importance for step in steps} == {"usual"}
