"""What a run has no reading of is said when it ends; unattended, that is a failure."""

import sys
from pathlib import Path

import pytest

import sequences
from player.cli import run
from player.outputs.base import Guard
from player.run.live import LiveRun
from player.run.unattended import run_unattended
from player.run.unread import NOT_YET, PASSED_OVER, altered_told, unread_of
from readings.visit.visit import Visit
from tests.player.desk import ToldMeter
from tests.player.recording import Clock, RecordingOutput

FOUR = """title: four
signal: sdr8
settle: 0 s
finds: [contrast]
steps:
  - {show: {field: {level: 100 %}}, read: luminance, role: white}
  - {show: {field: {level: 0 %}}, read: luminance, role: black}
  - {show: {field: {level: 50 %}}}
  - {show: {field: {level: 20 %}}, read: luminance}
"""


@pytest.fixture
def four(tmp_path: Path) -> Path:
    path = tmp_path / "four.yaml"
    path.write_text(FOUR, encoding="utf-8")
    return path


def play(four: Path, meter: str, *more: str) -> int:
    visit = four.with_name("lobby.visit")
    arguments = ["play", str(four), "--visit", str(visit), "--output", "simulated"]
    return run([*arguments, "--size", "640x360", "--unattended", "--meter", meter, *more])


def test_a_run_whose_meter_is_dead_is_not_finished_and_says_why(
    four: Path, capsys: pytest.CaptureFixture[str]
):
    assert play(four, "command:nosuchprog") == 1
    told = capsys.readouterr()
    assert "3 of 3 steps that ask for a reading have none:\n  3 steps (1, 2, 4): " in told.err
    assert "no reading in 3 tries: The meter's program nosuchprog did not start" in told.err
    assert "No findings" not in told.out


def test_a_step_in_which_the_display_is_adjusted_needs_hands_and_is_passed_over(
    four: Path, capsys: pytest.CaptureFixture[str]
):
    adjusting = "  - {show: {window: {}}, read: {adjust: [two-point]}}\n"
    four.write_text(FOUR + adjusting, encoding="utf-8")
    assert play(four, "simulated", "--display", "ticket-desk") == 1  # which has no menu
    told = capsys.readouterr().err
    assert "step 5: needs someone who turns the display's controls" in told
    with Visit.open(four.with_name("lobby.visit"), write=False) as visit:
        assert visit.runs()[0].ended == "finished"
        assert [each.step for each in visit.readings()] == [1, 2, 4]


def test_steps_without_a_reading_are_told_by_their_reasons_where_others_have_one(
    four: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    program = tmp_path / "meter.py"
    program.write_text(
        "import pathlib, sys\n"
        "calls = pathlib.Path(sys.argv[1])\n"
        "number = len(calls.read_text()) if calls.exists() else 0\n"
        "calls.write_text('x' * (number + 1))\n"
        "print('Y=100' if number == 0 else 'broken')\n",
        encoding="utf-8",
    )
    assert play(four, f'command:"{sys.executable}" "{program}" "{tmp_path / "calls"}"') == 1, (
        "a step was not read"
    )
    told = capsys.readouterr().err
    assert "2 of 3 steps that ask for a reading have none:\n  2 steps (2, 4): no reading" in told


def test_nothing_is_said_where_every_step_has_a_reading(
    four: Path, capsys: pytest.CaptureFixture[str]
):
    assert play(four, "simulated") == 0
    assert "ask for a reading" not in capsys.readouterr().err


def test_steps_passed_over_by_hand_and_those_to_come_are_told_apart(tmp_path: Path):
    sequence = sequences.load_text(FOUR, "four.yaml")
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        live = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
        live.begin()
        live.go_on()
        unread = unread_of(visit, live.id, sequence)
    assert unread.why == {PASSED_OVER: [1], NOT_YET: [2, 4]}


def test_a_meter_that_gives_no_x_and_y_in_the_dark_has_read_a_black_asked_for_as_a_colour(
    tmp_path: Path,
):
    text = FOUR.replace("luminance", "colour")
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        sequence = sequences.load_text(text, "four.yaml")
        live = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
        run_unattended(live, ToldMeter(400, 0.001, 8), wait=lambda _: None)
        black = visit.readings()[1]
        notes = [note.text for note in visit.notes() if note.step == black.step]
    assert (black.quantity, black.luminance, black.x) == ("colour", 0.001, None)
    assert notes == ["Y 0.001: No x and y were given, so the luminance is kept alone."]


def test_readings_of_altered_pictures_are_told_with_the_reason(tmp_path: Path):
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        sequence = sequences.load_text(FOUR, "four.yaml")
        live = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
        live.begin()
        live.enter("400")
        assert altered_told(visit, live.id) == ""
        live.screen.guard, live.screen.showing = Guard("altered", "the gamma ramp bends"), None
        live.enter("0.1")
        assert altered_told(visit, live.id) == (
            "1 reading is of a picture that was altered on its way to the screen:\n"
            "  step 2: the gamma ramp bends"
        )
