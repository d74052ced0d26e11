"""Large letters: what is there is whole, big enough for two metres, and hides nothing needed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan, degrees, hypot
from pathlib import Path
from typing import Any

import pytest

from player.windows import large, operator
from player.windows.board import Tone
from player.windows.focus import LOST
from player.windows.large import BIG, write_page, write_run
from player.windows.sitting.choosing import Choosing
from player.windows.view import View, view_of
from readings.visit.visit import Visit
from tests.player.desk import Desk
from tests.player.sitting.plans import new_visit, sitting
from tests.player.test_window_layout import LONG, PaperBoard, choosing, of_step

WALL = """
title: Lobby wall
signal: sdr8
settle: 6 s
steps:
  - {show: {field: {level: 100 %}}, label: Full white, read: luminance, role: white}
  - {show: {window: {area: 10 %}}, label: 10 % window, read: {luminance: centre}}
  - {show: {field: {level: 20 %}}, label: Grey 20 %, read: colour}
"""
WHY = "a window lies over the pattern, at its right edge; move it away and press F2"
CAPITALS = 0.70
"""Height of digits and capitals in em: 1493 of 2048 units in DejaVu Sans, and 0.70 to 0.73 in the
other fonts that are asked for (OS/2 tables, sCapHeight)."""


@dataclass
class Box:
    """A box as it was drawn."""

    x: float
    y: float
    width: float
    height: float


class Paper(PaperBoard):
    """Keeps boxes, too."""

    def __init__(self, width: float = 1600) -> None:
        super().__init__(width)
        self.boxes: list[Box] = []

    def box(self, x: float, y: float, width: float, height: float, *_: Tone, **__: Any) -> None:
        self.boxes.append(Box(x, y, width, height))

    @property
    def said(self) -> str:
        return " ".join(each.text for each in self.lines)

    def size_of(self, text: str) -> float:
        return min(each.size for each in self.lines if text in each.text)


@pytest.fixture
def desk(visit: Visit) -> Desk:
    return Desk(WALL, visit)


def drawn(view: View) -> Paper:
    """The page, after a look whether anything is cut off by its end or lies over anything else."""
    board = Paper()
    write_run(board, view)
    on_the_page(board)
    return board


def on_the_page(board: Paper) -> None:
    rows = sorted({(each.y, each.size) for each in board.lines})
    for (above, size), (below, _) in pairwise(rows):
        # side by side, or a line lower than the letters and what hangs from them
        assert below - above < 40 or below - above >= size * 1.05, board.texts
    assert rows[-1][0] + rows[-1][1] * 1.24 <= large.HEIGHT, board.texts


def test_it_says_what_to_read_the_number_the_settling_what_is_told_and_the_next_step(
    desk: Desk,
) -> None:
    desk.type("451,2")
    desk.key("ENTER")
    desk.type("39")
    view = view_of(desk.controls, "The screens are kept awake.")
    board = drawn(view)
    said = (
        "10 % window",
        "Read the luminance of centre",
        view.countdown,
        "39",
        "Kept 451,2 for step 1.",
        "Next: Grey 20 %",
    )
    assert sorted(board.said.split()) == sorted(" ".join(said).split()), "nothing else"
    assert min(each.size for each in board.lines) >= BIG
    assert view.countdown.startswith("Settling: ")


@pytest.mark.parametrize(
    ("screen", "inches"), [((1366, 768), 14.0), ((1920, 1080), 14.0), ((2560, 1600), 14.0)]
)
def test_on_a_14_inch_laptop_letters_have_20_minutes_of_arc_at_two_metres(
    screen: tuple[int, int], inches: float
) -> None:
    width, height = int(screen[0] * 0.94), int(screen[1] * 0.88)  # of the window
    pixels = BIG * CAPITALS * min(width / operator.WIDTH, height / operator.HEIGHT)
    millimetres = pixels * inches * 25.4 / hypot(*screen)
    assert 60 * degrees(2 * atan(millimetres / 2 / 2000)) >= 20


def test_a_long_question_is_whole_and_stays_as_large_as_it_can(desk: Desk) -> None:
    desk.type("45e")
    desk.key("ENTER")
    board = drawn(replace(view_of(desk.controls, ""), notice=LONG, pressing=True))
    assert LONG in board.said
    assert "45e" in board.texts
    assert board.size_of("mistyped") >= 57
    assert any(each.width == 14 for each in board.boxes), "a bar says that it needs somebody"


def test_blackout_a_lost_screen_and_an_altered_picture_are_told_whole(desk: Desk) -> None:
    usual = view_of(desk.controls, "")
    desk.key("F5")
    black = view_of(desk.controls, "")
    assert "BLACKOUT" in drawn(black).texts
    assert drawn(black).size_of("BLACKOUT") >= BIG
    desk.key("F5")
    desk.run.halt("The screen of the patterns is gone or has changed.")
    gone = drawn(view_of(desk.controls, ""))
    assert "SCREEN GONE" in gone.texts
    altered = drawn(replace(usual, guard="ALTERED", why=f"{WHY}."))
    assert f"ALTERED: {WHY}." in altered.said
    unknown = drawn(replace(usual, guard="NOT CHECKED", why=WHY))
    assert unknown.size_of("NOT CHECKED") >= BIG
    assert "Next: 10 % window" in unknown.said
    everything = replace(
        black, guard="ALTERED", why=f"{WHY}.", notice=LONG, pressing=True, beside="12x · 45e"
    )
    told = drawn(everything).said
    for each in ("BLACKOUT", f"ALTERED: {WHY}.", LONG, "not kept: 12x · 45e"):
        assert each in told


def test_that_keys_go_elsewhere_stands_above_all_and_hides_nothing(desk: Desk) -> None:
    usual = view_of(desk.controls, "")
    board = drawn(replace(usual, keys_lost=True, notice=LONG, pressing=True))
    assert board.said.startswith(LOST)
    assert LONG in board.said
    assert drawn(replace(usual, keys_lost=True)).size_of("Keys go") >= BIG


def test_a_file_to_put_up_a_note_and_what_is_not_kept_are_there(desk: Desk) -> None:
    usual = view_of(desk.controls, "")
    assert "Put up lobby-wall-003.png" in drawn(replace(usual, file="lobby-wall-003.png")).said
    assert "not kept: 12x" in drawn(replace(usual, beside="12x")).said
    desk.key("TAB")
    desk.type("a lamp behind the wall is on since noon and nobody has the key")
    note = drawn(view_of(desk.controls, ""))
    assert "NOTE: Enter keeps it, Tab goes back" in note.said
    assert any("has the key" in each for each in note.texts), "its end is seen"


def test_what_the_display_receives_is_asked_whole(visit: Visit) -> None:
    desk = Desk(WALL.replace("sdr8", "pq10"), visit)
    desk.run.screen.receives = None
    desk.controls.begin()
    view = view_of(desk.controls, "")
    assert not view.entry
    said = drawn(view).said
    for each in (view.label, view.ask, view.notice):
        assert " ".join(each.split()) in said


def test_every_shipped_choice_is_whole_in_large_letters_too(desk: Desk) -> None:
    desk.type("9")
    view = view_of(desk.controls, "")
    for step in choosing():
        shown = of_step(view, step)
        board = drawn(shown)
        for each in shown.choices:
            assert " ".join(each.split()) in board.said
        assert "9" in board.texts


def test_between_two_runs_it_is_the_task_what_enter_does_and_the_time(tmp_path: Path) -> None:
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit, [0.0]), ["a", "z"], lambda _: [], clock=lambda: 0.0)
        for _ in range(4):
            view = page.view()
            board = Paper()
            write_page(board, view)
            on_the_page(board)
            for each in (view.label, view.prompt, view.time, *view.text, *view.choices):
                assert " ".join(each.split()) in board.said
            assert view.lines[-1].label not in board.said or view.lines[-1].chosen
            page.key("DOWN")
        page.key("ESCAPE")
        asked = page.view()
        given = (("NOT GOOD", LONG), ("CANNOT TELL", "The contrast is a lower bound."))
        board = Paper()
        write_page(board, replace(asked, given_head="White, local dimming off", given=given))
        on_the_page(board)
        for each in ("White, local dimming off", f"Not good: {LONG}", "and 1 more", asked.prompt):
            assert each in board.said
        board = Paper()
        write_page(board, replace(asked, notice=LONG))
        on_the_page(board)
        assert LONG in board.said
        assert any(each.width == 14 for each in board.boxes)


def test_the_step_that_comes_next_is_that_of_the_order_of_play(desk: Desk) -> None:
    assert view_of(desk.controls, "").following == "10 % window"
    desk.key("RIGHT", "RIGHT")
    assert view_of(desk.controls, "").following == ""
    assert not any(each.startswith("Next") for each in drawn(view_of(desk.controls, "")).texts)


def test_between_two_runs_lost_keys_stand_above_all_too(tmp_path: Path) -> None:
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit, [0.0]), [], lambda _: [])
        board = Paper()
        write_page(board, replace(page.view(), keys_lost=True))
        on_the_page(board)
        assert board.said.startswith(LOST)
