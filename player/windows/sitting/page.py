"""The page between two runs: the task on the left, all tasks on the right, what was found below."""

from __future__ import annotations

from player.windows.board import EDGE, FAINT, STRONG, SUNK, TEXT, Board
from player.windows.sitting.choosing import SittingView

MARGIN = 50
SPLIT = 860
"""Where the list of tasks begins, in units of the board's 1600 by 900."""
ROW = 44


def write(board: Board, view: SittingView) -> None:
    """Write the page on a board of 1600 by 900 units."""
    left = SPLIT - 2 * MARGIN
    board.text(view.title, MARGIN, 30, 28, FAINT, width=left)
    board.text(view.time, board.width - MARGIN, 30, 28, TEXT, width=660, right=True)
    if view.help:
        _help(board, view)
        return
    y = board.text(view.head, MARGIN, 82, 30, TEXT, width=left)
    y = board.text(view.label, MARGIN, y + 4, 48, STRONG, width=left, lines=2, bold=True) + 8
    for sentence in view.text[:6]:
        y = board.text(sentence, MARGIN, y, 27, TEXT, width=left, lines=3) + 4
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
    if view.notice:
        tone = STRONG if view.pressing else TEXT
        shift = 28 if view.pressing else 0
        below = board.text(view.notice, MARGIN + shift, y + 8, 32, tone, width=left, lines=3)
        if view.pressing:
            board.box(MARGIN, y + 12, 10, below - y - 14, STRONG)
        y = below
    _given(board, view, max(y + 24, 470), left)
    _tasks(board, view)
    board.text("F1 keys · F4 add a sequence", MARGIN, 856, 26, FAINT)
    board.text(view.using, board.width - MARGIN, 858, 22, FAINT, width=900, right=True)


def _given(board: Board, view: SittingView, y: float, left: float) -> None:
    if not view.given_head:
        return
    board.box(MARGIN, y - 10, left, 2, EDGE)
    y = board.text(view.given_head, MARGIN, y, 26, FAINT, width=left) + 4
    for place, (word, sentence) in enumerate(view.given):
        lines = board.broken(sentence, 25, (left - 170) * board.scale, 4)
        more = len(view.given) - place
        if y + len(lines) * 33 > 830:
            board.text(f"and {more} more, in the report", MARGIN, y, 25, FAINT, width=left)
            return
        strong = word in ("NOT GOOD", "NOT READ")
        board.text(word.capitalize(), MARGIN, y, 22, STRONG if strong else TEXT, width=160)
        y = board.text(
            sentence, MARGIN + 170, y, 25, STRONG if strong else TEXT, width=left - 170, lines=4
        )
        y += 6


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
