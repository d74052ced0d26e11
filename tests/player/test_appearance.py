"""Dimmer, brighter, large and full screen: what keys ask for, and what is left of each tone."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest

from player import keys
from player.keys import Look, look_of
from player.windows import board
from player.windows.appearance import SHARES, Appearance, dimmed, dimmed_picture
from player.windows.board import EDGE, FAINT, GROUND, STRONG, SUNK, TEXT
from player.windows.controls.panels import Panels
from player.windows.strip import Strip
from player.windows.thumbnail import BRIGHTEST

LETTERS = (FAINT, TEXT, STRONG)
BEHIND = ((FAINT, GROUND), (FAINT, SUNK), (TEXT, GROUND), (STRONG, SUNK), (STRONG, EDGE))
"""Letters and what they stand on."""
LEVELS = range(len(SHARES))


class Covering:
    """An operator window, as far as it covers its screen."""

    def __init__(self) -> None:
        self.covers = False

    def toggle_full_screen(self) -> None:
        self.covers = not self.covers


def luminance(tone: tuple[int, int, int]) -> float:
    """Relative luminance, 0 to 1, by WCAG 2.2 (from memory): sRGB, of 1 at white."""
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (code / 255 for code in tone)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[int, int, int], other: tuple[int, int, int], stray: float = 0.05) -> float:
    """WCAG's contrast ratio (from memory); its 0.05 is the stray light of a lit room."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + stray) / (dark + stray)


def test_black_and_white_have_the_ratio_of_21() -> None:
    assert contrast((255, 255, 255), (0, 0, 0)) == pytest.approx(21)


def test_there_are_five_levels_or_more_from_todays_to_letters_of_at_most_60() -> None:
    assert len(SHARES) >= 5
    assert [dimmed(tone, 0) for tone in LETTERS] == list(LETTERS)
    assert max(dimmed(STRONG, LEVELS[-1])) <= 60
    assert all(brighter > dimmer for brighter, dimmer in pairwise(SHARES))


@pytest.mark.parametrize("level", LEVELS)
def test_no_letter_vanishes_and_the_tones_stay_apart(level: int) -> None:
    shown = {tone: dimmed(tone, level) for tone in (*LETTERS, GROUND, SUNK, EDGE)}
    lowest = min(contrast(shown[letter], shown[behind]) for letter, behind in BEHIND)
    assert lowest >= (4.2 if level == 0 else 1.2)
    in_the_dark = min(contrast(shown[letter], shown[behind], 0) for letter, behind in BEHIND)
    assert in_the_dark >= 5.8
    for dark, light in combinations(LETTERS, 2):
        assert contrast(shown[dark], shown[light], 0) >= 1.35


def test_pictures_are_as_dim_as_the_rest() -> None:
    picture = np.full((2, 3, 3), BRIGHTEST, np.uint8)
    assert dimmed_picture(picture, 0).max() == BRIGHTEST
    assert dimmed_picture(picture, LEVELS[-1]).max() == round(BRIGHTEST * SHARES[-1])
    assert picture.max() == BRIGHTEST, "the picture itself stays as it is"


def test_a_board_draws_in_the_tones_of_its_level(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = []
    paper = board.Board.__new__(board.Board)
    paper.scale, paper._top, paper.level = 1.0, 900, LEVELS[-1]
    monkeypatch.setattr(board.Board, "_item", lambda _, key, *__: drawn.append(key))
    paper.box(0, 0, 10, 10, SUNK, EDGE)
    paper._label("word", 0, 0, 20, STRONG, bold=False, right=False, over=False)
    paper.picture(np.full((2, 2, 3), 200, np.uint8), 0, 0)
    boxes, (text,), (picture,) = (
        [each for each in drawn if each[0] == what] for what in ("box", "text", "picture")
    )
    assert {each[2] for each in boxes} == {dimmed(SUNK, LEVELS[-1]), dimmed(EDGE, LEVELS[-1])}
    assert dimmed(STRONG, LEVELS[-1]) in text
    assert set(picture[-1]) == {50}


def test_keys_go_level_by_level_and_stop_at_either_end() -> None:
    look, window = Appearance(), Covering()
    for level in (1, 2, 3, 4, 5, 5):
        assert look.change(Look.DIMMER, window) == ""
        assert look.level == level
    for level in (4, 3, 2, 1, 0, 0):
        look.change(Look.BRIGHTER, window)
        assert look.level == level
    assert not look.large


def test_large_letters_and_full_screen_are_called_and_put_away_by_the_same_key() -> None:
    look, window = Appearance(), Covering()
    for on in (True, False):
        look.change(Look.LARGE, window)
        look.change(Look.FULL, window)
        assert (look.large, window.covers) == (on, on)


def test_with_one_screen_neither_is_done_and_it_is_said_why() -> None:
    look = Appearance()
    assert "one screen" in look.change(Look.FULL, None)
    assert "one screen" in look.change(Look.LARGE, None)
    assert not look.large
    # between two runs the page covers the black pattern
    assert look.change(Look.LARGE, None, page=True) == ""
    assert look.large
    assert "one screen" in look.change(Look.FULL, None, page=True)


def test_the_strip_is_drawn_anew_for_another_brightness() -> None:
    look = Appearance()
    strip = Strip(None, Panels(strip_there=True), appearance=look)
    assert strip.as_bright
    look.change(Look.DIMMER, None)
    assert not strip.as_bright


def test_no_key_of_the_look_means_anything_else_and_all_are_in_both_lists() -> None:
    from player.windows.sitting.choosing import HELP

    assert not set(keys.LOOKS) & set(keys.KEYS)
    assert look_of("F11", ctrl=False) is Look.LARGE
    assert look_of("F", ctrl=True) is Look.FULL
    for name, look in (("MINUS", Look.DIMMER), ("PLUS", Look.BRIGHTER), ("EQUAL", Look.BRIGHTER)):
        assert look_of(name, ctrl=True) is look
        assert look_of(name, ctrl=False) is None, "it is typed"
    assert look_of("F", ctrl=False) is None
    for each in keys.LOOK_HELP:
        assert each in keys.HELP
        assert each in HELP
