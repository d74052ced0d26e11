"""The command that adjusts a display, on the simulated one, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.cli import run
from player.simulated_play import play_simulated, simulated_display
from readings.visit.visit import Visit

GAINS = "controls: [{does: gain, channels: [red, green, blue], range: [0, 100], found: 50}]\n"
FIELD = "title: x\nsignal: sdr8\nsteps: [{show: {field: {level: 50 %}}, read: luminance}]\n"
SIMULATED = ["--output", "simulated", "--unattended", "--size", "480x270"]


def test_simulated_hands_adjust_the_wall_and_all_of_it_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    command = ["adjust", "two-point", "--visit", str(path), "--name", "lobby wall", *SIMULATED]
    assert run(command) == 0
    with Visit.open(path, write=False) as visit:
        (end,) = visit.adjustments(1)
        assert end.why in ("reached", "within the meter", "not worth the time", "nothing left")
        assert end.largest is not None
        assert end.largest < 2
        turns = visit.turns(1)
        assert all(each.value == each.advised for each in turns)
        assert {each.control for each in turns} <= {each.id for each in visit.controls(1)}
        assert [each.control.menu for each in visit.controls(1)] == ["two-point"] * 6
        assert visit.run(1).ended == "finished"


def test_a_simulated_display_stays_as_its_menu_was_left(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    command = ["adjust", "two-point", "--visit", str(path), "--name", "lobby wall", *SIMULATED]
    assert run(command) == 0
    wall = simulated_display()
    with Visit.open(path, write=True) as visit:
        names = {each.id: each.control.name for each in visit.controls(1)}
        left = {names[each.control]: each.value for each in visit.turns(1)}
        assert any(wall.menu[name] != value for name, value in left.items())
        play_simulated(sequences.load_text(FIELD, "f"), visit, wall, canvas=Canvas(480, 270))
    assert {name: wall.menu[name] for name in left} == left


def test_only_the_controls_of_the_file_are_turned_and_unknown_ones_pass_the_step_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, controls = tmp_path / "lobby.visit", tmp_path / "controls.yaml"
    controls.write_text(GAINS.replace("does: gain", 'does: gain, name: "{channel} drive"'))
    command = ["adjust", "two-point", "--visit", str(path), "--name", "lobby wall", *SIMULATED]
    assert run([*command, "--controls", str(controls)]) == 1
    assert "needs someone who turns the display's controls" in capsys.readouterr().err
    with Visit.open(path, write=False) as visit:
        assert len(visit.controls(1)) == 3
        assert visit.turns(1) == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["adjust", "warmth"], "There is no adjustment 'warmth'; there are backlight-first"),
        (["adjust", "--controls", "gone.yaml"], "gone.yaml"),
        (["adjust", "ten-point", "--controls", "gains.yaml"], "has no multi-point controls"),
        (["play", "greyscale-11", "--controls", "gains.yaml"], "--controls goes with a sequence"),
        (["adjust", "--controls", "bad.yaml"], "bad.yaml:1:"),
    ],
)
def test_what_cannot_be_is_told_in_one_sentence_before_anything_is_made(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("gains.yaml").write_text(GAINS)
    Path("bad.yaml").write_text(GAINS.replace("found: 50", "found: 500"))
    assert run([*arguments, "--visit", "lobby.visit", *SIMULATED]) == 2
    assert said in capsys.readouterr().err
    assert not Path("lobby.visit").exists()
