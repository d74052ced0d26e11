"""The command that adjusts a display, on the simulated one, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.cli import run
from player.simulated_play import play_simulated, simulated_display
from player.visits import named_by
from readings.visit.visit import Visit
from sequences.controls import load_controls

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


def test_an_adjustment_is_not_played_by_a_media_player(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    visit = tmp_path / "lobby.visit"
    assert run(["adjust", "--visit", str(visit), "--output", "files", "--files", "set"]) == 2
    assert "a media player cannot: leave --output files out" in capsys.readouterr().err
    assert not visit.exists()


def with_display(tmp_path: Path) -> list[str]:
    """The option that names a controls file of the lobby wall."""
    controls = tmp_path / "controls.yaml"
    controls.write_text(f"display: lobby wall\n{GAINS}")
    return ["--controls", str(controls)]


def test_controls_of_another_display_are_refused_before_the_visit_is_touched(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "foyer.visit"
    Visit.create(path, display="foyer wall").close()
    before = path.read_bytes()
    command = ["adjust", "two-point", "--visit", str(path), *SIMULATED, *with_display(tmp_path)]
    assert run(command) == 2
    said = capsys.readouterr().err
    assert "has the controls of 'lobby wall'" in said
    assert "is about 'foyer wall'" in said
    assert path.read_bytes() == before
    sitting = ["visit", str(path), "--plan", "first-look", *with_display(tmp_path)]
    assert run(sitting) == 2
    assert "has the controls of 'lobby wall'" in capsys.readouterr().err
    named = ["adjust", "--visit", str(tmp_path / "new.visit"), "--name", "foyer wall", *SIMULATED]
    assert run([*named, *with_display(tmp_path)]) == 2
    assert not (tmp_path / "new.visit").exists()


@pytest.mark.parametrize(
    "names", [["Lobby  Wall"], ["lobby wall", "the wall"], ["lobby", "lobby wall", "the wall"]]
)
def test_controls_go_with_every_name_that_the_display_ever_had(
    tmp_path: Path, names: list[str]
) -> None:
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display=names[0]) as visit:
        for name in names[1:]:
            visit.state("display", name)
    _, controls = with_display(tmp_path)
    assert named_by(path, "", load_controls(controls), controls) == ""


def test_a_new_visit_without_a_name_is_called_as_its_controls_are(tmp_path: Path) -> None:
    path = tmp_path / "may.visit"
    command = ["adjust", "two-point", "--visit", str(path), *SIMULATED, *with_display(tmp_path)]
    assert run(command) != 2
    with Visit.open(path, write=False) as visit:
        assert visit.about().display == "lobby wall"


def test_pictures_that_are_given_no_time_are_read_once_they_have_settled(tmp_path: Path) -> None:
    text = (
        "title: x\nsignal: sdr8\nsettle: 0 s\nsteps:\n  - show: {window: {area: 10 %}}\n"
        "    read: {adjust: [two-point]}\n"
    )
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        sequence = sequences.load_text(text, "f")
        play_simulated(sequence, visit, simulated_display(), canvas=Canvas(480, 270))
        (end,) = visit.adjustments(1)
        assert end.largest is not None
        assert end.largest < 1
        assert len(visit.readings()) < 100  # in the light of the picture before it came to no end
