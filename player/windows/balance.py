"""Red, green and blue of what is read against what is wanted: bars from a line, and a word each.

Whoever watches the light draws one row of it, whoever adjusts the display one for each level.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from player.windows.board import EDGE, FAINT, STRONG, SUNK, TEXT, Board

Shares = tuple[float, float, float]
"""Light of red, green and blue, share of what is wanted: 1 is on the mark."""
NAMES = ("Red", "Green", "Blue")
THERE = 0.01
"""Share of a channel's light within which it is on the mark; a choice of our own."""
TOO_MUCH, SHORT, ON_THE_MARK, NOT_READ = "too much", "short", "there", "not read"
SCALES = (0.05, 0.1, 0.2, 0.5, 1.0)
"""How far the bars go to either side, shares of what is wanted: the first that holds them all."""
BETWEEN = 0.6
"""Room between two levels, in bars."""
LARGEST, SMALLEST = 40.0, 13.0
"""Sizes of the letters, by the room there is."""


@dataclass(frozen=True)
class BalanceRow:
    """One level."""

    label: str
    """Which: `70 %`; empty where there is but one."""
    light: Shares | None
    """What is read; None where it was not read yet."""
    words: tuple[str, str, str] = ("", "", "")
    """Beside red, green and blue, as `words_of` gives them."""
    expected: Shares | None = None
    """Where a move should bring it; None where none is made."""


def word_of(share: float, within: float = THERE, scatter: float = 0.0) -> str:
    """`3.2 % too much`, `1.5 % short` or `there`; with a question mark where it may be scatter.

    Args:
        share: light of a channel, share of what is wanted.
        within: share that it may be off and still be there.
        scatter: share within which the meter cannot tell whether it is off, k = 2.
    """
    off = 100 * abs(share - 1)
    if off <= 100 * within:
        return ON_THE_MARK
    text = f"{off:.1f}" if off < 9.95 else f"{off:.0f}"
    doubt = "?" if off <= 100 * scatter else ""
    return f"{text} % {TOO_MUCH if share > 1 else SHORT}{doubt}"


def words_of(
    light: Shares, within: float = THERE, scatter: Shares = (0.0, 0.0, 0.0)
) -> tuple[str, str, str]:
    """The words beside red, green and blue, as of `word_of`."""
    red, green, blue = (
        word_of(share, within, each) for share, each in zip(light, scatter, strict=True)
    )
    return red, green, blue


def scale_of(rows: Sequence[BalanceRow]) -> float:
    """How far the bars go to either side, that all of them and all notches have room."""
    shown = (each for row in rows for each in (row.light, row.expected) if each is not None)
    most = max((abs(share - 1) for light in shown for share in light), default=0.0)
    return next((scale for scale in SCALES if most <= scale), SCALES[-1])


def draw_balance(
    board: Board,
    rows: Sequence[BalanceRow],
    x: float,
    y: float,
    wide: float,
    high: float,
    *,
    largest: float = LARGEST,
    legend: bool = True,
) -> float:
    """Draw rows with the line of the target through them, and what the bars stand for below.

    A bar to the right is too much, one to the left short; a notch says where a move should bring
    it. Each has its word beside it, so that nothing rests on colour.

    Args:
        board: is written on.
        rows: one or more.
        x, y: of the upper left corner, units of the board.
        wide, high: the room there is.
        largest: size of the letters where there is room.
        legend: whether it says below what line, ends and notches are.

    Returns:
        y below all of it.
    """
    lines = 3 * len(rows) + BETWEEN * (len(rows) - 1) + (1 if legend else 0)
    pitch = min(high / lines, largest * 1.35)
    size = max(min(pitch / 1.3, largest), SMALLEST)
    label = _widest(board, [row.label for row in rows], size, bold=True)
    label = label + size if label else 0.0
    name = _widest(board, NAMES, size) + 0.6 * size
    words = [f"9.9 % {TOO_MUCH}?", NOT_READ, *(word for row in rows for word in row.words)]
    beside = _widest(board, words, size) + 0.6 * size
    left = x + label + name
    track = max(wide - label - name - beside, 60.0)
    scale = scale_of(rows)
    for row in rows:
        board.text(row.label, x, y + pitch - size * 1.15, size, STRONG, bold=True)
        for place, channel in enumerate(NAMES):
            middle = y + (place + 0.5) * pitch
            top = middle - size * 0.62
            board.text(channel, x + label, top, size, TEXT)
            _track(board, row, place, (left, middle, track, pitch), scale)
            word = row.words[place] if row.light is not None else NOT_READ
            loud = row.light is not None and word != ON_THE_MARK
            board.text(word, left + track + 0.6 * size, top, size, STRONG if loud else TEXT)
        board.box(left + track / 2 - 1.5, y, 3, 3 * pitch, STRONG)
        y += (3 + BETWEEN) * pitch
    y -= BETWEEN * pitch
    if not legend:
        return y
    small = max(size * 0.7, SMALLEST)
    said = f"Line: the target. Ends: {100 * scale:.0f} % off."
    if any(row.expected is not None for row in rows):
        said += " Notch: after this move."
    return board.text(said, left, y + 2, small, FAINT, width=x + wide - left, lines=2)


def _widest(board: Board, texts: Sequence[str], size: float, *, bold: bool = False) -> float:
    return max(board.measure(each, size, bold=bold) for each in texts) / board.scale


def _track(
    board: Board,
    row: BalanceRow,
    place: int,
    room: tuple[float, float, float, float],
    scale: float,
) -> None:
    """The bar of one channel, and its notch."""
    left, middle, track, pitch = room
    half = pitch * 0.26
    board.box(left, middle - half - 3, track, 2 * half + 6, SUNK, EDGE)
    if row.light is not None:
        reach = _reach(row.light[place], scale) * track / 2
        begins = left + track / 2 + min(reach, 0.0)
        board.box(begins, middle - half * 0.6, max(abs(reach), 1.0), half * 1.2, TEXT)
    if row.expected is not None:
        at = left + track / 2 + _reach(row.expected[place], scale) * track / 2
        # above and below the bar, so that it is seen beside a bar that ends there
        board.box(at - 4, middle - half - 3, 8, half * 0.4 + 3, STRONG)
        board.box(at - 4, middle + half * 0.6, 8, half * 0.4 + 3, STRONG)


def _reach(share: float, scale: float) -> float:
    """-1 to 1: from the left end of a track to the right."""
    return min(max((share - 1) / scale, -1.0), 1.0)
