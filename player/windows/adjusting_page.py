"""What the operator window shows of an adjustment beside what it shows of every step."""

from __future__ import annotations

from collections.abc import Sequence

from player.windows.balance import BalanceRow, draw_balance, words_of
from player.windows.board import FAINT, STRONG, TEXT, Board, Tone
from player.windows.controls.adjusting_picture import AdjustingPicture, ControlLine

HEADS = (72, 60, 48, 42, 38, 34, 30)
"""Sizes of what is to be done: the largest in which every line of it is whole."""
WHYS = (34, 30, 27, 24)
HEAD_ROOM = 150.0
"""Units of height that a head takes at most, three lines of a page."""
TWO = 230.0
"""Units of height from which two levels have bars."""
SMALL, PITCH = 18, 22
"""Size of what stands in the tables, and the height of a row."""
FOOT = 856
"""Where the tables end at the lowest."""


def write_head(board: Board, picture: AdjustingPicture, x: float, y: float, wide: float) -> float:
    """What to do, large; why; and what is still to go. Gives y below it."""
    size = next(
        (
            each
            for each in HEADS
            if len(picture.head) * each * 1.3 <= HEAD_ROOM
            and _widest(board, picture.head, each) <= wide
        ),
        HEADS[-1],
    )
    for line in picture.head:
        y = board.text(line, x, y, size, STRONG, width=wide, bold=True)
    if picture.why:
        letters, lines = board.fitting(picture.why, WHYS, wide, 84)
        y = board.text(picture.why, x, y + 4, letters, TEXT, width=wide, lines=lines)
    return board.text(picture.to_go, x, y + 6, 28, TEXT, width=wide)


def _widest(board: Board, lines: Sequence[str], size: float) -> float:
    return max(board.measure(line, size, bold=True) / board.scale for line in lines)


def write_lights(
    board: Board, picture: AdjustingPicture, x: float, y: float, wide: float, high: float
) -> None:
    """Red, green and blue of the levels that matter now, as bars from the target's line."""
    if not picture.lights:
        return
    lands = any(each.lands for each in picture.lights)
    notch = ", notch: after this turn" if lands else ""
    said = f"{picture.lights_of} · line: the target{notch}"
    said = said[:1].upper() + said[1:]
    size, _ = board.fitting(said, (20, 18, 16), wide, 26)
    board.text(said, x, y, size, FAINT, width=wide)
    rows = [
        BalanceRow(each.label, each.light, words_of(each.light), each.lands)
        for each in picture.lights
    ]
    room = high - 30
    shown = rows if room >= TWO else rows[:1]
    draw_balance(board, shown, x, y + 30, wide, room, legend=False)


def write_tables(board: Board, picture: AdjustingPicture, x: float, y: float, wide: float) -> None:
    """The error of each level, and where the controls stand."""
    if picture.levels:
        _row(board, ("Level", "dE as read", "as believed, k = 2"), x, y, wide, FAINT)
        y += PITCH + 3
    for level in picture.levels:
        label = f"{level.label}, worst" if level.worst else level.label
        tone = STRONG if level.up or level.worst else TEXT
        _row(board, (label, level.read, level.believed), x, y, wide, tone, marked=level.up)
        y += PITCH
    y += 10
    most = int((FOOT - y - PITCH - 3) / PITCH)
    if not picture.controls or most < 1:
        return
    _row(board, ("Control", "as found", "now"), x, y, wide, FAINT)
    y += PITCH + 3
    for line in _chosen(picture.controls, most):
        name = f"{line.name}, left out" if line.state == "left out" else line.name
        now = line.state == "turn"
        tone = STRONG if now else FAINT if line.state else TEXT
        _row(board, (name, line.found, line.now), x, y, wide, tone, marked=now)
        y += PITCH


def _row(
    board: Board,
    texts: tuple[str, str, str],
    x: float,
    y: float,
    wide: float,
    tone: Tone,
    *,
    marked: bool = False,
) -> None:
    """One row: a name, and two columns that end right."""
    name, middle, last = texts
    if marked:  # a bar, so that it does not rest on brightness alone
        board.box(x - 14, y + 2, 6, SMALL, STRONG)
    board.text(name, x, y, SMALL, tone, width=wide * 0.46)
    board.text(middle, x + wide * 0.62, y, SMALL, tone, width=wide * 0.3, right=True)
    board.text(last, x + wide, y, SMALL, tone, width=wide * 0.38, right=True)


def _chosen(controls: Sequence[ControlLine], most: int) -> list[ControlLine]:
    """Those that there is room for: what is turned now, what was turned, then the others."""

    def rank(place: int) -> int:
        line = controls[place]
        if line.state == "turn":
            return 0
        return 1 if line.now != line.found else 2

    chosen = sorted(range(len(controls)), key=lambda place: (rank(place), place))[:most]
    return [controls[place] for place in sorted(chosen)]
