"""A pattern window that another program moved or made smaller is put back by hand."""

from __future__ import annotations

import subprocess
import time
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from patterns.picture.frame import Frame
from player.windows.pattern.window import PatternWindow
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, frames_of

pytestmark = pytest.mark.gl

WIDTH, HEIGHT = 640, 360
BESIDE = 800
TEXT = """
title: Two greys
signal: sdr8
settle: {settle}
steps:
  - each: {{level: [25 %, 50 %]}}
    show: {{field: {{}}}}
    read: luminance
"""


def written(folder: Path, settle: str = "0 s") -> tuple[Path, list[Frame]]:
    path = folder / "greys.yaml"
    path.write_text(TEXT.format(settle=settle))
    return path, frames_of(path, WIDTH, HEIGHT)


def move(player: Playing, *, x: int, y: int, width: int, height: int) -> None:
    """Move and resize the pattern window from outside, as a window manager does."""
    window = player.window("Litfield pattern")
    for words in (("windowsize", window, width, height), ("windowmove", window, x, y)):
        subprocess.run(["xdotool", *map(str, words)], env=player.env, check=True, timeout=30)


@pytest.mark.parametrize(
    "to",
    [
        {"x": BESIDE, "y": 0, "width": 400, "height": 300},
        {"x": BESIDE - 60, "y": 20, "width": WIDTH, "height": HEIGHT},
    ],
)
def test_a_key_puts_the_window_back_and_the_step_is_shown_and_compared_again(
    screen_env: Environment, tmp_path: Path, to: dict[str, int]
) -> None:
    path, shown = written(tmp_path)
    visit = tmp_path / "lobby.visit"
    env = screen_env(BESIDE + WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), halves=BESIDE) as player:
        player.shows(1)
        player.sees(shown[0], x=BESIDE)
        player.type("12")
        move(player, **to)
        player.shows(1, times=2)
        player.key("F8")
        player.shows(1, times=3)
        player.sees(shown[0], x=BESIDE)
        player.type(".5")
        player.key("Return")
        player.shows(2)
        player.sees(shown[1], x=BESIDE)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        found = kept.showings()
        assert [each.guard for each in found] == ["verified", "altered", "verified", "verified"]
        assert "lost its" in found[1].guard_why
        assert [each.luminance for each in kept.readings()] == [12.5], "nothing typed is lost"
        assert kept.readings()[0].showing == found[2].id
        (note,) = kept.notes()
        assert note.text.startswith("The pattern window had been moved or made smaller")
        assert note.showing == found[2].id


def test_unattended_it_is_put_back_once_by_itself(screen_env: Environment, tmp_path: Path) -> None:
    path, shown = written(tmp_path, settle="4 s")
    visit = tmp_path / "lobby.visit"
    env = screen_env(BESIDE + WIDTH, HEIGHT, 24)
    options = {"meter": [1.0, 2.0], "unattended": True, "halves": BESIDE}
    smaller = {"x": BESIDE, "y": 0, "width": 400, "height": 300}
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), **options) as player:
        player.shows(1)
        move(player, **smaller)
        player.keeps(lambda kept: len(kept.notes()) == 1, "it was put back")
        player.sees(shown[0], x=BESIDE)
        player.shows(2)
        move(player, **smaller)
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        guards = {each.id: each.guard for each in kept.showings()}
        read = [(each.luminance, guards[each.showing]) for each in kept.readings()]
        assert read == [(1.0, "verified"), (2.0, "altered")]
        assert len(kept.notes()) == 1


def test_a_key_leaves_a_window_alone_that_covers_its_screen(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, _ = written(tmp_path)
    visit = tmp_path / "lobby.visit"
    env = screen_env(BESIDE + WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), halves=BESIDE) as player:
        player.shows(1)
        player.key("F8")
        time.sleep(0.5)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert len(kept.showings()) == 1
        assert kept.notes() == []


def test_where_nothing_can_be_asked_the_window_is_not_said_to_be_back() -> None:
    lost = SimpleNamespace(whole=False, window=SimpleNamespace())
    assert not PatternWindow.put_back(cast("PatternWindow", lost))
