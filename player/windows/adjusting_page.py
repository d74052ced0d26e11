"""What the operator window shows of an adjustment beside what it shows of every step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from player.windows.balance import BalanceRow, draw_balance, words_of
from player.windows.board import FAINT, STRONG, TEXT, Board, Tone
from player.windows.controls.adjusting_picture import (
    AdjustingPicture,
    ControlLine,
    LevelLine,
)

HEADS = (72, 60, 48, 42, 38, 34, 30)
"""Sizes of what is to be done: the largest in which every line of it is whole."""
WHYS = (34, 30, 27, 24)
HEAD_ROOM = 150.0
"""Units of height that a head takes at most, three lines of a page."""
TWO = 230.0
"""Units of height from which two levels have bars."""
TABLES = (28, 26, 24, 22)
"""Sizes of what stands in the tables: the largest in which all levels and a page's controls have
room, to be read at arm's length in the dark."""
PITCH = 1.22
"""Height of a row, of the size of its letters."""
BETWEEN = 10
"""Units between the two tables."""
FEWEST = 3
"""Controls that have room at least: those of one page."""
FOOT = 886
"""Where the tables end at the lowest."""
CAPTIONS = (24, 21, 18, 16)


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
    of = picture.lights_of[:1].upper() + picture.lights_of[1:]
    said = f"{of} · line: the target{notch}"
    size, _ = board.fitting(said, CAPTIONS, wide, 32)
    if size < CAPTIONS[0]:  # figures that move are worth more than what was said before they did
        said, (size, _) = of, board.fitting(of, CAPTIONS, wide, 32)
    board.text(said, x, y, size, FAINT, width=wide)
    rows = [
        BalanceRow(each.label, each.light, words_of(each.light), each.lands)
        for each in picture.lights
    ]
    room = high - 34
    shown = rows if room >= TWO else rows[:1]
    draw_balance(board, shown, x, y + 34, wide, room, legend=False)


def write_tables(board: Board, picture: AdjustingPicture, x: float, y: float, wide: float) -> None:
    """The error of each level, and where the controls stand."""
    fewest = min(FEWEST, len(picture.controls))

    def rows(size: float) -> int:
        """How many there is room for, without heads, in both tables together."""
        heads = bool(picture.levels) + bool(picture.controls)
        return int((FOOT - y - BETWEEN) / (PITCH * size)) - heads

    needed = len(picture.levels) + fewest
    size = next((each for each in TABLES if rows(each) >= needed), TABLES[-1])
    table = _Table(board, x, y, wide, size)
    left = rows(size)
    if picture.levels:
        table.row(("dE, k = 2", "read", "believed"), LEVELS, FAINT)
        levels, rest = _of_levels(picture.levels, left - fewest)
        for level in levels:
            label = f"{level.label}, worst" if level.worst else level.label
            tone = STRONG if level.up or level.worst else TEXT
            table.row((label, level.read, level.believed), LEVELS, tone, marked=level.up)
        if rest:
            most = f"up to {max(each.error for each in rest):.1f}"
            table.row((f"{len(rest)} more", "", most), LEVELS, FAINT)
        left -= len(levels) + bool(rest)
        table.y += BETWEEN
    if not picture.controls or left < 1:
        return
    table.row(("Control", "as found", "now"), CONTROLS, FAINT)
    for line in _chosen(picture.controls, left):
        found = line.state if line.state == "left out" else line.found
        now = line.state == "turn"
        tone = STRONG if now else FAINT if line.state else TEXT
        table.row((line.name, found, line.now), CONTROLS, tone, marked=now)


@dataclass(frozen=True)
class _Columns:
    """Of a table of three, each a share of its width."""

    name: float
    """How wide it may be."""
    middle: float
    """Where that ends, on the right; the last one ends at 1."""


LEVELS, CONTROLS = _Columns(0.44, 0.6), _Columns(0.55, 0.82)


@dataclass
class _Table:
    """Rows below each other: a name, and two columns that end right."""

    board: Board
    x: float
    y: float
    wide: float
    size: float

    def row(
        self, texts: tuple[str, str, str], columns: _Columns, tone: Tone, *, marked: bool = False
    ) -> None:
        """Write one row, and go on to the next."""
        name, middle, last = texts
        board, size = self.board, self.size
        if marked:  # a bar, so that it does not rest on brightness alone
            board.box(self.x - 14, self.y + 2, 6, size, STRONG)
        ends = self.x + self.wide * columns.middle
        room = self.wide * (1 - columns.middle) - 12
        board.text(name, self.x, self.y, size, tone, width=self.wide * columns.name)
        board.text(middle, ends, self.y, size, tone, width=self.wide * 0.3, right=True)
        board.text(last, self.x + self.wide, self.y, size, tone, width=room, right=True)
        self.y += size * PITCH


def _of_levels(
    levels: Sequence[LevelLine], most: int
) -> tuple[Sequence[LevelLine], Sequence[LevelLine]]:
    """Those that there is room for, and the rest, in their order.

    What is on screen and what is farthest off comes first; a row is left for how many more.
    """
    if len(levels) <= most:
        return levels, ()
    ranked = sorted(levels, key=lambda each: (not each.up, -each.error))
    first = ranked[: max(most - 1, 1)]
    return [each for each in levels if each in first], [e for e in levels if e not in first]


def _chosen(controls: Sequence[ControlLine], most: int) -> list[ControlLine]:
    """Those that there is room for: what is turned now, what was turned, then the others."""

    def rank(place: int) -> int:
        line = controls[place]
        if line.state == "turn":
            return 0
        return 1 if line.now != line.found else 2

    chosen = sorted(range(len(controls)), key=lambda place: (rank(place), place))[:most]
    return [controls[place] for place in sorted(chosen)]
