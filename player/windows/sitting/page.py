"""The page between two runs: the task on the left, all tasks on the right, what was found below."""

from __future__ import annotations

from collections.abc import Sequence

from player.windows.board import EDGE, FAINT, STRONG, SUNK, TEXT, Board
from player.windows.focus import LOST
from player.windows.sitting.choosing import SittingView

MARGIN = 50
SPLIT = 860
"""Where the list of tasks begins, in units of the board's 1600 by 900."""
WORD = 170
"""Units that the word before a finding takes."""
ROW = 44
SIZES = (27, 24, 21, 18)
"""Heights of what is to be known at the screen, the largest that fits."""


def write(board: Board, view: SittingView) -> None:
    """Write the page on a board of 1600 by 900 units."""
    left = SPLIT - 2 * MARGIN
    board.text(view.title, MARGIN, 30, 28, FAINT, width=left)
    board.text(view.time, board.width - MARGIN, 30, 28, TEXT, width=660, right=True)
    if view.help:
        _help(board, view)
        return
    if view.given_head:
        _given(board, view, left)
    else:
        _task(board, view, left)
    _tasks(board, view)
    board.text("F1 keys · F4 add a sequence", MARGIN, 856, 26, FAINT)
    board.text(view.using, board.width - MARGIN, 858, 22, FAINT, width=900, right=True)


def write_lost(board: Board) -> None:
    """Say across the page that keys go elsewhere."""
    board.box(0, 330, board.width, 130, SUNK, STRONG, over=True)
    board.text(LOST, MARGIN, 356, 60, STRONG, bold=True, over=True)


def _task(board: Board, view: SittingView, left: float) -> None:
    """The chosen task: what it is, what is to be known, what is typed, what Enter does."""
    y = board.text(view.head, MARGIN, 82, 30, TEXT, width=left)
    whole = board.broken(view.label, 48, left * board.scale, 3, bold=True)
    size, lines = (48, 2) if len(whole) <= 2 else (34, 6)
    y = board.text(view.label, MARGIN, y + 4, size, STRONG, width=left, lines=lines, bold=True) + 8
    y = _sentences(board, view.text, y, left, 700.0 if not view.choices else 560.0)
    for choice in view.choices:
        y = board.text(choice, MARGIN + 20, y, 34, STRONG, width=left - 20)
    if view.entry:
        board.box(MARGIN, y + 8, left, 72, SUNK, EDGE)
        line = board.tail(view.line, 40, left - 60).replace(" ", "\u00a0")
        board.text(line, MARGIN + 16, y + 20, 40, STRONG, width=left)
        wide = board.measure(line, 40) / board.scale
        board.box(MARGIN + 20 + wide, y + 18, 5, 52, STRONG)
        y += 92
    y = board.text(view.prompt, MARGIN, y + 8, 27, FAINT, width=left, lines=2)
    _notice(board, view, y, left)


def _notice(board: Board, view: SittingView, y: float, left: float) -> None:
    if not view.notice:
        return
    tone = STRONG if view.pressing else TEXT
    shift = 28 if view.pressing else 0
    below = board.text(view.notice, MARGIN + shift, y + 8, 32, tone, width=left - shift, lines=3)
    if view.pressing:
        board.box(MARGIN, y + 12, 10, below - y - 14, STRONG)


def _sentences(
    board: Board, sentences: Sequence[str], y: float, wide: float, until: float
) -> float:
    """All of them, whole, in the largest type that leaves the room below."""
    for size in SIZES:
        lines = [len(board.broken(each, size, wide * board.scale, 9)) for each in sentences]
        if y + sum(lines) * size * 1.3 + 4 * len(lines) <= until:
            break
    for sentence in sentences:
        y = board.text(sentence, MARGIN, y, size, TEXT, width=wide, lines=9) + 4
    return y


def _given(board: Board, view: SittingView, left: float) -> None:
    """What a task gave, the worst first; what does not fit stands in the report."""
    y = board.text("What it gave", MARGIN, 82, 30, TEXT, width=left)
    y = board.text(view.given_head, MARGIN, y + 4, 40, STRONG, width=left, lines=2, bold=True) + 8
    for place, (word, sentence) in enumerate(view.given):
        lines = board.broken(sentence, 25, (left - WORD) * board.scale, 5)
        if y + len(lines) * 33 > 730:
            more = len(view.given) - place
            y = board.text(f"and {more} more, in the report", MARGIN, y, 25, FAINT, width=left)
            break
        strong = word in ("NOT GOOD", "NOT READ")
        tone = STRONG if strong else TEXT
        if strong:  # a bar, so that it does not rest on brightness alone
            board.box(MARGIN - 16, y, 6, len(lines) * 32, STRONG)
        board.text(word.capitalize(), MARGIN, y, 25, tone, width=WORD - 10)
        y = board.text(sentence, MARGIN + WORD, y, 25, tone, width=left - WORD, lines=5) + 6
    y = board.text(view.prompt, MARGIN, y + 8, 27, FAINT, width=left)
    _notice(board, view, y, left)


def _tasks(board: Board, view: SittingView) -> None:
    wide = board.width - SPLIT - MARGIN
    board.text(view.lines_title, SPLIT, 82, 28, FAINT, width=wide)
    y = 134.0
    for line in view.lines:
        tone = FAINT if line.faint or line.state in ("left out", "no time") else TEXT
        if line.chosen:
            board.box(SPLIT - 14, y - 4, wide + 28, ROW * 1.32, SUNK, STRONG)
            tone = STRONG
        board.text(line.number, SPLIT + 40, y, 26, tone, right=True)
        state = board.measure(line.state, 22) / board.scale + 20
        board.text(line.label, SPLIT + 56, y, 26, tone, width=wide - 56 - state)
        board.text(line.state, SPLIT + wide, y + 3, 22, tone, width=state, right=True)
        board.text(line.said, SPLIT + 56, y + 31, 20, tone, width=wide - 56)
        y += ROW * 1.32


def _help(board: Board, view: SittingView) -> None:
    y = 150.0
    for key, does in view.help:
        board.text(key, MARGIN, y, 40, STRONG, width=500)
        board.text(does, MARGIN + 520, y, 40, TEXT, width=board.width - 2 * MARGIN - 520)
        y += 60
