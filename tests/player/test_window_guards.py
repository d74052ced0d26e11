"""Each alteration on the way to the screen is seen by its guard, and a clean screen is verified."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from player.windows.pattern.guards import MOST_IMPORTANT
from readings.visit.visit import Visit
from tests.needs import program
from tests.player.playing import Environment, Playing
from tests.test_docs import code, marked_table

pytestmark = pytest.mark.gl

HERE = Path(__file__).parent

SEEN: dict[str, dict[str, str]] = {
    "nothing": {},
    "size": {"size": "lost its size: it has 400x300 pixels, and the screen 640x360"},
    "mode": {"size": "the screen's mode is 1280x720 and the picture 640x360"},
    "depth": {
        "depth": "8 / 8 / 8 bits for red, green and blue, and the codes have 10",
        "back buffer": "pixels are wrong",
    },
    "srgb": {
        "srgb": "converts to sRGB (the framebuffer is marked sRGB)",
        "back buffer": "code (188, 188, 188) instead of (128, 128, 128)",
    },
    "dither": {"dither": "OpenGL's dithering is on"},
    "drawn over": {"back buffer": "1 of 230400 pixels are wrong; the first is at x 320, y 179"},
    "drawn later": {},
    "driver dither": {"driver dither": "the driver's dither is on"},
    "gamma ramp": {"gamma ramp": "gamma ramp changes the codes"},
    "night light": {
        "gamma ramp": "gamma ramp changes the codes",
        "night light": "the gamma ramp is warm",
    },
    "refresh": {"refresh": "but swaps come at 75 Hz"},
    "on top": {"on top": "another window of 90x60 pixels at 600, 20 lies over the pattern"},
}
"""What is injected, the guards that see it, and words of what they say."""


def injected(env: dict[str, str], name: str) -> dict[str, object]:
    done = subprocess.run(
        [sys.executable, str(HERE / "injecting_driver.py"), name],
        env=env,
        capture_output=True,
        text=True,
        timeout=100,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("name", SEEN)
def test_what_is_injected_is_seen_by_its_guards_and_by_no_other(
    screen_env: Environment, name: str
) -> None:
    program("xrandr", "sets gamma ramps")
    found = injected(screen_env(640, 360, 24), name)
    checks = found["checks"]
    assert isinstance(checks, dict)
    seen = {each: why for each, (state, why) in checks.items() if state == "altered"}
    assert seen.keys() == SEEN[name].keys()
    assert all(words in seen[each] for each, words in SEEN[name].items())
    assert found["state"] == ("altered" if seen else "verified")
    first = next((each for each in MOST_IMPORTANT if each in seen), "back buffer")
    assert checks[first][1] in str(found["why"])


def test_a_clean_screen_claims_nothing_of_what_it_cannot_see(screen_env: Environment) -> None:
    checks = injected(screen_env(640, 360, 24), "nothing")["checks"]
    assert isinstance(checks, dict)
    states = {name: state for name, (state, _) in checks.items()}
    unknown = {"night light", "hdr", "driver dither", "refresh"}
    assert {name for name, state in states.items() if state == "unknown"} == unknown
    assert {name for name, state in states.items() if state == "verified"} == {
        *MOST_IMPORTANT
    } - unknown - {"late frames"}


def test_a_framebuffer_of_another_depth_is_refused(screen_env: Environment, tmp_path: Path) -> None:
    path, visit = tmp_path / "grey.yaml", tmp_path / "lobby.visit"
    path.write_text("{title: Grey, signal: sdr8, steps: [{show: {field: {level: 50 %}}}]}")
    env = screen_env(640, 360, 16)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit)) as player:
        assert player.ended() == 1
    assert "The X server runs at depth 16, so its framebuffer has fewer than 8" in player.said()
    assert not visit.exists()


def test_the_page_has_every_guard_and_what_is_injected_here_against_what_is_seen() -> None:
    listed = [code(row[0])[0] for row in marked_table("docs/guards.md", "guards")]
    assert sorted(listed) == sorted(MOST_IMPORTANT)
    rows = marked_table("docs/guards.md", "injected")
    told = {code(row[0])[0]: set(code(row[2])) for row in rows}
    assert told == {**{name: set(SEEN[name]) for name in SEEN}, "late frames": {"late frames"}}
    assert {code(row[0])[0]: row[3] for row in rows if row[3] != "altered"} == {
        "nothing": "verified",
        "drawn later": "verified",
        "late frames": "a note",
    }


STILL = """
title: A grey
signal: sdr8
steps:
  - show: {field: {level: 50 %}}
    read: luminance
"""


def test_a_window_that_comes_later_alters_only_what_is_read_beneath_it(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit = tmp_path / "grey.yaml", tmp_path / "lobby.visit"
    path.write_text(STILL)
    env = screen_env(640, 360, 24)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit)) as player:
        player.shows(1)
        command = [sys.executable, str(HERE / "overlay.py"), "300", "150", "40", "30"]
        with subprocess.Popen(
            command, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE
        ) as overlay:
            assert overlay.stdout is not None
            assert overlay.stdout.readline() == b"up\n"
            player.shows(1, times=2)
            overlay.communicate(b"")
        player.shows(1, times=3)
        player.key("Escape", "Escape")
        player.ended()
    with Visit.open(visit, write=False) as kept:
        showings = kept.showings()
    assert [each.guard for each in showings] == ["verified", "altered", "verified"]
    assert "another window of 40x30 pixels at 300, 150" in showings[1].guard_why
    assert [each.facts.get("goes_on_from") for each in showings] == [None, 1, 1]
    assert len({each.frame_sha256 for each in showings}) == 1
    assert showings[1].facts["guards"]["on top"][0] == "altered"
    assert showings[2].facts["guards"]["on top"][0] == "verified"


MOVING = """
title: A box
signal: sdr8
steps:
  - show: {moving-box: {along: row, place: 50 %}}
    read: {tally: "light hops"}
  - show: {field: {level: 50 %}}
"""


def test_a_slow_draw_skips_refreshes_and_the_showing_has_their_number(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit = tmp_path / "box.yaml", tmp_path / "lobby.visit"
    path.write_text(MOVING)
    env = screen_env(640, 360, 24)
    options = {"sequence": str(path), "visit": str(visit), "slow": 0.1}
    with Playing(env, tmp_path, **options) as player:
        player.shows(1)
        time.sleep(3)
        player.key("Right")
        player.shows(2)
        player.key("Escape", "Escape")
        player.ended()
    with Visit.open(visit, write=False) as kept:
        (note,) = [each for each in kept.notes() if "skipped" in each.text]
        first = kept.showings()[0].id
    assert note.showing == first
    skipped, due = (int(word) for word in note.text.split() if word.isdigit())
    # a draw of 100 ms leaves at least 5 of 6 refreshes at 60 Hz without one of their own
    assert due >= 60
    assert 0.7 * due < skipped < due
