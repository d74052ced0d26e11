"""What is on the screen is the frame, at 8 and at 10 bits; where it is not, the guard says so."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.windows.pattern.shader import FRAGMENT
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing

pytestmark = pytest.mark.gl

WIDTH, HEIGHT = 640, 360
KINDS = """
title: Every kind of row, once
signal: {signal}
steps:
  - show: {{ramp: {{}}}}
  - show: {{ramp: {{axis: y}}}}
  - show: {{checkerboard: {{}}}}
  - show: {{window: {{area: 7 %}}}}
  - show: {{ladder: {{}}}}
  - show: {{near-black: {{}}}}
  - show: {{field: {{level: 50 %}}}}
"""
DEPTHS = [(24, "sdr8", "full", 8), (30, "pq10", "narrow", 10)]


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str], Path]:
    def write(text: str) -> Path:
        path = tmp_path / "sequence.yaml"
        path.write_text(text)
        return path

    return write


@pytest.mark.parametrize(("depth", "signal", "range_", "bits"), DEPTHS)
def test_every_pixel_of_every_step_is_on_the_screen(
    screen_env: Environment,
    written: Callable[[str], Path],
    tmp_path: Path,
    depth: int,
    signal: str,
    range_: str,
    bits: int,
) -> None:
    path = written(KINDS.format(signal=signal))
    sequence = sequences.load(str(path))
    shown = sequence.signal.shown_at(bits, range_)
    env = screen_env(WIDTH, HEIGHT, depth)
    visit = tmp_path / "visit.litfield"
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), range_=range_) as player:
        for step in sequence.steps:
            player.shows(step.number)
            player.sees(step.pattern.frame(Canvas(WIDTH, HEIGHT), shown))
            player.key("Right")
        player.key("Return")
        assert player.ended() == 0, player.said()
    assert f"{WIDTH}x{HEIGHT} pixels of {bits} bits" in player.said()
    with Visit.open(visit, write=False) as kept:
        assert [each.guard for each in kept.showings()] == ["verified"] * len(sequence.steps)


WHOLE = WIDTH * HEIGHT
FAULTS = {
    "nothing": ("vec3(code) / largest", "vec3(code) / largest", f"all {WHOLE} pixels"),
    "one code": ("vec3(code) /", "(vec3(code) + 1.0) /", f"{WHOLE} of {WHOLE} pixels are wrong"),
    "one pixel": (
        "vec3(code) /",
        "(at == ivec2(3, 350) ? vec3(0) : vec3(code)) /",
        f"1 of {WHOLE} pixels are wrong; the first is at x 3, y 9: code (0, 0, 0)",
    ),
    "a row too high": ("height - 1 - at.y", "max(0, height - 2 - at.y)", "pixels are wrong"),
    "channels": ("int(row)), 0).rgb", "int(row)), 0).gbr", f"{WHOLE} of {WHOLE} pixels are wrong"),
}


@pytest.mark.parametrize(("depth", "signal", "range_", "bits"), DEPTHS)
def test_a_wrong_picture_is_found_out(
    screen_env: Environment,
    written: Callable[[str], Path],
    depth: int,
    signal: str,
    range_: str,
    bits: int,
) -> None:
    assert all(meant in FRAGMENT for meant, _, _ in FAULTS.values())
    path = written(
        f"{{title: One step, signal: {signal}, steps: [{{show: {{window: {{area: 7 %, "
        "level: {r: 30 %, g: 50 %, b: 70 %}, background: {r: 1 %, g: 4 %, b: 9 %}}}}]}"
    )
    options = {
        "sequence": str(path),
        "range_": range_,
        "shaders": {
            name: FRAGMENT.replace(meant, instead) for name, (meant, instead, _) in FAULTS.items()
        },
    }
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("guard_driver.py")), json.dumps(options)],
        env=screen_env(WIDTH, HEIGHT, depth),
        capture_output=True,
        text=True,
        timeout=100,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    guards = json.loads(done.stdout)
    for name, (_, _, said) in FAULTS.items():
        found, state, why = guards[name]
        assert (found, state) == (bits, "verified" if name == "nothing" else "altered"), name
        assert said in why


def test_a_gamma_ramp_that_changes_codes_is_found_out(
    screen_env: Environment, written: Callable[[str], Path], tmp_path: Path
) -> None:
    path = written("{title: Ramp, signal: sdr8, steps: [{show: {field: {level: 50 %}}}]}")
    env = screen_env(WIDTH, HEIGHT, 24)

    def gamma(value: str) -> None:
        command = ["xrandr", "--output", "screen", "--gamma", value]
        subprocess.run(command, env=env, check=True, timeout=30)

    for value, state in (("1:1:1", "verified"), ("1:1:0.8", "altered")):
        visit = tmp_path / f"{state}.litfield"
        try:
            gamma(value)
            with Playing(env, tmp_path, sequence=str(path), visit=str(visit)) as player:
                player.shows(1)
        finally:
            gamma("1:1:1")
        with Visit.open(visit, write=False) as kept:
            (showing,) = kept.showings()
        assert showing.guard == state
        assert ("gamma ramp" in showing.guard_why) == (state == "altered")
