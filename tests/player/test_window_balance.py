"""The panel of red, green and blue: words, bars to the right side of the line, notches."""

from __future__ import annotations

import pytest

from player.windows.balance import BalanceRow, draw_balance, scale_of, word_of, words_of
from player.windows.board import STRONG, TEXT, Tone
from tests.player.test_window_layout import PaperBoard

OFF = (1.032, 0.995, 0.93)


class Paper(PaperBoard):
    """Keeps what is drawn."""

    def __init__(self) -> None:
        super().__init__()
        self.boxes: list[tuple[float, float, float, float, Tone]] = []

    def box(self, x, y, width, height, fill, edge=None, *, over=False) -> None:
        self.boxes.append((x, y, width, height, fill))

    def of(self, tone: Tone) -> list[tuple[float, float, float, float, Tone]]:
        return [each for each in self.boxes if each[4] == tone]


@pytest.mark.parametrize(
    ("share", "word"),
    [
        (1.032, "3.2 % too much"),
        (0.93, "7.0 % short"),
        (1.0, "there"),
        (1.0099, "there"),
        (0.9899, "1.0 % short"),
        (1.5, "50 % too much"),
        (0.0, "100 % short"),
    ],
)
def test_each_channel_has_a_word_and_how_far_it_is_off(share: float, word: str) -> None:
    assert word_of(share) == word


def test_what_the_meter_cannot_tell_from_the_mark_has_a_question_mark() -> None:
    assert words_of(OFF, scatter=(0.01, 0.01, 0.08)) == ("3.2 % too much", "there", "7.0 % short?")


def test_the_scale_is_the_first_that_holds_bars_and_notches() -> None:
    assert scale_of([BalanceRow("", OFF)]) == 0.1
    assert scale_of([BalanceRow("", (1.01, 1.0, 0.97), expected=(1.0, 0.85, 1.0))]) == 0.2
    assert scale_of([BalanceRow("", None)]) == 0.05
    assert scale_of([BalanceRow("", (9.0, 1.0, 1.0))]) == 1.0


def test_bars_begin_at_the_line_and_go_right_for_too_much_and_left_for_short() -> None:
    board = Paper()
    below = draw_balance(board, [BalanceRow("", OFF, words_of(OFF))], 50, 100, 990, 200)
    assert below <= 300
    (line,) = [each for each in board.of(STRONG) if each[2] == 3]
    middle = line[0] + 1.5
    red, green, blue = board.of(TEXT)
    assert red[0] == pytest.approx(middle)
    assert green[0] + green[2] == pytest.approx(middle)
    assert blue[0] + blue[2] == pytest.approx(middle)
    assert red[2] / blue[2] == pytest.approx(3.2 / 7)
    assert [each for each in board.texts if "%" in each or each == "there"][:3] == [
        "3.2 % too much",
        "there",
        "7.0 % short",
    ]


def test_a_notch_stands_where_a_move_should_bring_it_and_the_legend_says_so() -> None:
    board = Paper()
    row = BalanceRow("70 %", OFF, words_of(OFF), expected=(1.0, 1.05, 0.95))
    draw_balance(board, [row], 50, 100, 990, 200)
    (line,) = [each for each in board.of(STRONG) if each[2] == 3]
    middle = line[0] + 1.5
    notches = [each[0] + 4 for each in board.of(STRONG) if each[2] == 8]
    assert len(notches) == 6, "above and below each of three bars"
    red, green, blue = notches[::2]
    assert red == pytest.approx(middle)
    assert green - middle == pytest.approx(middle - blue)
    assert any("Notch" in each for each in board.texts)


def test_several_levels_fit_into_little_room_and_one_that_is_not_read_says_so() -> None:
    board = Paper()
    rows = [BalanceRow(f"{level} %", OFF, words_of(OFF)) for level in (100, 70, 40)]
    below = draw_balance(board, [*rows, BalanceRow("10 %", None)], 1090, 270, 460, 300)
    assert below <= 570 + 20
    assert board.texts.count("not read") == 3
    for label in ("100 %", "70 %", "40 %", "10 %"):
        assert label in board.texts
