"""Light that is watched, drawn: on the operator window, in large letters, and on the strip."""

from __future__ import annotations

from player.run.watching import Live
from player.windows.balance import BalanceRow, draw_balance, words_of
from player.windows.board import FAINT, STRONG, TEXT, Board
from player.windows.view import SETTLED, View

NOTHING_KEPT = "Nothing of this is kept"
ENDS_IT = "F12 or Enter ends it."
NO_BALANCE = "Red, green and blue are told of greys that are read with x and y."


def row_of(live: Live) -> BalanceRow | None:
    """The row of the panel; None where there is no balance."""
    if live.balance is None:
        return None
    words = words_of(live.balance, scatter=live.within or (0.0, 0.0, 0.0))
    return BalanceRow("", live.balance, words)


def write_live(board: Board, view: View, live: Live, x: float, y: float, wide: float) -> float:
    """On the operator window: figures, bars, differences; below which height there is nothing."""
    board.text(view.countdown, x + wide, y + 6, 40, TEXT, width=wide / 2, right=True)
    room = wide - board.measure(view.countdown, 40) / board.scale - 30
    size, _ = board.fitting(view.label, (44, 38, 32, 27), room, 44 * 1.3)
    board.text(view.label, x, y + 44 - size, size, TEXT, width=room, bold=True)
    y += 56
    said = live.luminance or live.waits
    size, _ = board.fitting(said, (88, 44, 34), wide, 88 * 1.3)
    board.text(said, x, y, size, STRONG, width=wide)
    if live.light:
        board.text(live.target, x + wide, y + 14, 32, TEXT, width=wide / 2, right=True)
        board.text(live.light, x + wide, y + 54, 36, TEXT, width=wide / 2, right=True)
    y += 108
    y = _pair(board, live.colour, live.off, (x, y), 54, wide)
    y = _pair(board, live.apart, live.hue, (x, y), 54, wide)
    row = row_of(live)
    y += 8
    if row is not None:
        draw_balance(board, [row], x, y, wide, 186)
    elif live.luminance:
        board.text(NO_BALANCE, x, y + 50, 30, FAINT, width=wide, lines=2)
    y += 192
    size, lines = board.fitting(live.change, (32, 29), wide, 2 * 29 * 1.3)
    y = board.text(live.change, x, y, size, TEXT, width=wide, lines=lines)
    told = _of_what(live)
    size, lines = board.fitting(told, (29, 26), wide, 2 * 26 * 1.3)
    return board.text(told, x, y, size, TEXT, width=wide, lines=lines)


def _of_what(live: Live) -> str:
    """What the figures are, and what becomes of them."""
    if not live.luminance:
        return f"{NOTHING_KEPT}."
    return f"{live.waits or f'Live, {live.mean_of}'}. {NOTHING_KEPT}."


def _pair(
    board: Board, figure: str, word: str, at: tuple[float, float], size: float, wide: float
) -> float:
    """A figure, and what it means, beside it; the next line's height."""
    x, y = at
    board.text(figure, x, y, size, STRONG, width=wide)
    room = wide - board.measure(figure, size) / board.scale - 30
    small, _ = board.fitting(word, (36, 32, 28, 24), room, 36 * 1.3)
    board.text(word, x + wide, y + size - small, small, TEXT, width=room, right=True)
    return y + size * 1.22


LARGE = (76, 66, 57, 51, 45, 40, 36, 33, 30, 27)


def write_live_large(board: Board, view: View, live: Live, x: float, wide: float) -> None:
    """In large letters: what matters most first, and as much of the rest as has room."""
    y, bottom = 0.0, 886.0
    said = live.luminance or live.waits
    size, lines = board.fitting(said, (112, 88, 66), wide, 240)
    y = board.text(said, x, y, size, STRONG, width=wide, lines=lines, pitch=1.14)
    if live.luminance:
        y = board.text(live.colour, x, y, 100, STRONG, width=wide, pitch=1.14)
        off = ", ".join(filter(None, (live.apart, live.hue)))
        size, _ = board.fitting(off, (100, 88, 76, 66, 57, 49), wide, 130)
        y = board.text(off, x, y, size, STRONG, width=wide, pitch=1.14)
    row = row_of(live)
    if row is not None:
        y = draw_balance(board, [row], x, y + 4, wide, 292, largest=76, legend=False) + 4
    light = ": ".join(filter(None, (live.target, live.light)))
    soon = view.countdown if view.countdown != SETTLED else ""
    rest = [soon, light, live.change if live.luminance else "", _of_what(live)]
    rest = [each for each in rest if each]
    for place, text in enumerate(rest):
        high = (bottom - y) / (len(rest) - place)
        sizes = tuple(each for each in LARGE if each * 1.18 <= high) or LARGE[-1:]
        # a line of this pitch takes less than the board reckons with
        size, _ = board.fitting(text, sizes, wide, sizes[0] * 1.3)
        y = board.text(text, x, y, size, TEXT, width=wide, pitch=1.16)


def write_live_strip(board: Board, view: View, live: Live, x: float, y: float, wide: float) -> None:
    """On the strip: figures on the left, bars on the right."""
    half = wide * 0.46
    said = live.luminance or live.waits
    size, _ = board.fitting(said, (44, 34, 26), half, 58)
    bottom = board.text(said, x, y, size, STRONG, width=half, pitch=1.2)
    bottom = board.text(live.colour, x, bottom, 32, STRONG, width=half, pitch=1.2)
    off = ", ".join(filter(None, (live.apart, live.hue)))
    size, _ = board.fitting(off, (28, 24, 20, 18), half, 28 * 1.3)
    bottom = board.text(off, x, bottom, size, STRONG, width=half, pitch=1.2)
    light = ": ".join(filter(None, (live.target, live.light)))
    told = ". ".join(filter(None, (light, live.change)))
    board.text(told[:1].upper() + told[1:], x, bottom, 20, TEXT, width=half, lines=2, pitch=1.2)
    row = row_of(live)
    left, room = x + half + 30, wide - half - 30
    if row is not None:
        y = draw_balance(board, [row], left, y, room, 118, largest=30, legend=False) + 6
    told = f"{_of_what(live)} {view.notice or ENDS_IT}"
    size, lines = board.fitting(told, (20, 18, 16), room, 240 - y)
    board.text(told, left, y, size, TEXT, width=room, lines=lines)
