"""The operator window's look by real keys: large letters, dimmer, and the whole of its screen."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, frames_of, until

pytestmark = pytest.mark.gl

OPERATOR, PATTERN, HEIGHT = 640, 320, 400
SEQUENCE = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {window: {level: 60 %, area: 25 %}}, label: Quarter, read: luminance, settle: 0 s}
  - {show: {window: {level: 60 %, area: 25 %}}, label: Quarter again, read: luminance, settle: 0 s}
"""


def test_the_look_changes_and_nothing_asked_typed_or_shown_goes_by_it(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    path = tmp_path / "lobby.yaml"
    path.write_text(SEQUENCE)
    _, second = frames_of(path, PATTERN, HEIGHT)
    visit = tmp_path / "lobby.visit"
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit), halves=OPERATOR) as player:

        def seen() -> np.ndarray:
            return player.see(0, 0, OPERATOR, HEIGHT)

        def darker_than(most: int) -> bool:
            return 0 < int(seen().max()) < most

        def rim() -> int:
            """Codes in the corner of the screen, where no window is that does not cover it."""
            return int(player.see(0, 0, 8, 8).max())

        player.shows(1)
        until(lambda: seen().max() > 200, "there is something to read")
        player.type("400")
        player.key("Return")
        player.shows(2)
        player.type("4000")
        player.key("Return")  # ten times: it is asked about
        # a key that has no more to dim is no harm, and up and down again each level is met
        player.key(*["ctrl+minus"] * 7)
        until(lambda: darker_than(61), "it is as dim as can be")
        player.key("F11")
        until(lambda: darker_than(61), "it is as dim in large letters")
        assert rim() == 0
        player.key("ctrl+f")
        until(lambda: rim() > 0, "it covers its screen")
        player.sees(second, OPERATOR)
        player.key(*["ctrl+plus"] * 7)
        until(lambda: seen().max() > 230, "it is bright again")
        assert seen().max() < 245
        assert seen().mean() < 25
        player.key("ctrl+f")
        until(lambda: rim() == 0, "it is as large as before")
        player.sees(second, OPERATOR)
        player.key("F11")
        assert len(readings(player)) == 1
        player.key("Return")  # the question still stands, and this answers it
        player.keeps(lambda kept: len(kept.readings()) == 2, "it is kept as it was typed")
        player.keeps(lambda kept: kept.readings()[-1].luminance == 4000, "the same number")
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()


def readings(player: Playing) -> list[object]:
    with Visit.open(player.visit_path, write=False) as kept:
        return list(kept.readings())


def test_with_one_screen_nothing_but_the_strip_covers_the_pattern(
    screen_env: Environment, tmp_path: Path
) -> None:
    env = screen_env(PATTERN * 2, HEIGHT, 24)
    path = tmp_path / "lobby.yaml"
    path.write_text(SEQUENCE)
    first, _ = frames_of(path, PATTERN * 2, HEIGHT)
    visit = tmp_path / "lobby.visit"
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit)) as player:
        player.shows(1)
        above = first.pixels()[: HEIGHT // 2]
        for key in ("ctrl+f", "F11"):
            player.key(key)
            until(
                lambda: not bool((player.see(0, 0, PATTERN * 2, HEIGHT) == first.pixels()).all()),
                "the strip says why not",
            )
            assert (player.see(0, 0, PATTERN * 2, HEIGHT // 2) == above).all()
            player.key("Tab", "Tab")  # any key takes what was told away
            player.sees(first)
        player.key("F3")
        until(lambda: player.see(0, HEIGHT - 40, PATTERN, 40).max() > 150, "the strip is there")
        player.key(*["ctrl+minus"] * 5)
        until(
            lambda: 0 < player.see(0, HEIGHT - 40, PATTERN, 40).max() <= 60, "the strip is dim, too"
        )
        assert (player.see(0, 0, PATTERN * 2, HEIGHT // 2) == above).all()
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
