"""What an operator answers by eye, from the shipped sequence to the front page of the report."""

from __future__ import annotations

from pathlib import Path

import pytest

import sequences
from patterns.signal.quantise import Range
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from readings.report.gather import gather
from readings.report.summary import Statement, summary
from readings.visit.visit import Visit
from tests.player.recording import RecordingOutput
from tests.readings.early_visit import write_early


def play(path: Path, name: str, *answers: str, output: RecordingOutput | None = None) -> None:
    """Type an answer for each step of a shipped sequence."""
    now = [0.0]

    def clock() -> float:
        now[0] += CHANGE_GAP + 60
        return now[0]

    sequence = sequences.load(name)
    assert len(answers) == len(sequence.steps)
    with Visit.create(path, display="lobby wall") as visit:
        run = LiveRun(sequence, visit, output or RecordingOutput(), clock=clock)
        run.begin()
        for answer in answers:
            assert run.enter(answer) or run.enter(answer), run.message
        run.leave()


def told(path: Path, verdict: str) -> list[Statement]:
    return [each for each in summary(gather(path)).statements if each.verdict == verdict]


def test_dead_pixels_that_were_counted_stand_on_the_front_page(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    play(path, "dead-pixels", "1", "0", "0", "2", "0", "nothing", "upper left")
    (bad,) = told(path, "bad")
    assert bad.sentence == "Pixels that are stuck or dead: faults were seen"
    assert [each.text for each in bad.figures] == [
        "Black, pixels that stay lit: 1",
        "Blue, pixels that stay dark: 2",
    ]


@pytest.mark.parametrize(("answer", "verdict"), [("steady", "good"), ("tinted", "bad")])
def test_a_tint_of_one_picture_decides(tmp_path: Path, answer: str, verdict: str) -> None:
    path = tmp_path / "lobby.visit"
    play(path, "panel-inversion", *["steady"] * 4, answer, *["steady"] * 4)
    of_it = [each.sentence for each in told(path, verdict) if "Pixel inversion" in each.sentence]
    said = {"good": "no fault was seen", "bad": "faults were seen"}[verdict]
    assert of_it == [f"Pixel inversion: {said}"]


def test_the_order_of_the_sub_pixels_is_told_and_called_neither(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    play(path, "sub-pixels", "1", "2", "3", "4", "5", "2", "1")
    (order,) = told(path, "open")
    assert [each.text for each in order.figures] == [
        "Order of the sub-pixels: blue, green, red in a row"
    ]
    assert told(path, "bad") == []


@pytest.mark.parametrize(
    ("name", "step", "right", "wrong"),
    [
        ("halo", "The halo by eye", "even and plain", "square or in steps"),
        ("line-up-sdr", "Ladder, 0 to 20 % in 21 steps", "5", "6"),
        ("line-up-hdr", "Ladder, 0 to 20 % in 21 steps", "5", "6"),
    ],
)
def test_a_look_and_a_count_of_shipped_sequences_reach_the_front_page(
    name: str, step: str, right: str, wrong: str
) -> None:
    sequence = sequences.load(name)
    (faults,) = [each.faults for each in sequence.steps if each.label == step]
    assert faults is not None
    assert "seen-faults" in sequence.finds
    for answer, fault in ((right, False), (wrong, True)):
        number = float(answer) if answer.isdigit() else None
        assert faults.holds(number=number, text=None if number else answer) is fault


@pytest.mark.parametrize(
    ("range_", "dark", "bright", "faulty"),
    [
        ("full", "2", "1", []),
        # full range that is taken as narrow: all up to the marks merge with the ground
        ("full", "6", "7", ["Dark patches on black: 6", "Bright patches on white: 7"]),
        ("narrow", "6", "7", []),
        ("narrow", "8", "7", ["Dark patches on black: 8"]),
    ],
)
def test_the_range_by_eye_is_judged_by_the_range_of_the_link(
    tmp_path: Path, range_: Range, dark: str, bright: str, faulty: list[str]
) -> None:
    path = tmp_path / "lobby.visit"
    even = [*["even steps"] * 5, "all alike", *["1", "2", "3", "200", "210", "220"]]
    output = RecordingOutput(range_=range_)
    play(path, "path-check-8", dark, "merge with the ground", bright, *even, output=output)
    told_ = [each for each in told(path, "bad") if "Signal path, 8 bits" in each.sentence]
    assert [each.text for said in told_ for each in said.figures] == faulty


@pytest.mark.parametrize("version", [1, 2, 3])
def test_a_visit_of_before_is_read_and_grows_and_says_nothing_of_faults(
    tmp_path: Path, version: int
) -> None:
    path = tmp_path / "lobby.visit"
    play(path, "panel-inversion", *["tinted"] * 9)
    early = write_early(path, tmp_path / "early.visit", version=version)
    with Visit.open(early, write=False) as before:
        assert {step.faults for step in before.steps(1)} == {None}
    assert told(early, "bad") == []
    Visit.open(early, write=True).close()
    with Visit.open(early, write=False) as grown:
        assert not grown.soundness.damaged
        assert [reading.text for reading in grown.readings()] == ["tinted"] * 9
