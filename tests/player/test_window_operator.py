"""The operator window on a real screen: dark enough, clicked in, and pasted into."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from player.windows.controls.step_list import ROW, TOP
from player.windows.operator import HEIGHT as UNITS_HIGH
from player.windows.operator import WIDTH as UNITS_WIDE
from tests.player.playing import Environment, Playing, until

OPERATOR, PATTERN, HEIGHT = 640, 320, 400
SEQUENCE = """
title: Windows of the lobby wall
signal: sdr8
steps:
  - each: {area: [100 %, 50 %, 25 %, 10 %]}
    label: "{area} window"
    show: {window: {}}
    read: luminance
"""
CLIPBOARD = """
import pyglet
window = pyglet.window.Window(20, 20, style="borderless")
window.set_clipboard_text({!r})
print("ready", flush=True)
pyglet.app.run()
"""


def played(env: dict[str, str], folder: Path) -> Playing:
    path = folder / "lobby.yaml"
    path.write_text(SEQUENCE)
    visit = folder / "lobby.visit"
    return Playing(env, folder, sequence=str(path), visit=str(visit), halves=OPERATOR)


def xdotool(env: dict[str, str], *arguments: object) -> None:
    subprocess.run(["xdotool", *map(str, arguments)], env=env, check=True, timeout=30)


def looks_dark(player: Playing) -> None:
    picture = player.see(0, 0, OPERATOR, HEIGHT)
    assert picture.max() < 245
    assert picture.mean() < 25


def test_a_click_in_the_list_shows_that_step_and_every_state_is_dark(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    with played(env, tmp_path) as player:
        player.shows(1)
        until(lambda: player.see(0, 0, OPERATOR, HEIGHT).max() > 200, "there is something to read")
        time.sleep(0.5)
        before = player.see(0, 0, OPERATOR, HEIGHT)
        looks_dark(player)
        player.key("F4")
        until(lambda: bool((player.see(0, 0, OPERATOR, HEIGHT) != before).any()), "the list is up")
        looks_dark(player)
        # a board of so many units in a window of 94 % by 88 % of the screen
        left, top = int(OPERATOR * 0.03), int(HEIGHT * 0.05)
        scale = min(int(OPERATOR * 0.94) / UNITS_WIDE, int(HEIGHT * 0.88) / UNITS_HIGH)
        row_three = top + (TOP + 2.5 * ROW) * scale
        time.sleep(0.5)
        xdotool(env, "mousemove", left + round(300 * scale), round(row_three), "click", 1)
        player.shows(3)
        player.key("F5")
        time.sleep(0.5)
        looks_dark(player)
        player.key("F5", "Escape", "Escape")
        assert player.ended() == 0, player.said()


def test_several_values_are_pasted_from_another_program(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    with played(env, tmp_path) as player:
        player.shows(1)
        # one after another: a key that comes too soon after a change is refused
        for key, step, times in (("Right", 2, 1), ("Right", 3, 1), ("Left", 2, 2), ("Left", 1, 2)):
            player.key(key)
            player.shows(step, times)
        other = subprocess.Popen(
            [sys.executable, "-c", CLIPBOARD.format("400,5\n390\n380")],
            env=env,
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert other.stdout is not None
            assert other.stdout.readline() == "ready\n"
            player.focus("Litfield")
            time.sleep(0.5)
            player.key("ctrl+v")
            player.keeps(lambda visit: len(visit.readings()) == 3, "three readings are kept")
        finally:
            other.terminate()
            other.communicate()
        player.keeps(
            lambda visit: [each.luminance for each in visit.readings()] == [400.5, 390, 380],
            "each is what was pasted",
        )
