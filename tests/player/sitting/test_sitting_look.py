"""A sitting's page by real keys: large, dim, and so it stays from the page to the run and back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.player.playing import Environment, Playing, until
from tests.player.two_outputs import HEIGHT, WIDTH, two_outputs

pytestmark = pytest.mark.gl

WHITE = """
title: White
signal: sdr8
steps:
  - {show: {field: {level: 100 %}}, label: White, read: luminance, settle: 0 s}
"""
PLAN = """
title: A short sitting
tasks:
  - play: white.yaml
  - tell: Switch local dimming off.
"""
DIM = 60


@pytest.fixture
def arguments(tmp_path: Path) -> list[str]:
    (tmp_path / "white.yaml").write_text(WHITE)
    (tmp_path / "short.yaml").write_text(PLAN)
    visit = str(tmp_path / "lobby.visit")
    return ["visit", visit, "--plan", str(tmp_path / "short.yaml")]


def lit(playing: Playing) -> int:
    """The brightest code on the operator's screen."""
    return int(playing.see(0, 0, WIDTH, HEIGHT).max())


def test_what_was_chosen_on_the_page_holds_in_the_run_and_covers_its_own_screen_alone(
    tmp_path: Path, arguments: list[str]
) -> None:
    visit = tmp_path / "lobby.visit"
    with (
        two_outputs(tmp_path) as screens,
        Playing(
            screens.env, tmp_path, visit=str(visit), arguments=[*arguments, "--screen", "2"]
        ) as playing,
    ):
        until(lambda: lit(playing) > 200, "the page is up")
        usual = playing.see(0, 0, WIDTH, HEIGHT)
        playing.key("F11")
        until(
            lambda: bool((playing.see(0, 0, WIDTH, HEIGHT) != usual).any()), "the letters are large"
        )
        playing.key(*["ctrl+minus"] * 5)
        until(lambda: 0 < lit(playing) <= DIM, "the page is dim")
        playing.key("ctrl+f")
        until(lambda: playing.see(0, 0, 8, 8).max() > 0, "the page covers its screen")
        assert playing.see(WIDTH, 0, WIDTH, HEIGHT).max() == 0, "the pattern's stays black"
        playing.key("Return")
        playing.keeps(lambda kept: len(kept.showings()) == 1, "the step is up")
        until(lambda: bool((playing.see(WIDTH, 0, WIDTH, HEIGHT) == 255).all()), "it is white")
        assert 0 < lit(playing) <= DIM
        playing.key("ctrl+f", *["ctrl+plus"] * 5)
        until(lambda: lit(playing) > 200, "the run's window is bright again")
        assert playing.see(0, 0, 8, 8).max() == 0
        assert (playing.see(WIDTH, 0, WIDTH, HEIGHT) == 255).all()
        playing.key("Escape", "Escape")
        until(lambda: playing.see(WIDTH, 0, WIDTH, HEIGHT).max() == 0, "the page is back")
        until(lambda: lit(playing) > 200, "and as bright as the run's window was")
        playing.key("Escape", "Escape")
        assert playing.ended() == 0, playing.said()


def test_with_one_screen_the_page_over_the_black_pattern_is_large_and_dim_too(
    screen_env: Environment, tmp_path: Path, arguments: list[str]
) -> None:
    visit = tmp_path / "lobby.visit"
    env = screen_env(WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, visit=str(visit), arguments=arguments) as playing:
        until(lambda: lit(playing) > 200, "the page is up")
        usual = playing.see(0, 0, WIDTH, HEIGHT)
        playing.key(*["ctrl+minus"] * 5)
        until(lambda: 0 < lit(playing) <= DIM, "the page is dim")
        dim = playing.see(0, 0, WIDTH, HEIGHT)
        playing.key("F11")
        until(
            lambda: bool((playing.see(0, 0, WIDTH, HEIGHT) != dim).any()), "the letters are large"
        )
        assert lit(playing) <= DIM
        playing.key("Return")
        until(lambda: bool((playing.see(0, 0, WIDTH, HEIGHT) == 255).all()), "it is white all over")
        playing.key("Escape", "Escape")
        until(lambda: 0 < lit(playing) <= DIM, "the page is back, and as dim")
        playing.key("F11", *["ctrl+plus"] * 5)
        until(lambda: lit(playing) > 200, "it is as it was")
        assert usual.max() == lit(playing)
        playing.key("Escape", "Escape")
        assert playing.ended() == 0, playing.said()
