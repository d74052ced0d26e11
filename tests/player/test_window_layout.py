"""Where the windows put their words, without a screen: what has to be read is there, and whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

import sequences
from player.windows import operator, strip
from player.windows.board import Board
from player.windows.view import LastReading, View, view_of
from readings.visit.visit import Visit
from sequences.model import Step
from tests.player.desk import Desk

SHIPPED = Path(sequences.__file__).parent / "shipped"


@dataclass
class Written:
    """One line as it was written."""

    text: str
    y: float
    size: float


class PaperBoard(Board):
    """A board of the operator window that keeps what is written on it; letters are rather wide."""

    def __init__(self, width: float = 1600) -> None:
        self.width, self.scale = width, 0.8
        self.lines: list[Written] = []

    def measure(self, text: str, size: float, *, bold: bool = False) -> float:
        return len(text) * size * self.scale * (0.68 if bold else 0.58)

    def _label(self, line: str, _: float, y: float, size: float, *__: Any, **___: Any) -> None:
        self.lines.append(Written(line, y, size))

    def _rectangle(self, *_: Any) -> None:
        pass

    @property
    def texts(self) -> list[str]:
        return [each.text for each in self.lines]

    def under(self, text: str) -> float:
        """The lower end of a line."""
        (found,) = [each for each in self.lines if each.text == text]
        return found.y + found.size * 1.3


def choosing() -> list[Step]:
    """Every shipped step that is answered by a choice."""
    found = []
    for path in sorted(SHIPPED.glob("*.yaml")):
        steps = sequences.load(path).steps
        found += [each for each in steps if each.read is not None and each.read.choices]
    return found


CHOICE = """
title: Lobby wall
signal: sdr8
steps:
  - show: {field: {level: 50 %}}
    label: The grey of the wall
    read: {choice: [evenly grey, darker at an edge, blotchy]}
  - show: {field: {level: 20 %}}
    read: luminance
"""


@pytest.fixture
def desk(visit: Visit) -> Desk:
    return Desk(CHOICE, visit)


def of_step(view: View, step: Step) -> View:
    assert step.read is not None
    choices = tuple(f"{n}  {each}" for n, each in enumerate(step.read.choices, 1))
    ask = f"Choose: {step.read.of}" if step.read.of else "Choose"
    return replace(view, label=step.label, ask=ask, choices=choices)


def test_the_choices_are_told_one_by_one_and_the_words_of_the_one_that_is_kept(desk: Desk) -> None:
    view = view_of(desk.controls, "")
    assert view.choices == ("1  evenly grey", "2  darker at an edge", "3  blotchy")
    desk.type("1")
    desk.key("ENTER")
    assert desk.controls.notice == "Kept: evenly grey, for step 1."
    assert view_of(desk.controls, "").last[0].text == "evenly grey"
    desk.key("LEFT")
    assert view_of(desk.controls, "").held == "Read already: evenly grey. A new one replaces it."


def test_every_shipped_choice_is_whole_above_the_line_and_what_is_said_below_it(desk: Desk) -> None:
    desk.type("9")
    desk.key("ENTER")
    refused = view_of(desk.controls, "")
    steps = choosing()
    assert len(steps) > 40
    for step in steps:
        board, view = PaperBoard(), of_step(refused, step)
        operator._write(board, view, None)
        choices = [" ".join(each.split()) for each in view.choices]
        assert [text for text in board.texts if text in choices] == choices
        line = board.under("9")
        assert max(map(board.under, choices)) < line
        below = [each for each in board.lines if line < each.y < operator.HEIGHT - 44]
        said = " ".join(each.text for each in below if "screens" not in each.text)
        assert "or the words of one." in said
        assert max(each.y + each.size * 1.3 for each in below) <= operator.HEIGHT - 40


def test_the_strip_has_a_line_for_every_shipped_choice(desk: Desk) -> None:
    desk.type("2")
    view = view_of(desk.controls, "")
    for step in choosing():
        board, shown = PaperBoard(1200), of_step(view, step)
        strip._write(board, shown)
        choices = [" ".join(each.split()) for each in shown.choices]
        assert [text for text in board.texts if text in choices] == choices
        high = strip.HEIGHT + strip.CHOICE * len(choices)
        assert max(each.y + each.size for each in board.lines) <= high
        assert max(map(board.under, choices)) < board.under("2")
    assert strip.page_of(view) != strip.page_of(replace(view, choices=())), "more is covered"


LONG = (
    "81 cd/m2 is a great deal for black: mistyped, or light on the screen? Black is hardly apart "
    "from white: step 1 (field, level 100 %) read 400: mistyped? Enter once more keeps it."
)


def test_what_is_asked_is_whole_in_both_windows(desk: Desk) -> None:
    desk.key("RIGHT")
    view = replace(view_of(desk.controls, ""), notice=LONG, pressing=True)
    for board, write in ((PaperBoard(), operator._write), (PaperBoard(1200), strip._write)):
        write(board, view, None) if write is operator._write else write(board, view)
        said = " ".join(each.text for each in board.lines)
        assert LONG in said


def test_what_is_told_of_a_colour_is_whole_in_both_windows(desk: Desk) -> None:
    told = (
        "Kept Y 247.6, x 0.3090, y 0.3255 for step 12 in place of the earlier one. Target 1241.3 "
        "cd/m2: 2.6 % too bright, within 12 %, within the meter's error. Delta E 2000 11.7: "
        "outside 3, within the meter's error; too magenta and too colourful. White is 12 % above "
        "the first one, read 1 h 05 min ago, within the meter's error; its colour moved by 0.0114 "
        "in u'v'."
    )
    view = replace(view_of(desk.controls, ""), notice=told, choices=())
    board, narrow = PaperBoard(), PaperBoard(1200)
    operator._write(board, view, None)
    strip._write(narrow, view)
    for each in (board, narrow):
        assert told in " ".join(each.texts)


def test_how_far_a_reading_is_off_is_whole_or_not_there(desk: Desk) -> None:
    view = view_of(desk.controls, "")
    long = "93.5  0.3127 0.3290, mean of 20"
    for text, label, there in (
        ("93.5", "The grey of the lobby wall beside the door", True),
        (long, "Grey", True),  # beside the step, where there is room
        (long, "The grey of the lobby wall beside the door", False),
    ):
        board = PaperBoard()
        last = (LastReading(2, label, text, "28 % above step 2"),)
        operator._write(board, replace(view, last=last), None)
        assert [each for each in board.texts if "28" in each] == ["28 % above step 2"] * there


def test_what_to_do_next_for_a_count_is_whole_below_what_is_said(desk: Desk) -> None:
    next_thing = (
        "Let the box go along this axis once in each direction, and press at each hop of the light."
    )
    said = "The pass of step 1 was set aside, and does not count."
    board = PaperBoard()
    operator._write(
        board, replace(view_of(desk.controls, ""), notice=said, counting=next_thing), None
    )
    assert next_thing in " ".join(board.texts)
