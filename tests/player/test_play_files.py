"""Readings of files that a media player shows: the operator window alone, from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from player.cli import run
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, until

TEXT = """
title: Lobby wall
signal: pq10
steps:
  - show: {field: {level: 0 %}}
    label: black
    read: luminance
  - show: {window: {level: 1000 cd/m2}}
    label: window
    read: luminance
"""


@pytest.fixture
def made(tmp_path: Path) -> Path:
    (tmp_path / "lobby.yaml").write_text(TEXT)
    assert run(["export", str(tmp_path / "lobby.yaml"), "--to", str(tmp_path / "a set")]) == 0
    return tmp_path


def play(made: Path, *options: str) -> list[str]:
    return [
        "play",
        str(made / "lobby.yaml"),
        "--visit",
        str(made / "lobby.visit"),
        "--name",
        "lobby wall",
        "--output",
        "files",
        *options,
    ]


@pytest.mark.gl
def test_one_screen_is_enough_to_read_what_a_media_player_shows(
    screen_env: Environment, made: Path
) -> None:
    visit = made / "lobby.visit"
    arguments = play(made, "--files", str(made / "a set"), "--condition", "dimming off")
    env = screen_env(1280, 720, 24)
    with Playing(env, made, arguments=arguments, visit=str(visit)) as player:
        player.shows(1)
        until(lambda: bool(player.see(0, 0, 1280, 720).max() > 100), "there are words")
        player.focus("Litfield")
        player.type("0,04")
        player.key("Return")
        player.shows(2)
        player.type("987")
        player.key("Return", "Return")
        assert player.ended() == 0, player.said()
        assert "the window names the file to put up" in player.said()
    with Visit.open(visit, write=False) as kept:
        (record,) = kept.runs()
        assert (record.output, record.canvas, record.ended) == ("files", (3840, 2160), "finished")
        assert [each.luminance for each in kept.readings()] == [0.04, 987.0]
        assert [each.guard_why.split(" (")[0] for each in kept.showings()] == [
            "shown by a media player from file 001-black.png",
            "shown by a media player from file 002-window.png",
        ]


@pytest.mark.gl
def test_a_set_of_another_sequence_is_refused(screen_env: Environment, made: Path) -> None:
    (made / "lobby.yaml").write_text(
        TEXT.replace("1000 cd/m2", "500 cd/m2").replace("level: 0 %", "level: 1 %")
    )
    arguments = play(made, "--files", str(made / "a set"))
    env = screen_env(1280, 720, 24)
    with Playing(env, made, arguments=arguments, visit=str(made / "lobby.visit")) as player:
        assert player.ended() == 1
        assert player.said().startswith("None of the files shows a step of this sequence")


def test_what_is_asked_wrongly_is_told(made: Path, capfd: pytest.CaptureFixture[str]) -> None:
    wrong = {
        "--output files goes with --files DIR, the exported set.": play(made),
        "Somebody has to put the files up: --unattended goes without them.": play(
            made, "--files", str(made / "a set"), "--unattended"
        ),
        f"{made / 'none' / 'manifest.csv'} cannot be read: the folder does not exist.": play(
            made, "--files", str(made / "none")
        ),
    }
    for told, arguments in wrong.items():
        assert run(arguments) == 2
        assert capfd.readouterr().err.strip() == told
    assert not (made / "lobby.visit").exists()
