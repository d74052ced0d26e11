"""Little, in large letters: what is read from two metres, of a run and between two runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from player.windows.board import EDGE, FAINT, STRONG, SUNK, TEXT, Board, Tone
from player.windows.focus import LOST
from player.windows.view import WORDS, View

if TYPE_CHECKING:  # a single run does without what stands between two
    from player.windows.sitting.choosing import SittingView

BIG = 100
"""Size of the letters, units. On a laptop of 14 inches digits and capitals, 0.70 to 0.73 of it
high, subtend at least 20 minutes of arc at 2 m; docs/playing.md says by what rule."""
READABLE = (BIG, 88, 76)
"""Sizes down to which other texts stay where a long one has no room."""
SMALLER = (71, 66, 61, 57, 53, 49, 45, 42, 39, 36, 33, 31, 29, 27, 25, 23)
"""Sizes of what is too long even alone, and may not be cut."""
NUMBERS = (112, BIG, 88, 76)
PITCH = 1.14
"""Lines are so many times the size apart."""
HEIGHT = 900
MARGIN = 40
TOP, FOOT, GAP = 0, 14, 6
BOX, AROUND = 142, 26
"""Height of the line that is typed, and of the space about it."""
SHIFT = 32
"""Room for the bar beside what needs the operator."""
ALL = 99
FIRST_TO_GO = 3
"""From this way on a text is cut to one line before the others are."""
NOT_WELL = ("NOT GOOD", "NOT READ")
"""Words of a finding that somebody should see now."""


@dataclass(frozen=True)
class Block:
    """One text of the page."""

    text: str
    tone: Tone = TEXT
    bold: bool = False
    pressing: bool = False
    """Whether a bar stands beside it: it needs the operator now."""
    way: int = 0
    """What gives way where there is no room: the higher, the sooner. 0 has to be whole."""
    long: bool = False
    """Whether it gets smaller letters before the others that have to be whole."""


@dataclass(frozen=True)
class Placed:
    """A block in its size."""

    block: Block
    size: float
    lines: int

    @property
    def height(self) -> float:
        """Units that it takes."""
        return self.lines * self.size * PITCH + GAP


def write_run(board: Board, view: View) -> None:
    """Write what is read of a run from two metres, on a board of at least 1600 by 900 units."""
    width = board.width - 2 * MARGIN
    if view.live is not None and not _needs_somebody(view):
        from player.windows.watched import write_live_large

        write_live_large(board, view, view.live, MARGIN, width)
        return
    guard = view.guard if view.guard == WORDS["unknown"] else ""
    above = [*_lost(view), *_state(view), *_asked(view)]
    needs = view.pressing or not view.choices  # what there is to choose from goes before
    tone = STRONG if view.pressing else TEXT
    below = [Block(view.notice, tone, pressing=view.pressing, way=0 if needs else 4, long=True)]
    if view.zones is not None:
        below.append(Block(view.zones.title, way=4))
    elif view.adjusting is not None and view.adjusting.state == "stop":
        below.append(Block(view.held, long=True))  # what going on would give
    elif not view.line:
        below.append(Block(view.held, way=4))
    if view.adjusting is not None and not view.entry:
        below.append(Block(view.adjusting.prompt, STRONG, long=True))
    below.append(Block(f"Next: {view.following}" if view.following else "", FAINT, way=3))
    beside = view.countdown if _has_room(board, view, width) else ""
    if not beside:
        above.append(Block(view.countdown))
    foot = BIG * PITCH if guard else 0.0
    line = BOX + AROUND if view.entry else 0
    _write(board, above, below, HEIGHT - foot, line, lambda y: _entry(board, view, y, beside))
    if guard:
        y = HEIGHT - FOOT - foot
        room = width - board.measure(guard, BIG, bold=True) / board.scale - SHIFT
        board.text(guard, MARGIN + width, y, BIG, STRONG, width=width, right=True, bold=True)
        board.box(MARGIN + room, y + 28, 14, 76, STRONG)


def _needs_somebody(view: View) -> bool:
    """Whether what stands on the usual page is more urgent than light that is watched."""
    return bool(view.keys_lost or view.pressing or _state(view))


def write_page(board: Board, view: SittingView) -> None:
    """Write what is read between two runs from two metres: the task, what Enter does, the time."""
    above = [
        Block(view.label or view.head, STRONG, bold=True),
        *(Block(each, long=True) for each in view.text),
        *(Block(each, STRONG, long=True) for each in view.choices),
    ]
    if view.given_head:
        above = _given(view)
    above = [*_lost(view), *above]
    below = [
        Block(view.prompt, long=True),
        Block(view.notice, STRONG if view.pressing else TEXT, pressing=view.pressing, long=True),
        Block(view.time),
        Block(view.head if view.label and not view.given_head else "", FAINT, way=3),
    ]
    width = board.width - 2 * MARGIN

    def typed(y: float) -> None:
        board.box(MARGIN, y, width, BOX, SUNK, EDGE)
        _line(board, view.line, y, width - 40)

    entry = view.entry and not view.given_head
    _write(board, above, below, HEIGHT, BOX + AROUND if entry else 0, typed)


def _lost(view: View | SittingView) -> list[Block]:
    """That keys go elsewhere: above all else, and over nothing that needs somebody, too."""
    return [Block(LOST, STRONG, bold=True, pressing=True, long=True)] if view.keys_lost else []


def _given(view: SittingView) -> list[Block]:
    """What a task gave: the worst of it, and how much more there is."""
    found = [Block(view.given_head, STRONG, bold=True, long=True)]
    for word, sentence in view.given[:1]:
        said = f"{word.capitalize()}: {sentence}" if word else sentence
        found.append(Block(said, pressing=word in NOT_WELL, long=True))
    if more := len(view.given) - 1:
        found.append(Block(f"and {more} more: F11 shows them"))
    return found


def _state(view: View) -> list[Block]:
    """What is wrong with the picture, or keeps it away."""
    found = []
    if view.dark or view.screen.isupper():
        found.append(Block(view.screen, STRONG, bold=True, pressing=True))
    if view.guard == WORDS["altered"]:
        found.append(Block(f"{view.guard}: {view.why}", STRONG, pressing=True, long=True))
    return found


def _asked(view: View) -> list[Block]:
    """What to read, and of what; where nothing is typed these are what is asked for."""
    bright, usual = (FAINT, FAINT) if view.dark else (STRONG, TEXT)
    names = [Block(view.label, bright, bold=True, way=1 if view.entry else 0)]
    if view.adjusting is not None:  # what to turn is what somebody at the menu looks for
        names = [Block(each, bright, bold=True) for each in view.adjusting.head]
    gives_way = view.entry and not (view.adjusting is not None and view.adjusting.heed)
    found = [*names, Block(view.ask, usual, way=2 if gives_way else 0, long=True)]
    if view.file:
        found.append(Block(f"Put up {view.file}", STRONG, pressing=True, long=True))
    if view.special:
        found.append(Block(view.special, STRONG, pressing=True, long=True))
    else:
        found += [Block(each, bright, long=True) for each in view.choices]
    if view.beside:
        found.append(Block(f"not kept: {view.beside}", long=True))
    return found


def _write(
    board: Board,
    above: Sequence[Block],
    below: Sequence[Block],
    height: float,
    line: float,
    typed: Callable[[float], None],
) -> None:
    """Write texts above and below a line that is typed, which takes ``line`` units, 0 for none."""
    width = board.width - 2 * MARGIN
    blocks = [(each, place) for place, part in enumerate((above, below)) for each in part]
    blocks = [(each, place) for each, place in blocks if each.text]
    free = height - TOP - FOOT - line
    y, done = float(TOP), not line
    for placed, place in _fitted(board, blocks, width, free):
        if place and not done:
            typed(y + AROUND / 2)
            y, done = y + line, True
        shift = SHIFT if placed.block.pressing else 0
        block, size = placed.block, placed.size
        begins, lines = y, placed.lines
        y = board.text(
            block.text,
            MARGIN + shift,
            y,
            size,
            block.tone,
            width=width - shift,
            lines=lines,
            bold=block.bold,
            pitch=PITCH,
        )
        if block.pressing:  # a bar, so that it does not rest on brightness alone
            board.box(MARGIN, begins + size * 0.24, 14, y - begins - size * 0.24, STRONG)
        y += GAP
    if not done:
        typed(y + AROUND / 2)


def _fitted(
    board: Board, blocks: Sequence[tuple[Block, int]], width: float, height: float
) -> list[tuple[Placed, int]]:
    """The texts in the sizes in which they have room.

    What may give way is cut, then goes; what has to be whole gets smaller letters last of all.
    """

    def tried(size: float, long: float, below: int, most: int) -> list[tuple[Placed, int]]:
        found = []
        for block, place in blocks:
            if block.way < below:
                of = long if block.long and not block.way else size
                lines = most if block.way else ALL
                if most < ALL and block.way >= FIRST_TO_GO:
                    lines = 1
                found.append((_placed(board, block, of, width, lines), place))
        return found

    ways = [(BIG, BIG, below, most) for most in (ALL, 2, 1) for below in (5, 4)]
    ways += [(BIG, BIG, 3, most) for most in (ALL, 2)]
    ways += [(BIG, long, below, 1) for below in (3, 2, 1) for long in READABLE]
    ways += [(BIG, long, 1, 1) for long in SMALLER]
    ways += [(size, size, 1, 1) for size in (*READABLE, *SMALLER)]
    for way in ways:
        found = tried(*way)
        if sum(placed.height for placed, _ in found) <= height:
            break
    return found


def _placed(board: Board, block: Block, size: float, width: float, most: int) -> Placed:
    room = (width - (SHIFT if block.pressing else 0)) * board.scale
    lines = board.broken(block.text, size, room, most, bold=block.bold)
    return Placed(block, size, len(lines))


def _typed(view: View) -> str:
    return view.line or view.selected


def _unit(view: View) -> str:
    """What stands on the empty line; the choices speak for themselves."""
    return "" if view.choices or view.special else view.unit


def _has_room(board: Board, view: View, width: float) -> bool:
    """Whether what is counted down stands beside the line that is typed."""
    taken = board.measure(_typed(view) or _unit(view), BIG) / board.scale + 90
    counted = board.measure(view.countdown, BIG) / board.scale + 40
    return view.entry and bool(view.countdown) and taken + counted <= width


def _entry(board: Board, view: View, y: float, beside: str) -> None:
    """The line that is typed, or what it takes, and beside it what is counted down."""
    width = board.width - 2 * MARGIN
    if beside:
        board.text(beside, MARGIN + width, y + 14, BIG, TEXT, width=width, right=True)
        width -= board.measure(beside, BIG) / board.scale + 40
    board.box(MARGIN, y, width, BOX, SUNK, STRONG if view.special else EDGE)
    blocked = bool(view.selected) or (view.dark and not view.special)
    _line(board, _typed(view), y, width - 40, selected=bool(view.selected), caret=not blocked)
    unit = _unit(view)
    if not _typed(view):
        size, _ = board.fitting(unit, (*READABLE, *SMALLER), width - 90, BIG * 1.3)
        board.text(unit, MARGIN + 50, y + (BOX - size * 1.25) / 2, size, FAINT)


def _line(
    board: Board, text: str, y: float, room: float, *, selected: bool = False, caret: bool = True
) -> None:
    """What is typed, in the largest size in which it is whole, otherwise its end."""
    size: float = NUMBERS[-1]
    for each in NUMBERS:
        if board.measure(text, each) / board.scale <= room - 20:
            size = each
            break
    line = board.tail(text, size, room - 20)
    wide = board.measure(line, size) / board.scale
    if selected:
        board.box(MARGIN + 12, y + 12, wide + 16, BOX - 24, EDGE, STRONG, inside=True)
    board.text(line, MARGIN + 20, y + (BOX - size * 1.25) / 2, size, STRONG, width=room)
    if caret:
        board.box(MARGIN + 24 + wide, y + 18, 8, BOX - 36, STRONG)
