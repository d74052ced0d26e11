"""Whether keys come to the player, and how it is told where they do not."""

from __future__ import annotations

import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from player.windows import operator, strip
from player.windows.focus import LOST, LOST_AFTER, Focus
from player.windows.view import view_of
from readings.visit.visit import Visit
from tests.player.desk import Desk
from tests.player.playing import Environment, Playing, until
from tests.player.recording import Clock
from tests.player.test_window_layout import PaperBoard

SEQUENCE = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 20 %}}, read: luminance}
  - {show: {field: {level: 40 %}}, read: luminance}
"""
OTHER = """
import pyglet
window = pyglet.window.Window(20, 20, style="borderless", caption="another program")
print("ready", flush=True)
pyglet.app.run()
"""
OPERATOR, PATTERN, HEIGHT = 640, 320, 400


@pytest.fixture
def focus(clock: Clock) -> Focus:
    return Focus(clock)


def test_the_keyboard_is_lost_where_no_window_has_had_it_for_a_moment(
    focus: Focus, clock: Clock
) -> None:
    assert not focus.lost, "nobody told anything"
    focus.came("pattern")
    focus.went("pattern")
    assert not focus.lost
    clock.now += LOST_AFTER
    assert focus.lost
    focus.came("operator")
    assert not focus.lost


@pytest.mark.parametrize("order", ["came first", "went first"])
def test_from_one_window_to_the_other_it_is_not_lost(
    focus: Focus, clock: Clock, order: str
) -> None:
    focus.came("pattern")
    if order == "came first":
        focus.came("operator")
        focus.went("pattern")
    else:
        focus.went("pattern")
        focus.came("operator")
    clock.now += 5
    assert not focus.lost


def test_a_key_that_comes_shows_that_it_is_here(focus: Focus, clock: Clock) -> None:
    focus.came("pattern")
    focus.went("pattern")
    clock.now += 5
    focus.key_came()
    assert not focus.lost


def test_it_is_told_over_all_else_in_both_windows(visit: Visit) -> None:
    desk = Desk(SEQUENCE, visit)
    desk.controls.keys_lost = True
    view = view_of(desk.controls, "")
    assert desk.controls.wants_strip
    window, band, none = PaperBoard(), PaperBoard(1200), PaperBoard()
    operator._write(window, view, None)
    strip._write(band, view)
    for board in (window, band):
        assert [each.size >= 50 for each in board.lines if each.text == LOST] == [True]
    operator._write(none, replace(view, keys_lost=False), None)
    assert LOST not in none.texts


def test_a_click_brings_the_keyboard_back(screen_env: Environment, tmp_path: Path) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    path, visit = tmp_path / "lobby.yaml", tmp_path / "lobby.visit"
    path.write_text(SEQUENCE)
    options = {"sequence": str(path), "visit": str(visit), "halves": OPERATOR}
    with Playing(env, tmp_path, **options) as player:
        player.shows(1)
        player.focus("Litfield")
        time.sleep(1)
        before = player.see(0, 0, OPERATOR, HEIGHT)
        other = subprocess.Popen(
            [sys.executable, "-c", OTHER], env=env, stdout=subprocess.PIPE, text=True
        )
        try:
            assert other.stdout is not None
            assert other.stdout.readline() == "ready\n"
            player.focus("another program")

            def told() -> bool:
                changed = player.see(0, 0, OPERATOR, HEIGHT) != before
                return bool(changed.any(axis=(0, 2)).mean() > 0.9)

            until(told, "a band goes across the window")
            assert player.see(0, 0, OPERATOR, HEIGHT).mean() < 25
            click = ["xdotool", "mousemove", "300", "150", "click", "1"]
            subprocess.run(click, env=env, check=True, timeout=30)
            until(lambda: not told(), "it is gone")
            player.type("8")
            player.key("Return")
            player.keeps(lambda kept: len(kept.readings()) == 1, "the key has come")
        finally:
            other.terminate()
            other.communicate()
