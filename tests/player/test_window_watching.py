"""Light watched in the windows, by real keys and a meter's program: seen on screen, never kept."""

from __future__ import annotations

import json
import shlex
import sys
from pathlib import Path

import pytest

from player.windows.controls.watching import NEEDS_METER
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, frames_of, until

pytestmark = pytest.mark.gl

OPERATOR, PATTERN, HEIGHT = 800, 320, 450
PROGRAM = Path(__file__).with_name("held_meter.py")
SEQUENCE = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - {show: {window: {area: 50 %}}, label: White, read: colour}
  - {show: {window: {area: 50 %, level: 50 %}}, label: Grey 50 %, read: colour}
"""


class Watched:
    """The player with a meter whose light the test says, and what the player tells of it."""

    def __init__(self, env: dict[str, str], folder: Path, **options: object) -> None:
        self.sequence, self.visit = folder / "lobby.yaml", folder / "lobby.visit"
        self.sequence.write_text(SEQUENCE)
        self._light, self._lives = folder / "light", folder / "lives"
        program = shlex.join([sys.executable, str(PROGRAM), str(self._light)])
        self.playing = Playing(
            env,
            folder,
            sequence=str(self.sequence),
            visit=str(self.visit),
            lives=str(self._lives),
            **({"program": program} | options),
        )

    def light(self, luminance: float, x: float, y: float, scatter: float = 0.001) -> None:
        """What the meter reads from now on."""
        new = self._light.with_suffix(".new")
        new.write_text(f"{luminance} {x} {y} {scatter}")
        new.replace(self._light)

    @property
    def told(self) -> dict[str, object]:
        lines = self._lives.read_text().splitlines() if self._lives.exists() else []
        return json.loads(lines[-1]) if lines else {"live": None, "notice": ""}

    def tells(self, **parts: str) -> None:
        """Wait until what is told of the light begins so."""

        def there() -> bool:
            self.playing.running()
            live = self.told["live"]
            return isinstance(live, dict) and all(
                live[name].startswith(part) for name, part in parts.items()
            )

        until(there, f"{parts} is told")

    def over(self) -> None:
        until(lambda: self.told["live"] is None, "it is watched no more")


def test_light_is_followed_as_it_changes_and_nothing_of_it_is_kept(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    watched = Watched(env, tmp_path, halves=OPERATOR)
    watched.light(100.0, 0.3127, 0.3290)
    white, grey = frames_of(watched.sequence, PATTERN, HEIGHT)
    with watched.playing as player:
        player.shows(1)
        player.key("F12")
        watched.tells(mean_of="mean of 4 readings", colour="x 0.31", hue="there")
        watched.light(80.0, 0.3200, 0.3290)
        watched.tells(change="Since the beginning: 20 % darker; colour moved by 0.005")
        watched.tells(mean_of="mean of ", apart="delta E 2000 5", hue="too red")
        player.sees(white, OPERATOR)
        player.key("F12")
        watched.over()
        player.keeps(lambda visit: not visit.readings() and not visit.notes(), "nothing is kept")
        player.key("F12")
        watched.tells(mean_of="mean of 2 readings")
        watched.light(100.0, 0.3127, 0.3290, 0.0)
        player.key("Return")
        watched.over()
        player.sees(white, OPERATOR)
        player.key("Return")
        player.shows(2)
        player.keeps(lambda visit: [each.luminance for each in visit.readings()] == [100], "one")
        player.sees(grey, OPERATOR)
        watched.light(20.84, 0.3127, 0.3290, 0.0)
        player.key("F12")
        watched.tells(target="target 19.13", light="9.0 % too bright")
        player.key("F11")
        player.key("Escape")
        watched.over()
        player.keeps(lambda visit: len(visit.readings()) == 1, "the white alone is kept")


def test_with_one_screen_the_strip_tells_it_over_the_bottom_of_the_picture(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(800, HEIGHT, 24)
    watched = Watched(env, tmp_path)
    watched.light(100.0, 0.3127, 0.3290)
    white, _ = frames_of(watched.sequence, 800, HEIGHT)
    with watched.playing as player:
        player.shows(1)
        player.key("F12")
        watched.tells(mean_of="mean of 4 readings")
        pixels = white.pixels()
        covered = (player.see(0, 0, 800, HEIGHT) != pixels).any(axis=(1, 2))
        rows = 800 * 260 // 1200  # units of 1200 in the width
        assert covered[HEIGHT - rows :].mean() > 0.5
        assert not covered[: HEIGHT - rows].any()
        player.key("F12")
        watched.over()
        player.sees(white)
        player.keeps(lambda visit: not visit.readings(), "nothing is kept")
        player.key("Return")
        player.keeps(lambda visit: len(visit.readings()) == 1, "Enter reads as ever")
    with Visit.open(watched.visit, write=False) as visit:
        (reading,) = visit.readings()
        assert visit.showing(reading.showing).guard == "verified", "the strip lies over it no more"


def test_where_readings_are_typed_the_key_says_that_it_needs_a_meter(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    watched = Watched(env, tmp_path, halves=OPERATOR, program="")
    with watched.playing as player:
        player.shows(1)
        player.key("F12")
        until(lambda: watched.told["notice"] == NEEDS_METER, "it is said")
