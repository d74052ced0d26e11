"""Which screen is taken, and when a full-screen window is not exact."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import pytest

from player.windows.errors import WindowError
from player.windows.ramps import straight as is_straight
from player.windows.screens import choose, refresh_of, require_whole


@dataclass
class Mode:
    width: int = 1920
    height: int = 1080
    rate: float = 60.0


@dataclass
class Screen:
    x: int = 0
    y: int = 0
    width: int = 1920
    height: int = 1080
    mode: Mode | None = None

    def get_mode(self) -> Mode | None:
        return self.mode


LAPTOP = Screen()
WALL = Screen(x=1920, width=3840, height=2160, mode=Mode(3840, 2160, 59.94006))
MIRROR = Screen()


def test_the_last_screen_shows_the_pattern_and_the_first_other_one_the_operator_window() -> None:
    places = choose([LAPTOP, WALL], None)
    assert (places.pattern, places.operator, places.number) == (WALL, LAPTOP, 2)
    places = choose([LAPTOP, WALL], 1)
    assert (places.pattern, places.operator) == (LAPTOP, WALL)


def test_a_single_screen_and_a_mirrored_one_have_no_operator_window() -> None:
    assert choose([LAPTOP], None).operator is None
    assert choose([LAPTOP, MIRROR], None).operator is None


@pytest.mark.parametrize("number", [0, -1, 3])
def test_a_screen_that_is_not_there_is_refused(number: int) -> None:
    with pytest.raises(WindowError, match="there are screens 1 to 2"):
        choose([LAPTOP, WALL], number)


def test_the_refresh_is_an_exact_ratio_and_assumed_where_the_screen_does_not_tell() -> None:
    assert refresh_of(WALL) == (Fraction(60000, 1001), True)
    assert refresh_of(Screen(mode=Mode(rate=50.0))) == (Fraction(50), True)
    assert refresh_of(Screen(mode=Mode(rate=0))) == (Fraction(60), False)
    assert refresh_of(LAPTOP) == (Fraction(60), False)


def test_a_window_that_is_the_whole_screen_is_taken() -> None:
    require_whole(WALL, (3840, 2160), (1920, 0))
    turned = Screen(width=1080, height=1920, mode=Mode(1920, 1080))
    require_whole(turned, (1080, 1920), (0, 0))


@pytest.mark.parametrize("size", [(1920, 1080), (3840, 2159), (2160, 3840)])
def test_a_scaled_window_is_refused(size: tuple[int, int]) -> None:
    with pytest.raises(WindowError, match=r"where the screen has 3840x2160.*100 %"):
        require_whole(WALL, size, (1920, 0))


def test_a_screen_whose_desktop_is_scaled_is_refused() -> None:
    scaled = Screen(width=1920, height=1080, mode=Mode(3840, 2160))
    with pytest.raises(WindowError, match="nothing it shows would be exact"):
        require_whole(scaled, (1920, 1080), (0, 0))


def test_a_window_on_another_screen_is_refused() -> None:
    with pytest.raises(WindowError, match="stands at 0, 0"):
        require_whole(WALL, (3840, 2160), (0, 0))


@pytest.mark.parametrize("size", [256, 1024, 4096])
def test_a_straight_gamma_ramp_is_told_from_a_bent_one(size: int) -> None:
    straight = [round(i * 65535 / (size - 1)) for i in range(size)]
    assert is_straight(straight)
    assert is_straight([i * (65536 // size) for i in range(size)])
    assert not is_straight([value * 98 // 100 for value in straight])
    assert not is_straight([round(65535 * (i / (size - 1)) ** 1.03) for i in range(size)])
