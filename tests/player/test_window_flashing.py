"""However keys are hammered, the real screen does not flash: seen from outside the player."""

from __future__ import annotations

import itertools
import subprocess
import time
from pathlib import Path

import numpy as np
import pytest

from player.run.gate import CHANGE_GAP
from tests.player.flashing_rule import flashes, most_flashes, recorded
from tests.player.playing import Environment, Playing

WIDTH, HEIGHT = 640, 360
WHITE = """
title: White
signal: sdr8
settle: 0 s
steps:
  - each: {{level: [100 %, 0 %, 100 %, 0 %, 100 %, 0 %, 100 %, 0 %, 100 %, 0 %]}}
    show: {{field: {{}}}}
    read: {read}
"""
COMBS = """
title: Combs
signal: sdr8
settle: 0 s
steps:
  - show: {moving-box: {along: row, place: 50 %, speed: 4 s/screen, ends: stop}}
    read: {tally: hops}
  - show: {comb: {zones: 20, spacing: 3, place: 25 %}}
    read: {count: groups}
  - each: {level: [1 %, 2 %, 3 %, 4 %, 5 %, 6 %, 7 %, 8 %, 9 %, 10 %]}
    show: {field: {}}
    read: count
"""
TEXT_AT_MOST = 0.02
"""Share of the screen that words on the strip may change more than three times a second."""


def hammered(player: Playing, keys: list[str], apart: float) -> tuple[list[float], np.ndarray]:
    """Press keys so many seconds apart, and record the screen meanwhile."""
    command = ["xdotool", "key", "--delay", str(round(1000 * apart)), *keys]
    with subprocess.Popen(command, env=player.env) as pressing:
        found = recorded(lambda: player.see(0, 0, WIDTH, HEIGHT), lambda: pressing.poll() is None)
        assert pressing.returncode == 0
    player.running()
    return found


def share_that_flashes(times: list[float], frames: np.ndarray) -> float:
    return float((flashes(times, frames) > 3).mean())


def test_the_rule_finds_what_flashes_and_nothing_else() -> None:
    at = np.arange(0, 4, 0.02)
    for hertz, found in ((2, 2), (3, 3), (5, 5), (9, 9)):
        wave = [(float(t), float(int(2 * hertz * t) % 2)) for t in at]
        assert most_flashes(wave) == pytest.approx(found, abs=0.5)
    assert most_flashes([(float(t), 0.05 * (i % 2)) for i, t in enumerate(at)]) == 0
    assert most_flashes([(float(t), 0.9 + 0.1 * (i % 2)) for i, t in enumerate(at)]) == 0
    ramp = [(float(t), min(float(t), 1.0)) for t in at]
    assert most_flashes(ramp) == 0.5, "one change, however many steps it takes"


@pytest.mark.gl
@pytest.mark.parametrize(
    "key",
    [
        "F1",
        "all",
        *(
            pytest.param(each, marks=pytest.mark.campaign)
            for each in ("F3", "F4", "Tab", "F9", "x BackSpace")
        ),
    ],
)
def test_the_strip_comes_and_goes_no_more_often_than_a_picture_may(
    screen_env: Environment, tmp_path: Path, key: str
) -> None:
    path, visit = tmp_path / "white.yaml", tmp_path / "lobby.visit"
    path.write_text(WHITE.format(read="count"))
    keys = ["F1", "F3", "F4", "Tab", "F9", "Escape", "Tab"] if key == "all" else key.split()
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        player.shows(1)
        times, frames = hammered(player, list(itertools.islice(itertools.cycle(keys), 30)), 0.1)
    assert len(times) > 30, "seen often enough to tell"
    assert frames.min(axis=0).mean() < 0.9, "the strip came up"
    assert share_that_flashes(times, frames) < TEXT_AT_MOST
    # where the strip's ground lies, no word does
    assert flashes(times, frames[:, -2:, :]).max() <= 3


@pytest.mark.gl
def test_a_meter_that_fails_all_the_time_does_not_make_the_strip_flash(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit = tmp_path / "white.yaml", tmp_path / "lobby.visit"
    path.write_text(WHITE.format(read="luminance"))
    with Playing(
        screen_env(WIDTH, HEIGHT, 24),
        tmp_path,
        sequence=str(path),
        visit=str(visit),
        meter=[None] * 60,
        fast=True,
    ) as player:
        player.shows(1)
        times, frames = hammered(player, ["F6"] * 60, 0.05)
    assert frames.min(axis=0).mean() < 0.9, "the strip came up"
    assert share_that_flashes(times, frames) < TEXT_AT_MOST
    assert flashes(times, frames[:, -2:, :]).max() <= 3


@pytest.mark.gl
@pytest.mark.parametrize(
    "keys",
    [
        ["1", "Return", "F5"],
        *(
            pytest.param(each, marks=pytest.mark.campaign)
            for each in (["1", "Return"], ["Right"], ["Right", "Left"], ["F5"], ["F5", "Right"])
        ),
    ],
)
def test_pictures_follow_one_another_no_faster_than_they_may(
    screen_env: Environment, tmp_path: Path, keys: list[str]
) -> None:
    path, visit = tmp_path / "white.yaml", tmp_path / "lobby.visit"
    path.write_text(WHITE.format(read="count"))
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        player.shows(1)
        times, frames = hammered(player, list(itertools.islice(itertools.cycle(keys), 60)), 0.05)
    assert np.ptp(frames, axis=0).max() > 0.5, "something was shown"
    assert share_that_flashes(times, frames) < TEXT_AT_MOST


@pytest.mark.gl
def test_combs_follow_one_another_no_faster_than_pictures_may(
    screen_env: Environment, tmp_path: Path
) -> None:
    path, visit = tmp_path / "combs.yaml", tmp_path / "lobby.visit"
    path.write_text(COMBS)
    with Playing(
        screen_env(WIDTH, HEIGHT, 24), tmp_path, sequence=str(path), visit=str(visit)
    ) as player:
        player.shows(1)
        hops = ["xdotool", "key", "--delay", "250", *["space"] * 15]
        subprocess.run(hops, env=player.env, check=True, timeout=60)
        time.sleep(2)  # the box comes to its end: before that, Enter would ask
        player.key("Return")
        player.shows(2)
        times, frames = hammered(player, ["0", "Return"] * 60, 0.03)
    above = frames[:, : frames.shape[1] // 2, :]  # the strip never reaches there
    changed = (above[1:] != above[:-1]).any(axis=(1, 2)).nonzero()[0] + 1
    assert len(changed) >= 3, "several combs were shown"
    # a change came somewhere between two looks: this is as far apart as two can have been
    apart = [times[later] - times[earlier - 1] for earlier, later in itertools.pairwise(changed)]
    assert min(apart) >= CHANGE_GAP
    assert flashes(times, above).max() <= 3
